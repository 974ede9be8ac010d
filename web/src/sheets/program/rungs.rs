//! The rungs, one under the other, with the keys that walk and change them.

use super::change::{RungChange, readable};
use super::declare::without_rung;
use super::facts::Facts;
use super::fold::fold;
use super::rung::RungDrawing;
use super::sketch::{Hand, Part, Sketch};
use super::tools::{Asking, Tools};
use super::walk::{self, Way};
use crate::services::page;
use crate::t;
use sealin_ladder::Program;
use std::rc::Rc;
use web_sys::{KeyboardEvent, ScrollIntoViewOptions, ScrollLogicalPosition};
use yew::prelude::*;

/// The drawing.
#[derive(Properties, PartialEq)]
pub struct RungsProps {
    /// The program drawn.
    pub sketch: Rc<Sketch>,
    /// The text has errors: this is the last drawing without, and cannot be changed.
    pub stale: bool,
    /// The program in the controller.
    pub controller: Rc<Program>,
    /// Addresses and contacts in the field.
    pub facts: Rc<Facts>,
    /// Cells in a line.
    pub columns: u32,
    /// What is in hand.
    pub hand: Option<Hand>,
    /// Counts the times that what is in hand wants the keyboard.
    pub focus: u32,
    /// A name is being asked for.
    pub asking: Option<Asking>,
    /// Takes something in hand; whether the keyboard follows.
    pub on_hand: Callback<(Option<Hand>, bool)>,
    /// Changes the contact in hand.
    pub on_change: Callback<RungChange>,
    /// Asks for a name, or no longer.
    pub on_ask: Callback<Option<Asking>>,
    /// Puts a rung for an output behind the last one.
    pub on_new: Callback<String>,
}

/// All rungs.
#[component]
pub fn Rungs(props: &RungsProps) -> Html {
    let key = use_callback((props.sketch.clone(), props.hand, props.columns, props.stale), {
        let (on_hand, on_change, on_ask) =
            (props.on_hand.clone(), props.on_change.clone(), props.on_ask.clone());
        move |event: KeyboardEvent, (sketch, hand, columns, stale)| {
            let Some(done) = meaning(sketch, *hand, *columns, *stale, &event) else { return };
            event.prevent_default();
            match done {
                Key::Hand(hand) => on_hand.emit((hand, true)),
                Key::Change(change) => on_change.emit(change),
                Key::Ask(asking) => on_ask.emit(Some(asking)),
            }
        }
    });
    let take = props.on_hand.reform(|hand: Hand| (Some(hand), false));
    let mut names = readable(props.sketch.program());
    // A name of the I/O list that is chosen is declared with it.
    names.extend(props.facts.all_undeclared().filter_map(|row| row.given.clone()));
    use_effect_with(props.hand.map(|hand| hand.rung), |rung| {
        let section =
            rung.and_then(|rung| page::document()?.get_element_by_id(&format!("rung-{}", rung + 1)));
        if let Some(section) = section {
            let options = ScrollIntoViewOptions::new();
            options.set_block(ScrollLogicalPosition::Nearest);
            section.scroll_into_view_with_scroll_into_view_options(&options);
        }
    });
    let new = without_rung(props.sketch.program(), &props.facts);
    html! {
        <div class="rungs" onkeydown={key}>
            { for props.sketch.program().rungs.iter().enumerate().map(|(index, rung)| {
                let hand = props.hand.filter(|hand| hand.rung == index);
                html! {
                    <section class={classes!("rungs-rung", hand.map(|_| "rungs-rung-hand"))} id={format!("rung-{}", index + 1)}>
                        if !rung.comment.is_empty() {
                            <p class="rungs-comment">{ rung.comment.clone() }</p>
                        }
                        <RungDrawing rung={rung.clone()} {index} columns={props.columns} {hand}
                            first={index == 0 && props.hand.is_none()} focus={props.focus}
                            runs={props.sketch.runs(index, &props.controller)} facts={props.facts.clone()}
                            on_hand={take.clone()} />
                        if let Some(hand) = hand.filter(|_| !props.stale) {
                            <Tools contact={hand.contact().is_some()} asking={props.asking} names={names.clone()}
                                on_change={props.on_change.clone()} on_ask={props.on_ask.clone()} />
                        }
                    </section>
                }
            }) }
            if props.sketch.program().rungs.is_empty() {
                <p class="faint">{ t!("program-no-rung") }</p>
            }
            if let Some(name) = new {
                <button type="button" class="rungs-new" disabled={props.stale}
                    onclick={props.on_new.reform({ let name = name.clone(); move |_: MouseEvent| name.clone() })}>
                    { t!("program-new-rung", name = name) }
                </button>
            }
        </div>
    }
}

