//! Exploring what is listed: the button, how far it is, and what came of it so far.

use crate::hooks::{use_selector, use_workshop};
use crate::services::fault_table as worker;
use crate::sheets::proof::{fault, name};
use crate::store::Workshop;
use crate::store::fault_table::{Came, Filter};
use crate::t;
use yew::prelude::*;

/// Which rows are explored.
#[derive(Properties, PartialEq)]
pub struct RunProps {
    /// What is listed; verdict and who notices do not count here, since they come of it.
    pub filter: Filter,
}

/// How many rows came to what.
#[derive(Clone, Copy, PartialEq, Default)]
struct Count {
    of: usize,
    kept: usize,
    broken: usize,
    open: usize,
    unnoticed: usize,
}

fn count(workshop: &Workshop, filter: &Filter) -> Count {
    let filter = Filter { came: None, by: None, ..filter.clone() };
    let all = workshop.fault_table().listed(workshop.scenario(), workshop.project(), &filter);
    let mut count = Count { of: all.len(), ..Count::default() };
    for entry in &all {
        match Came::of(entry.row.as_deref()) {
            Came::Kept => count.kept += 1,
            Came::Broken => count.broken += 1,
            Came::Open => count.open += 1,
            Came::NotComputed => {}
        }
        count.unnoticed += usize::from(entry.row.as_ref().is_some_and(|row| row.unnoticed()));
    }
    count
}

/// The button with what it leads to.
#[component]
pub fn Run(props: &RunProps) -> Html {
    let shop = use_workshop();
    let running = use_selector(|workshop| workshop.fault_table().running);
    let found = use_selector(|workshop| workshop.fault_table().found());
    let project = use_selector(|workshop| workshop.project().clone());
    let counted = {
        let shop = shop.clone();
        use_memo((found.clone(), project.clone(), props.filter.clone()), move |(_, _, filter)| {
            shop.with(|workshop| count(workshop, filter))
        })
    };
    let Count { of, kept, broken, open, unnoticed } = *counted;
    let done = kept + broken + open;
    let run = {
        let running = *running;
        Callback::from(move |_: MouseEvent| if running { worker::stop(&shop) } else { worker::start(&shop) })
    };
    let words = match *running {
        true => t!("table-stop").to_string(),
        false if done == of => t!("table-explore-none").to_string(),
        false => t!("table-explore", count = of - done),
    };
    html! {
        <div class="fault-table-run">
            <button type="button" class="button-main" disabled={!*running && done == of} onclick={run}>{ words }</button>
            <p role="status">
                if found.is_stale(&project) {
                    { t!("table-stale") }
                } else {
                    { t!("table-so-far", done = done, of = of, kept = kept, broken = broken, open = open) }
                    if done > 0 { { ". " }{ t!("table-so-far-unnoticed", count = unnoticed) } }
                }
            </p>
            <Now />
        </div>
    }
}

/// The row that is being explored.
#[component]
fn Now() -> Html {
    let progress = use_selector(|workshop| workshop.fault_table().progress.clone());
    let conductors = use_selector(|workshop| workshop.conductors());
    let Some(now) = &*progress else { return html! {} };
    let fault = fault(now.fault.as_deref().unwrap_or_default(), &conductors);
    html! {
        <p class="small faint">{ t!("table-progress", id = name(&now.id), fault = fault, states = now.states) }</p>
    }
}
