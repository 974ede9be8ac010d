//! The wiring sheet: the panel as built, and the schedule of its conductors.
//!
//! The parts that know about wiring (`propose`, `entry`, and `sealin_exercise::wiring`), about the drawing (`panel`, `routing`,
//! `view`, `gesture`) and about what is asked (`drawing`, `desk`) are plain functions with native tests; `sight` and
//! `companion` show them.

mod cells;
mod companion;
mod desk;
mod drawing;
mod entry;
mod finding;
#[cfg(test)]
mod fixture;
pub(in crate::sheets) mod geometry;
mod gesture;
#[cfg(test)]
mod gesture_tests;
mod lines;
pub(in crate::sheets) mod panel;
mod paste;
pub(in crate::sheets) mod potentials;
mod propose;
mod routing;
#[cfg(test)]
mod routing_sets_tests;
#[cfg(test)]
mod routing_tests;
#[cfg(test)]
mod shipped_tests;
pub(in crate::sheets) mod sight;
mod status;
mod together;
pub(in crate::sheets) mod view;
mod wanted;
pub mod words;

use crate::frame::Split;
use crate::hooks::{use_selector, use_workshop};
use crate::services::{clipboard, surface};
use crate::shelves::Stores;
use crate::store::Workshop;
use crate::t;
use companion::{Companion, Crowd, RemarkCount};
use desk::{Ask, Desk};
pub use drawing::Shared;
pub use geometry::Rect;
pub use sealin_exercise::wiring::class::Practice;
use sealin_exercise::wiring::{circuit, class, remarks};
pub use sight::AsBuilt;
use sight::Surface;
use status::status;
use yew::prelude::*;

/// The sheet.
#[component]
pub fn Wiring() -> Html {
    let shop = use_workshop();
    let structure = use_selector(structure);
    let choice = use_selector(|workshop| (workshop.screen().selection.clone(), workshop.screen().shown));
    let stores = use_selector(|workshop| workshop.scenario().stores);
    let drawing = {
        let shop = shop.clone();
        (*use_memo((*structure).clone(), move |_| shop.with(Shared::of))).clone()
    };
    let root = use_node_ref();
    let desk = use_state(|| Desk::new(&drawing));
    let ask = use_callback((drawing.clone(), (*desk).clone()), {
        let (shop, desk) = (shop.clone(), desk.clone());
        let root = root.clone();
        move |ask: Ask, (drawing, now): &(Shared, Desk)| {
            if let Ask::ToDrawing(terminal) = &ask {
                surface::focus_terminal(&root, &terminal.to_string());
            }
            desk.set(now.after(ask, drawing, &shop));
        }
    });
    // Rows of a spreadsheet, wherever the keys are; a line without tabs belongs to the field that it is pasted into.
    let onpaste = {
        let ask = ask.clone();
        Callback::from(move |event: Event| {
            let text = clipboard::pasted(&event);
            if let Some(text) = text.filter(|text| paste::is_rows(text) || !surface::is_text(&event)) {
                event.prevent_default();
                ask.emit(Ask::Paste(text));
            }
        })
    };
    let onkeydown = {
        let ask = ask.clone();
        Callback::from(move |event: KeyboardEvent| {
            let undo = (event.ctrl_key() || event.meta_key()) && event.key().eq_ignore_ascii_case("z");
            if undo && !surface::is_text(&event) {
                event.prevent_default();
                ask.emit(if event.shift_key() { Ask::Redo } else { Ask::Undo });
            }
        })
    };
    let (selection, bring) = (*choice).clone();
    let shown = drawing.shown(selection.as_ref());
    let name = if *stores { t!("stores-and-schedule") } else { t!("wiring-schedule") };
    let companion = html! {
        <>
            <Stores />
            <Companion drawing={drawing.clone()} selection={selection.clone()} offer={desk.offer.clone()}
                enter={desk.to_schedule} ask={ask.clone()} />
        </>
    };
    html! {
        <div ref={root} class="wiring" {onkeydown} {onpaste}>
            <Split {companion} companion_name={name}>
                <div class="wiring-drawing">
                    <header class="wiring-head">
                        <h1>{ t!("wiring-title") }</h1>
                        <p class="wiring-status" role="status">{ status(&desk, selection.as_ref(), &drawing) }</p>
                        <RemarkCount count={drawing.remarks.len()} />
                    </header>
                    <Surface drawing={drawing.clone()} {shown} from={desk.from.clone()} at={desk.at_on(&drawing)} {bring}
                        closer={desk.closer} ask={ask.clone()} />
                    if !desk.crowd.is_empty() {
                        <Crowd drawing={drawing.clone()} terminals={desk.crowd.clone()} ask={ask.clone()} />
                    }
                </div>
            </Split>
        </div>
    }
}

/// Changes when the wiring, its parts or the attempt change.
#[derive(Clone, PartialEq)]
struct Structure {
    job: String,
    conductors: Vec<sealin_core::plan::Conductor>,
    dials: Vec<(String, u32)>,
    settings: Vec<(String, sealin_exercise::setting::Setting)>,
    taken: Vec<sealin_exercise::stores::StoresPart>,
}

fn structure(workshop: &Workshop) -> Structure {
    let project = workshop.project();
    Structure {
        job: workshop.scenario().id.clone(),
        conductors: project.conductors.values().cloned().collect(),
        dials: project.dials.iter().map(|(tag, ma)| (tag.clone(), *ma)).collect(),
        settings: project.settings.iter().map(|(tag, setting)| (tag.clone(), *setting)).collect(),
        taken: project.taken.values().map(|taken| taken.stores.clone()).collect(),
    }
}
