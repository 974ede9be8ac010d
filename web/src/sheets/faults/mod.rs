//! Fault finding: set a single fault on a part or a conductor, and see what the machine does.

mod chooser;
mod in_effect;
pub mod words;

use crate::frame::Split;
use crate::loop_strip::LoopStrip;
use crate::sheets::signs::Signs;
use crate::store::Sheet;
use crate::t;
use chooser::Chooser;
pub use chooser::{ThingList, chosen_thing};
use in_effect::InEffect;
use yew::prelude::*;

/// The fault-finding sheet.
#[component]
pub fn Faults() -> Html {
    html! {
        <Split companion={html! { <Signs /> }} companion_name={t!("faults-companion")}>
            <div class="faults">
                <header class="heading">
                    <h1>{ t!("faults-title") }</h1>
                    <span class="faint">{ t!("faults-hint", sheet = Sheet::Commissioning.number()) }</span>
                </header>
                <div class="faults-loop"><LoopStrip /></div>
                <InEffect />
                <Chooser />
            </div>
        </Split>
    }
}
