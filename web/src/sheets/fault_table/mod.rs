//! The fault table: every single fault against every requirement, and who notices it.

mod detail;
mod filters;
mod rows;
mod run;
pub mod words;

use crate::diagram::{RecordedDiagram, Recording};
use crate::frame::Split;
use crate::hooks::{use_selector, use_workshop};
use crate::services::surface::reveal;
use crate::store::fault_table::{Entry, FaultEvent};
use crate::store::{Command, ScreenAct};
use crate::t;
use detail::Detail;
use filters::Filters;
use rows::Rows;
use run::Run;
use std::rc::Rc;
use yew::prelude::*;

/// The sheet.
#[component]
pub fn FaultTable() -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let project = use_selector(|workshop| Rc::new(workshop.project().clone()));
    let table = use_selector(|workshop| workshop.fault_table().found());
    let filter = table.filter(&scenario);
    let asked = (table.clone(), (*scenario).clone(), project.clone());
    let entries = use_memo(asked, |(table, scenario, project)| {
        Rc::new(table.listed(scenario, project, &table.filter(scenario)))
    });
    let shown = use_state(|| None::<Rc<Recording>>);
    let on_show = {
        let (shop, shown) = (shop.clone(), shown.clone());
        Callback::from(move |recording: Rc<Recording>| {
            shown.set(Some(recording));
            shop.dispatch(Command::Screen(ScreenAct::Companion(false)));
        })
    };
    let on_choose = Callback::from(move |entry: Entry| {
        let chosen = FaultEvent::Chosen(entry.task.clone(), entry.fault.to_string());
        shop.dispatch(Command::Faults(chosen));
        shop.dispatch(Command::Screen(ScreenAct::Companion(true)));
    });
    let on_back = {
        let shown = shown.clone();
        Callback::from(move |_: MouseEvent| shown.set(None))
    };
    let chosen = table.chosen(&project);
    let companion = html! { <Detail entry={chosen.clone()} {on_show} /> };
    html! {
        <Split {companion} companion_name={t!("table-companion")}>
            <div class="fault-table">
                <header class="heading"><h1>{ t!("table-title") }</h1></header>
                <p class="fault-table-about small faint">{ t!("table-about") }</p>
                <Filters filter={filter.clone()} />
                <Run {filter} />
                if let Some(recording) = &*shown {
                    <Shown key={format!("{:p}", Rc::as_ptr(recording))} recording={recording.clone()} {on_back} />
                }
                <Rows entries={(*entries).clone()} {chosen} {on_choose} />
            </div>
        </Split>
    }
}

#[derive(Properties, PartialEq)]
struct ShownProps {
    recording: Rc<Recording>,
    on_back: Callback<MouseEvent>,
}

/// The moment at which it breaks, on the diagram.
#[component]
fn Shown(props: &ShownProps) -> Html {
    let node = use_node_ref();
    {
        let node = node.clone();
        use_effect_with((), move |()| reveal(&node));
    }
    html! {
        <div class="fault-table-diagram" ref={node}>
            <button type="button" onclick={props.on_back.clone()}>{ t!("table-back") }</button>
            <RecordedDiagram recording={props.recording.clone()} />
        </div>
    }
}
