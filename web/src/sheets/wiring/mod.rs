//! The wiring sheet: the panel as built, and the schedule of its conductors.
//!
//! The parts that know about wiring (`circuit`, `propose`, `remarks`, `entry`), about the drawing (`panel`, `routing`,
//! `view`, `gesture`) and about what is asked (`drawing`, `desk`) are plain functions with native tests; `sight` and
//! `companion` show them.

mod circuit;
mod companion;
mod desk;
mod drawing;
mod entry;
#[cfg(test)]
mod fixture;
mod geometry;
mod gesture;
mod panel;
mod potentials;
mod propose;
mod remarks;
#[cfg(test)]
mod remarks_tests;
mod routing;
#[cfg(test)]
mod routing_tests;
#[cfg(test)]
mod shipped_tests;
mod sight;
mod view;
mod words;

use crate::frame::Split;
use crate::hooks::{use_selector, use_workshop};
use crate::services::surface;
use crate::store::Workshop;
use crate::t;
use companion::{Companion, Crowd};
use desk::{Ask, Desk, status};
use drawing::Shared;
use sight::Surface;
use yew::prelude::*;

/// The sheet.
#[component]
pub fn Wiring() -> Html {
    let shop = use_workshop();
    let structure = use_selector(structure);
    let choice = use_selector(|workshop| (workshop.screen().selection.clone(), workshop.screen().shown));
    let drawing = {
        let shop = shop.clone();
        (*use_memo((*structure).clone(), move |_| shop.with(Shared::of))).clone()
    };
    let desk = use_state(|| Desk::new(&drawing));
    let ask = use_callback((drawing.clone(), (*desk).clone()), {
        let (shop, desk) = (shop.clone(), desk.clone());
        move |ask: Ask, (drawing, now): &(Shared, Desk)| desk.set(now.after(ask, drawing, &shop))
    });
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
    let companion = html! {
        <Companion drawing={drawing.clone()} selection={selection.clone()} ask={ask.clone()} />
    };
    html! {
        <div class="wiring" {onkeydown}>
            <Split {companion} companion_name={t!("wiring-schedule")}>
                <div class="wiring-drawing">
                    <header class="wiring-head">
                        <h1>{ t!("wiring-title") }</h1>
                        <p class="wiring-status" role="status">{ status(&desk, selection.as_ref(), &drawing) }</p>
                    </header>
                    <Surface drawing={drawing.clone()} {shown} from={desk.from.clone()} at={desk.at.clone()} {bring}
                        ask={ask.clone()} />
                    if !desk.crowd.is_empty() {
                        <Crowd drawing={drawing.clone()} terminals={desk.crowd.clone()} ask={ask.clone()} />
                    }
                </div>
            </Split>
        </div>
    }
}

/// Changes when the wiring, its parts or the attempt change.
fn structure(workshop: &Workshop) -> (String, Vec<sealin_core::plan::Conductor>, Vec<(String, u32)>) {
    let project = workshop.project();
    (
        workshop.scenario().id.clone(),
        project.conductors.values().cloned().collect(),
        project.dials.iter().map(|(tag, ma)| (tag.clone(), *ma)).collect(),
    )
}
