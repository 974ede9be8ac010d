//! A row of the table: what it says, what it rests on, and the shortest way in which the requirement breaks.

use super::words::{by_program, sighting, whole};
use crate::diagram::{More, Recording};
use crate::hooks::use_selector;
use crate::sheets::proof::{WayOf, Without, formula, marginal, name, says, shown, text, why};
use crate::store::fault_table::Entry;
use crate::t;
use crate::text::quantity::{keep_units, milliseconds};
use sealin_exercise::noticed::NOTICED_MS;
use sealin_exercise::proving::tasks;
use std::rc::Rc;
use yew::prelude::*;

/// Which row.
#[derive(Properties, PartialEq)]
pub struct DetailProps {
    /// The row; none before one was chosen.
    pub entry: Option<Entry>,
    /// Shows the way on the diagram.
    pub on_show: Callback<Rc<Recording>>,
}

/// The row.
#[component]
pub fn Detail(props: &DetailProps) -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let conductors = use_selector(|workshop| workshop.conductors());
    let about =
        html! { <p class="small faint">{ t!("table-noticed-about", time = milliseconds(NOTICED_MS)) }</p> };
    let Some(entry) = &props.entry else {
        return html! { <div class="split-scrolled fault-table-detail"><p>{ t!("table-choose") }</p>{ about }</div> };
    };
    let all = tasks(&scenario, None);
    let task = all.iter().find(|task| task.name() == entry.task);
    let row = entry.row.clone();
    let (mark, class, word) = shown(row.as_ref().map(|row| row.line.finding), Without::NotComputed);
    html! {
        <div class="split-scrolled fault-table-detail">
            <h2 class="heading">{ whole(entry, &conductors) }</h2>
            if let Some(task) = task {
                <p><span class="mono faint">{ name(&entry.task) }</span>{ " " }{ keep_units(&text(task)) }</p>
                <code class="proof-formula">{ formula(task, &scenario.names) }</code>
            }
            <p class={classes!("fault-table-verdict", class)}>
                <span aria-hidden="true">{ format!("{mark} ") }</span>{ word }
            </p>
            if let Some(row) = row {
                if let Some(why) = why(&row.line) {
                    <p class="small">{ why }</p>
                }
                if let Some(marginal) = marginal(&row.line) {
                    <p class="small">{ marginal }</p>
                }
                <h3>{ t!("table-noticed") }</h3>
                <dl class="evidence-facts fault-table-noticed">
                    <dt>{ t!("table-by-program") }</dt>
                    <dd>{ by_program(&row, &scenario.names) }</dd>
                    <dt>{ t!("table-by-person") }</dt>
                    <dd>{ sighting(row.by_person.as_ref(), &scenario.names) }</dd>
                </dl>
                if let Some(way) = &row.line.way {
                    <h3>{ t!("proof-way") }</h3>
                    <WayOf line={Rc::new(row.line.clone())} way={way.clone()} on_show={props.on_show.clone()} />
                }
                <More class="fault-table-more" summary={html! { t!("proof-says") }}>
                    <p class="small">{ says(&row.line, &conductors) }</p>
                </More>
            }
            { about }
        </div>
    }
}
