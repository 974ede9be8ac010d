//! The hint as it stands on the sheet: a note with a leader to the thing it speaks of, over everything and in nobody's way.

use super::place::{Area, place};
use super::progress::{HintAct, Shown};
use crate::frame::sheet_name;
use crate::hooks::{use_frame, use_selector, use_workshop};
use crate::services::page;
use crate::services::surface;
use crate::store::{Command, Sheet};
use crate::t;
use std::cell::Cell;
use yew::prelude::*;

/// The hint that is shown, with its buttons; and the live region that says it.
#[component]
pub fn Note() -> Html {
    let shown = use_selector(|workshop| {
        let shown = workshop.hints().shown(&workshop.scenario().id)?;
        Some((shown, workshop.screen().sheet))
    });
    let words = shown.map(|(shown, sheet)| words(&shown, sheet));
    html! {
        <>
            <p class="visually-hidden" aria-live="polite">{ words.clone() }</p>
            if let (Some((shown, sheet)), Some(words)) = (*shown, words) {
                <OnSheet {shown} {sheet} {words} />
            }
        </>
    }
}

/// On the sheet of its step a hint speaks of its thing, on the others of the way to that sheet.
fn words(shown: &Shown, sheet: Sheet) -> AttrValue {
    if shown.step.sheet == sheet {
        return (shown.step.words)().into();
    }
    t!("hint-turn", number = shown.step.sheet.number(), sheet = sheet_name(shown.step.sheet)).into()
}

#[derive(Properties, PartialEq)]
struct OnSheetProps {
    shown: Shown,
    sheet: Sheet,
    words: AttrValue,
}

#[component]
fn OnSheet(props: &OnSheetProps) -> Html {
    let shop = use_workshop();
    let (picture, note) = (use_node_ref(), use_node_ref());
    use_frame((props.shown, props.sheet), {
        let at = Anchor::of(&props.shown, props.sheet);
        let (picture, note) = (picture.clone(), note.clone());
        let (last, brought) = (Cell::new(None), Cell::new(false));
        move |_| {
            let Some(found) = at.look(&note, &brought) else { return };
            if last.replace(Some(found)) != Some(found) {
                draw(&picture, &note, found);
            }
        }
    });
    let ask = |act: HintAct| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| tell(&shop, act.clone()))
    };
    let onkeydown = {
        let shop = shop.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Escape" {
                event.stop_propagation();
                tell(&shop, HintAct::PutAway);
            }
        })
    };
    let (number, of) = (props.shown.number, props.shown.of);
    html! {
        <>
            <svg class="hint-over" ref={picture} aria-hidden="true">
                <path class="hint-leader" />
                <rect class="hint-ring" rx="4" />
            </svg>
            <aside class="hint" ref={note} role="note" aria-label={t!("hint-name", number = number, of = of)} {onkeydown}>
                <p>{ props.words.clone() }</p>
                <div class="hint-buttons">
                    <button type="button" onclick={ask(HintAct::PutAway)}>{ t!("hint-put-away") }</button>
                    <button type="button" class="button-quiet" onclick={ask(HintAct::Stop)}>{ t!("hint-stop") }</button>
                    <span class="hint-number faint small" aria-hidden="true">{ format!("{number}/{of}") }</span>
                </div>
            </aside>
        </>
    }
}

/// Puts hints away; where none is left the keyboard goes on at the drawing.
fn tell(shop: &crate::store::Shop, act: HintAct) {
    shop.dispatch(Command::Hints(act));
    if !shop.with(|workshop| workshop.hints().on()) {
        surface::focus_id("drawing");
    }
}

/// What a note stands beside, as selectors of the page.
struct Anchor {
    at: String,
    clear: [&'static str; 2],
}

/// A note and its thing, on the screen.
#[derive(Clone, Copy, PartialEq)]
struct Found {
    note: Area,
    /// The thing, or the nearest that is in view.
    thing: Area,
    /// It is in view.
    seen: bool,
}

impl Anchor {
    fn of(shown: &Shown, sheet: Sheet) -> Anchor {
        let step = shown.step;
        if step.sheet == sheet {
            return Anchor { at: step.at.to_string(), clear: [step.clear, ".split-handle"] };
        }
        let at = format!(".list li:nth-child({}) button", step.sheet.number());
        Anchor { at, clear: [".split-handle"; 2] }
    }

    /// Where everything is now. The thing is brought into view when it is first met.
    fn look(&self, note: &NodeRef, brought: &Cell<bool>) -> Option<Found> {
        let room = page::room()?;
        let [_, _, w, h] = surface::bounds(note)?;
        let room = Area { x: 0.0, y: 0.0, w: room.0, h: room.1 };
        let all = |selector: &str| surface::bounds_of(selector).map(area).filter(|a| a.w * a.h > 0.0);
        let main = all("#drawing").unwrap_or(room);
        let thing = all(&self.at);
        // A thing on the sheet can be scrolled out of view; the list of drawings cannot.
        let always = self.at.starts_with(".list");
        if let Some(thing) = thing
            && !brought.replace(true)
            && !always
            && thing.held(main) != thing
        {
            surface::center(&self.at);
        }
        let inside = |a: Area| always || a.common(main) > 0.0;
        let seen = thing.is_some_and(inside);
        let thing = thing.unwrap_or(Area { x: main.x + main.w / 2.0, y: main.y + main.h, w: 0.0, h: 0.0 });
        let thing = if seen { thing } else { thing.held(main) };
        let clear: Vec<Area> = self.clear.iter().filter_map(|selector| all(selector)).collect();
        Some(Found { note: place((w, h), thing, &clear, room), thing, seen })
    }
}

fn area([x, y, w, h]: [f64; 4]) -> Area {
    Area { x, y, w, h }
}

/// Around the thing, CSS pixels.
const RING: f64 = 4.0;

/// Puts the note, its leader and the ring around the thing where they belong.
fn draw(picture: &NodeRef, note: &NodeRef, found: Found) {
    let set = |selector: &str, attributes: &[(&str, String)]| {
        let picture = picture.cast::<web_sys::Element>();
        if let Some(element) = picture.and_then(|picture| picture.query_selector(selector).ok().flatten()) {
            for (name, value) in attributes {
                let _ = element.set_attribute(name, value);
            }
        }
    };
    surface::put(note, found.note.x, found.note.y);
    let t = found.thing;
    let ring = Area { x: t.x - RING, y: t.y - RING, w: t.w + 2.0 * RING, h: t.h + 2.0 * RING };
    let ringed = if found.seen { ring } else { Area::default() };
    let sides = [("x", ringed.x), ("y", ringed.y), ("width", ringed.w), ("height", ringed.h)];
    set(".hint-ring", &sides.map(|(name, side)| (name, format!("{side:.1}"))));
    let (x, y) = found.note.nearest(ring.middle());
    let (to_x, to_y) = ring.nearest((x, y));
    set(".hint-leader", &[("d", format!("M{x:.1} {y:.1}L{to_x:.1} {to_y:.1}"))]);
}
