//! What stands beside the drawing: find, undo and redo, typed entry, the schedule, and what a fitter would say.

mod crowd;
mod editor;
mod entry_field;
mod remark_list;
mod schedule;

pub use crowd::Crowd;

use super::desk::{Ask, Asking};
use super::drawing::Shared;
use crate::hooks::use_selector;
use crate::store::Thing;
use crate::t;
use entry_field::EntryField;
use remark_list::RemarkList;
use schedule::Schedule;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// The companion of the drawing.
#[derive(Properties, PartialEq)]
pub struct CompanionProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
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
    let ask = |what: Ask| {
        let ask = props.ask.clone();
        Callback::from(move |_: MouseEvent| ask.emit(what.clone()))
    };
    let oninput = {
        let search = search.clone();
        Callback::from(move |event: InputEvent| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                search.set(input.value());
            }
        })
    };
    let onsearch = {
        let (search, drawing, ask) = (search.clone(), drawing.clone(), props.ask.clone());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            if let Some(thing) = drawing.found(&search) {
                ask.emit(Ask::Select(Some(thing)));
            }
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
                        aria-label={t!("wiring-find")} placeholder={t!("wiring-find")} autocomplete="off" />
                </form>
                <button type="button" onclick={ask(Ask::Undo)} disabled={!steps.0}>{ t!("wiring-undo") }</button>
                <button type="button" onclick={ask(Ask::Redo)} disabled={!steps.1}>{ t!("wiring-redo") }</button>
                <button type="button" onclick={ask(Ask::Remove)} disabled={!chosen_own}>{ t!("wiring-remove") }</button>
            </div>
            <Schedule drawing={drawing.clone()} selection={props.selection.clone()} ask={props.ask.clone()}
                search={(*search).clone()} begin={Callback::from({
                    let entry = entry.clone();
                    move |line: String| entry.set(line)
                })} />
            <RemarkList drawing={drawing.clone()} ask={props.ask.clone()} />
        </div>
    }
}
