//! The job sheet: what the machine is, the task, the devices, the required behaviour, the cautions.

mod attempt;
mod behaviour;
mod devices;
mod help;
mod jobs;
mod kept;
mod predictions;

use crate::documents::PrintChoice;
use crate::frame::{Split, sheet_name};
use crate::hints::StartHere;
use crate::hooks::{use_selector, use_workshop};
use crate::store::{Command, ScreenAct, Sheet};
use crate::t;
use crate::text::markdown::Markdown;
pub use attempt::AttemptBox;
use behaviour::Behaviour;
use devices::Devices;
use help::Help;
use jobs::Jobs;
use predictions::Predictions;
use yew::prelude::*;

/// The job sheet.
#[component]
pub fn Brief() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let companion = html! {
        <div class="brief-companion split-scrolled">
            <AttemptBox />
            <Help />
            <Jobs />
            <PrintChoice />
            <Way />
            <section class="brief-not">
                <h2>{ t!("brief-not") }</h2>
                <p>{ t!("brief-not-text") }</p>
                <p>{ t!("brief-not-proof") }</p>
            </section>
        </div>
    };
    html! {
        <Split {companion} companion_name={t!("brief-companion")}>
            <article class="brief">
                <header class="heading">
                    <h1>{ t!("brief-title", job = scenario.title) }</h1>
                    <span class="faint">
                        { t!("brief-facts", site = scenario.site, machine = scenario.machine, level = scenario.level, minutes = scenario.minutes) }
                    </span>
                </header>
                <StartHere />
                <section class="brief-cautions" aria-labelledby="cautions">
                    <h2 id="cautions"><span aria-hidden="true">{ "△ " }</span>{ t!("brief-cautions") }</h2>
                    <ul>{ for scenario.cautions.iter().map(|caution| html! { <li>{ caution.clone() }</li> }) }</ul>
                </section>
                <Markdown text={scenario.brief_markdown.clone()} />
                <Behaviour />
                <Predictions />
                <Devices />
            </article>
        </Split>
    }
}

/// The stages of the job, each leading to its sheet.
#[component]
fn Way() -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let stage = |sheet: Sheet, text: &'static str| {
        if !sheet.is_open_in(&scenario) {
            return html! {};
        }
        let shop = shop.clone();
        let turn =
            Callback::from(move |_: MouseEvent| shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet))));
        html! {
            <li>
                <span class="faint">{ sheet.number() }</span>
                <button type="button" class="button-quiet" onclick={turn}>{ sheet_name(sheet) }</button>
                <span>{ text }</span>
            </li>
        }
    };
    html! {
        <section>
            <h2 class="heading">{ t!("brief-way") }</h2>
            <ol class="brief-way">
                { stage(Sheet::Brief, t!("brief-way-brief")) }
                { stage(Sheet::Wiring, t!("brief-way-wiring")) }
                { stage(Sheet::Circuit, t!("brief-way-circuit")) }
                { stage(Sheet::Program, t!("brief-way-program")) }
                { stage(Sheet::Commissioning, t!("brief-way-commissioning")) }
                { stage(Sheet::FaultTable, t!("brief-way-fault-table")) }
                { stage(Sheet::Faults, t!("brief-way-faults")) }
                { stage(Sheet::SignOff, t!("brief-way-signoff")) }
            </ol>
        </section>
    }
}
