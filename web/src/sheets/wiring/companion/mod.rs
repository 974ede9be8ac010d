//! What stands beside the drawing: find, undo and redo, typed entry, the schedule, and what a fitter would say.

mod cell_editor;
mod crowd;
mod entry_field;
mod offer;
mod remark_list;
mod schedule;
mod schedule_row;

pub use crowd::Crowd;
pub use remark_list::RemarkCount;

use super::desk::{Ask, Asking};
use super::drawing::Shared;
use super::paste::{self, Row};
use crate::hooks::use_selector;
use crate::services::clipboard;
use crate::store::Thing;
use crate::t;
use entry_field::EntryField;
use offer::Offer;
use remark_list::RemarkList;
use schedule::Schedule;
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// The companion of the drawing.
#[derive(Properties, PartialEq)]
pub struct CompanionProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// Rows that were pasted and are offered.
    pub offer: Option<Rc<Vec<Row>>>,
    /// Counts how often the keys went to the schedule.
    pub enter: u32,
    /// What is asked.
    pub ask: Asking,
}

/// The companion.
#[component]
pub fn Companion(props: &CompanionProps) -> Html {
    let drawing = &props.drawing;
    let search = use_state(String::new);
    let entry = use_state(String::new);
    let steps = use_selector(|workshop| {
        (workshop.session().undoable().is_some(), workshop.session().redoable().is_some())
    });
    let own = drawing.own().count();
    let asked = drawing.wanted.len();
    let count = if asked == 0 {
        t!("wiring-count", given = drawing.given.len(), own = own)
    } else {
        let done = drawing.wanted.iter().filter(|w| w.done).count();
        t!("wiring-count-of", given = drawing.given.len(), done = done, asked = asked)
    };
    let ask = |what: Ask| props.ask.reform(move |_: MouseEvent| what.clone());
    let oninput = {
        let search = search.clone();
        Callback::from(move |event: InputEvent| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                search.set(input.value());
            }
        })
    };
    let onsearch = {
        let (search, ask) = (search.clone(), props.ask.clone());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            ask.emit(Ask::Find((*search).clone()));
        })
    };
    let copy = {
        let (drawing, ask) = (drawing.clone(), props.ask.clone());
        Callback::from(move |_: MouseEvent| {
            let all = || drawing.own().chain(drawing.given());
            clipboard::write(&paste::write(all()));
            ask.emit(Ask::Say(t!("wiring-copied", count = all().count())));
        })
    };
    let chosen_own = matches!(&props.selection, Some(Thing::Conductor(id)) if !drawing.given.contains(id) && drawing.conductor(id).is_some());
    html! {
        <div class="wiring-companion">
            <div class="heading">
                <h2>{ t!("wiring-schedule") }</h2>
                <span class="small faint">{ count }</span>
            </div>
            <EntryField drawing={drawing.clone()} ask={props.ask.clone()} text={entry.clone()} />
            <div class="wiring-tools">
                <form role="search" onsubmit={onsearch}>
                    <input type="search" class="wiring-find" value={(*search).clone()} {oninput}
                        aria-label={t!("wiring-find")} placeholder={t!("wiring-find-example")} autocomplete="off" />
                </form>
                <button type="button" onclick={ask(Ask::Undo)} disabled={!steps.0}>{ t!("wiring-undo") }</button>
                <button type="button" onclick={ask(Ask::Redo)} disabled={!steps.1}>{ t!("wiring-redo") }</button>
                <button type="button" onclick={ask(Ask::Remove)} disabled={!chosen_own}>{ t!("wiring-remove") }</button>
                <button type="button" onclick={copy}>{ t!("wiring-copy") }</button>
            </div>
            if let Some(rows) = &props.offer {
                <Offer rows={rows.clone()} ask={props.ask.clone()} />
            } else {
                <Schedule drawing={drawing.clone()} selection={props.selection.clone()} ask={props.ask.clone()}
                    enter={props.enter} search={(*search).clone()} begin={Callback::from({
                        let entry = entry.clone();
                        move |line: String| entry.set(line)
                    })} />
            }
            <RemarkList drawing={drawing.clone()} ask={props.ask.clone()} />
        </div>
    }
}
