//! The rows of the table.

use super::words::sign;
use crate::hooks::{use_one_stop, use_selector};
use crate::sheets::faults::words as fault;
use crate::sheets::proof::{Without, name, shown};
use crate::store::fault_table::{Entry, FaultRow, Sighting};
use crate::store::model::{Conductor, IoRow};
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// Rows that are drawn at once; more on demand.
const AT_ONCE: usize = 50;

/// What is listed.
#[derive(Properties, PartialEq)]
pub struct RowsProps {
    /// The rows.
    pub entries: Rc<Vec<Entry>>,
    /// The one that is looked at.
    pub chosen: Option<Entry>,
    /// Looks at a row.
    pub on_choose: Callback<Entry>,
}

/// The table, its first rows.
#[component]
pub fn Rows(props: &RowsProps) -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let conductors = use_selector(|workshop| workshop.conductors());
    let drawn = use_state(|| AT_ONCE);
    let list = use_node_ref();
    use_one_stop(&list, "button");
    let more = {
        let drawn = drawn.clone();
        Callback::from(move |_: MouseEvent| drawn.set(*drawn + AT_ONCE))
    };
    let left = props.entries.len().saturating_sub(*drawn);
    if props.entries.is_empty() {
        return html! { <p>{ t!("table-none") }</p> };
    }
    let is_chosen = |entry: &Entry| {
        props.chosen.as_ref().is_some_and(|one| one.task == entry.task && one.fault == entry.fault)
    };
    html! {
        <>
            <table class="fault-table-rows">
                <thead>
                    <tr>
                        <th scope="col">{ t!("table-head-number") }</th>
                        <th scope="col">{ t!("table-head-fault") }</th>
                        <th scope="col">{ t!("table-head-verdict") }</th>
                        <th scope="col">{ t!("table-head-program") }</th>
                        <th scope="col">{ t!("table-head-person") }</th>
                    </tr>
                </thead>
                <tbody ref={list}>
                    { for props.entries.iter().take(*drawn).map(|entry| html! {
                        <Row key={format!("{} {}", entry.task, entry.fault)} entry={entry.clone()}
                            conductors={conductors.clone()} names={Names(scenario.names.clone())}
                            chosen={is_chosen(entry)} on_choose={props.on_choose.clone()} />
                    }) }
                </tbody>
            </table>
            if left > 0 {
                <button type="button" onclick={more}>{ t!("table-more", count = left.min(AT_ONCE)) }</button>
            }
        </>
    }
}

/// The I/O list.
#[derive(Clone, PartialEq)]
struct Names(Vec<IoRow>);

#[derive(Properties, PartialEq)]
struct RowProps {
    entry: Entry,
    conductors: Rc<Vec<Conductor>>,
    names: Names,
    chosen: bool,
    on_choose: Callback<Entry>,
}

#[component]
fn Row(props: &RowProps) -> Html {
    let entry = &props.entry;
    let row = entry.row.as_deref();
    let (mark, class, word) = shown(row.map(|row| row.line.finding), Without::NotComputed);
    let choose = {
        let entry = entry.clone();
        props.on_choose.reform(move |_: MouseEvent| entry.clone())
    };
    let (place, what) = (fault::place(&entry.fault, &props.conductors), entry.fault.said());
    html! {
        <tr class={classes!(props.chosen.then_some("fault-table-chosen"))}>
            <td class="mono small">{ name(&entry.task) }</td>
            <th scope="row">
                <button type="button" class="fault-table-name" aria-pressed={props.chosen.to_string()} onclick={choose}>
                    <strong>{ place }</strong>{ " " }<span>{ what }</span>
                </button>
            </th>
            <td class={classes!("fault-table-verdict", class)}>
                <span aria-hidden="true">{ format!("{mark} ") }</span>{ word }
            </td>
            <td>{ noticed(row, row.and_then(|row| row.by_program.as_ref()), &props.names.0) }</td>
            <td>{ noticed(row, row.and_then(|row| row.by_person.as_ref()), &props.names.0) }</td>
        </tr>
    }
}

/// What shows, or a dash; nothing where nothing has been explored.
fn noticed(row: Option<&FaultRow>, seen: Option<&Sighting>, names: &[IoRow]) -> Html {
    match (row, seen) {
        (None, _) => html! {},
        (Some(_), Some(seen)) => html! { { sign(seen, names) } },
        (Some(_), None) => html! { <span class="faint">{ t!("table-not-noticed") }</span> },
    }
}
