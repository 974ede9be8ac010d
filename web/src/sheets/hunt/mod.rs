//! Finding a hidden fault: what was reported, the readings taken, the diagnosis, the repair, and the handing in.

mod chosen;
mod hand_in;
mod log;
mod outcome;
mod paths;
mod readings;
mod suspects;

use crate::frame::Split;
use crate::hooks::{use_selector, use_workshop};
use crate::sheets::faults::{ThingList, chosen_thing};
use crate::sheets::signs::Signs;
use crate::store::{Command, ScreenAct, Sheet};
use crate::t;
use chosen::Chosen;
use hand_in::HandIn;
use log::Log;
use outcome::Outcome;
use paths::PathsBox;
use readings::Readings;
use std::collections::BTreeSet;
use suspects::SuspectsBox;
use yew::prelude::*;

/// The fault-finding sheet of a job in which a fault is hidden.
#[component]
pub fn Hunt() -> Html {
    let shop = use_workshop();
    let report =
        use_selector(|w| w.scenario().fault_finding.as_ref().map_or(String::new(), |f| f.report.clone()));
    let sealed = use_selector(|workshop| workshop.is_sealed());
    let chosen = use_selector(chosen_thing);
    // Entries whose readings are to speak for the next diagnosis.
    let evidence = use_state(BTreeSet::<u32>::new);
    let epoch = use_selector(|workshop| workshop.epoch());
    use_effect_with(*epoch, {
        let evidence = evidence.clone();
        move |_| evidence.set(BTreeSet::new())
    });
    let on_evidence = {
        let evidence = evidence.clone();
        Callback::from(move |entries: BTreeSet<u32>| evidence.set(entries))
    };
    let measure = Callback::from(move |_: MouseEvent| {
        shop.dispatch(Command::Screen(ScreenAct::GoTo(Sheet::Commissioning)));
    });
    html! {
        <Split companion={html! { <Signs /> }} companion_name={t!("faults-companion")}>
            <div class="faults hunt">
                <header class="heading">
                    <h1>{ t!("hunt-title") }</h1>
                    <span class="faint">{ t!("hunt-hint") }</span>
                </header>
                <figure class="hunt-report">
                    <figcaption class="faint small">{ t!("hunt-reported") }</figcaption>
                    <blockquote>{ (*report).clone() }</blockquote>
                </figure>
                if *sealed {
                    <p class="small hunt-caution"><span aria-hidden="true">{ "△ " }</span>{ t!("hunt-may-be-dangerous") }</p>
                    <section class="hunt-part" aria-labelledby="hunt-readings">
                        <div class="heading">
                            <h2 id="hunt-readings">{ t!("hunt-readings") }</h2>
                            <button type="button" onclick={measure}>{ t!("faults-measure", sheet = Sheet::Commissioning.number()) }</button>
                        </div>
                        <Readings evidence={(*evidence).clone()} on_evidence={on_evidence.clone()} />
                    </section>
                    <section class="hunt-part" aria-labelledby="hunt-diagnosis">
                        <h2 id="hunt-diagnosis" class="heading">{ t!("hunt-diagnosis") }</h2>
                        <div class="chooser">
                            <ThingList chosen={(*chosen).clone()} />
                            <Chosen chosen={(*chosen).clone()} evidence={(*evidence).clone()} on_evidence={on_evidence} />
                        </div>
                    </section>
                } else {
                    <Outcome />
                    <PathsBox />
                }
                if *sealed { <SuspectsBox /> }
                <Log />
                if *sealed { <HandIn /> }
            </div>
        </Split>
    }
}