enum Key {
    Hand(Option<Hand>),
    Change(RungChange),
    Ask(Asking),
}

/// What a key means for what is in hand; none if it is not ours.
fn meaning(
    sketch: &Sketch,
    hand: Option<Hand>,
    columns: u32,
    stale: bool,
    event: &KeyboardEvent,
) -> Option<Key> {
    if event.ctrl_key() || event.meta_key() || event.alt_key() {
        return None;
    }
    let at = hand.unwrap_or(Hand::at(0, first_part(sketch, 0)?));
    let change = |change| at.contact().filter(|_| !stale).map(|_| Key::Change(change));
    let ask = |asking| (!stale).then_some(Key::Ask(asking));
    match event.key().as_str() {
        "ArrowLeft" => step(sketch, at, columns, Way::Left).map(|hand| Key::Hand(Some(hand))),
        "ArrowRight" => step(sketch, at, columns, Way::Right).map(|hand| Key::Hand(Some(hand))),
        "ArrowUp" => step(sketch, at, columns, Way::Up).map(|hand| Key::Hand(Some(hand))),
        "ArrowDown" => step(sketch, at, columns, Way::Down).map(|hand| Key::Hand(Some(hand))),
        "Enter" if hand.is_some() => Some(Key::Hand(Some(Hand::at(at.rung, Part::Output)))),
        "Enter" | " " => Some(Key::Hand(Some(at))),
        "Escape" => Some(Key::Hand(None)),
        "n" | "N" => change(RungChange::Negate),
        "a" => ask(Asking::Series),
        "A" if at.contact().is_some() => ask(Asking::Parallel),
        "r" | "R" if at.contact().is_some() => ask(Asking::Rename),
        "Delete" | "Backspace" => change(RungChange::Delete),
        _ => None,
    }
}

/// The first contact of a rung, or its coil if it has none; none if there is no such rung.
fn first_part(sketch: &Sketch, rung: usize) -> Option<Part> {
    let rung = sketch.program().rungs.get(rung)?;
    Some(if rung.contacts() > 0 { Part::Contact(0) } else { Part::Output })
}

/// One step by an arrow key, from the drawing's edge into the rung above or below.
fn step(sketch: &Sketch, at: Hand, columns: u32, way: Way) -> Option<Hand> {
    let rung = sketch.program().rungs.get(at.rung)?;
    let layout = fold(rung, columns).layout;
    let count = rung.contacts();
    let other = |rung: usize| Some(Hand::at(rung, first_part(sketch, rung)?));
    let next = at.contact().and_then(|contact| walk::next(&layout, contact, way));
    match (next, at.contact(), way) {
        (Some(next), _, _) => Some(Hand::at(at.rung, Part::Contact(next))),
        (None, None, Way::Left) => count.checked_sub(1).map(|last| {
            let right = (0..count).find(|c| walk::next(&layout, *c, Way::Right).is_none());
            Hand::at(at.rung, Part::Contact(right.unwrap_or(last)))
        }),
        (None, Some(_), Way::Right) => Some(Hand::at(at.rung, Part::Output)),
        (None, _, Way::Left | Way::Right) => None,
        (None, _, Way::Down) => other(at.rung + 1),
        (None, _, Way::Up) => other(at.rung.checked_sub(1)?),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_go_over_contacts_coil_and_rungs() {
        let source = "PROGRAM p VAR a:BOOL; b:BOOL; c:BOOL; END_VAR b := a AND NOT c; c := a; END_PROGRAM";
        let (sketch, good) = Sketch::read(source);
        assert!(good);
        let at = |rung, contact: Option<u32>| Hand::at(rung, contact.map_or(Part::Output, Part::Contact));
        let go = |from, way| step(&sketch, from, 8, way);
        assert_eq!(go(at(0, Some(0)), Way::Right), Some(at(0, Some(1))));
        assert_eq!(go(at(0, Some(1)), Way::Right), Some(at(0, None)));
        assert_eq!(go(at(0, None), Way::Right), None);
        assert_eq!(go(at(0, None), Way::Left), Some(at(0, Some(1))));
        assert_eq!(go(at(0, Some(1)), Way::Down), Some(at(1, Some(0))));
        assert_eq!(go(at(1, None), Way::Up), Some(at(0, Some(0))));
        assert_eq!(go(at(1, Some(0)), Way::Down), None);
        assert_eq!(go(at(9, None), Way::Up), None);
    }
}
