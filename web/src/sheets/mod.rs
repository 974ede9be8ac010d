//! The sheets of the job, one folder each.

mod brief;
pub mod circuit;
pub mod commissioning;
pub mod fault_table;
pub mod faults;
mod hunt;
pub mod program;
pub mod proof;
pub mod signoff;
mod signs;
pub mod wiring;
mod zoom;

use crate::hooks::use_selector;
use crate::store::Sheet;
use yew::prelude::*;

/// The sheet that the list of drawings has turned to.
#[component]
pub fn SheetInView() -> Html {
    let sheet = use_selector(|workshop| workshop.screen().sheet);
    let hunt = use_selector(|workshop| workshop.scenario().fault_finding.is_some());
    match *sheet {
        Sheet::Brief => html! { <brief::Brief /> },
        Sheet::Wiring => html! { <wiring::Wiring /> },
        Sheet::Circuit => html! { <circuit::Circuit /> },
        Sheet::Program => html! { <program::Program /> },
        Sheet::Commissioning => html! { <commissioning::Commissioning /> },
        Sheet::FaultTable => html! { <fault_table::FaultTable /> },
        Sheet::Faults if *hunt => html! { <hunt::Hunt /> },
        Sheet::Faults => html! { <faults::Faults /> },
        Sheet::SignOff => html! { <signoff::SignOff /> },
    }
}
