//! One rung, drawn. It renders on structure only; what moves is written by [`super::rung_live`].

use super::block;
use super::facts::Facts;
use super::fold::{Folded, fold};
use super::rung_lines::{breaks, height, rails, wires};
use super::rung_live::{Nodes, RungLive, block as block_of};
use super::sketch::{Hand, Part};
use super::symbols::{self, CELL_X, CELL_Y, LINE_Y};
use crate::hooks::use_live;
use crate::services::live::Binding;
use crate::t;
use sealin_ladder::layout::{Item, ItemKind, Pin, PinKind};
use sealin_ladder::{Contact, Rung};
use std::cell::Cell;
use std::rc::Rc;
use web_sys::SvgElement;
use yew::prelude::*;

/// Room at the left for the number, and at the right for the rail.
pub const LEFT: i32 = 34;
const RIGHT: i32 = 10;

/// A rung on the sheet.
#[derive(Properties, PartialEq)]
pub struct RungProps {
    /// The rung.
    pub rung: Rung,
    /// Its index.
    pub index: usize,
    /// Cells in a line.
    pub columns: u32,
    /// What is in hand, if it is of this rung.
    pub hand: Option<Hand>,
    /// The tab key comes to it where nothing is in hand.
    pub first: bool,
    /// Counts the times that what is in hand wants the keyboard.
    pub focus: u32,
    /// The count for which it has been given.
    pub served: Rc<Cell<u32>>,
    /// Index of the rung in the controller's program, if it runs it.
    pub runs: Option<u32>,
    /// Addresses and contacts in the field.
    pub facts: Rc<Facts>,
    /// Something is taken in hand; whether Shift was held.
    pub on_hand: Callback<(Hand, bool)>,
}

/// A rung as ladder.
#[component]
pub fn RungDrawing(props: &RungProps) -> Html {
    let folded = use_memo((props.rung.clone(), props.columns), |(rung, columns)| fold(rung, *columns));
    let nodes = use_memo(folded.clone(), |folded| Nodes::new(folded));
    let deps = (folded.clone(), props.runs, props.facts.clone());
    use_live(deps, {
        let nodes = nodes.clone();
        move |(folded, runs, facts)| {
            let live = RungLive::new(folded.clone(), nodes, *runs, facts);
            vec![Binding::frame(Rc::new(move |workshop| live.draw(workshop)))]
        }
    });
    use_effect_with((props.focus, props.hand), {
        let (folded, nodes, served) = (folded.clone(), nodes.clone(), props.served.clone());
        move |(focus, hand)| {
            let Some(hand) = hand.filter(|_| *focus > served.get()) else { return };
            served.set(*focus);
            if let Some(touch) = node_of(&folded, &nodes, hand.part).and_then(|n| n.cast::<SvgElement>()) {
                let _ = touch.focus();
            }
        }
    });

    let width = LEFT + folded.columns as i32 * CELL_X + RIGHT;
    let height = height(&folded);
    let cells = (0..folded.items.len()).map(|n| cell(props, &folded, &nodes, n));
    html! {
        <svg class="rung" viewBox={format!("0 0 {width} {height}")} width={width.to_string()} height={height.to_string()}
            role="group" aria-label={t!("program-rung", number = props.index + 1)}>
            { number_cell(props, &nodes) }
            { rails(&folded, &nodes) }
            { for wires(&folded, &nodes) }
            { for cells }
            { breaks(&folded) }
        </svg>
    }
}

/// The number of the rung, which stands for the whole of it.
fn number_cell(props: &RungProps, nodes: &Nodes) -> Html {
    let hand = Hand::at(props.index, Part::Rung);
    let in_hand = props.hand == Some(hand);
    html! {
        <g class={classes!("rung-item", in_hand.then_some("rung-item-hand"))} onclick={taking(props, hand)}>
            <rect ref={nodes.number.clone()} class="rung-touch" role="button" tabindex={if in_hand { "0" } else { "-1" }}
                aria-pressed={in_hand.to_string()} aria-label={t!("program-whole", number = props.index + 1)}
                x="1" y="2" width={(LEFT - 4).to_string()} height={(CELL_Y - 4).to_string()} />
            <text class="rung-number" x={((LEFT - 2) / 2).to_string()} y={(LINE_Y + 5).to_string()}>{ props.index + 1 }</text>
        </g>
    }
}

fn taking(props: &RungProps, hand: Hand) -> Callback<MouseEvent> {
    props.on_hand.reform(move |event: MouseEvent| {
        event.stop_propagation();
        (hand, event.shift_key())
    })
}

/// What of the rung an item is in hand as; none for a link or a gap.
fn part_of(item: &Item) -> Option<Part> {
    match item.kind {
        ItemKind::Contact { index, .. } => Some(Part::Contact(index)),
        ItemKind::Coil(_) | ItemKind::Block { .. } => Some(Part::Output),
        ItemKind::Link | ItemKind::Gap => None,
    }
}

/// The node that stands for what is in hand.
fn node_of<'a>(folded: &Folded, nodes: &'a Nodes, part: Part) -> Option<&'a NodeRef> {
    match part {
        Part::Rung => Some(&nodes.number),
        Part::Pin(_) | Part::Preset => {
            let (_, pins) = block_of(folded)?;
            let n = (0..pins.len()).find(|n| pin_part(pins, *n) == Some(part))?;
            Some(&nodes.pins[n].touch)
        }
        _ => {
            let n = folded.layout.items.iter().position(|item| part_of(item) == Some(part))?;
            Some(&nodes.touches[n])
        }
    }
}

/// What a pin is in hand as: an input after the first, or the preset.
fn pin_part(pins: &[Pin], n: usize) -> Option<Part> {
    match pins[n].kind {
        PinKind::Input(_) if n > 0 => Some(Part::Pin(n - 1)),
        PinKind::Preset => Some(Part::Preset),
        _ => None,
    }
}

fn cell(props: &RungProps, folded: &Folded, nodes: &Nodes, n: usize) -> Html {
    let item = &folded.layout.items[n];
    let (left, top) = (LEFT + folded.items[n].0 as i32 * CELL_X, folded.items[n].1 as i32 * CELL_Y);
    let (x, y) = (left + CELL_X / 2, top + LINE_Y);
    let group = nodes.items[n].clone();
    let both = (group.clone(), nodes.touches[n].clone());
    let starts = folded.layout.items.iter().position(|item| part_of(item).is_some()) == Some(n);
    match &item.kind {
        ItemKind::Link => html! { <g ref={group}>{ symbols::link(x, y) }</g> },
        ItemKind::Gap => html! { <g ref={group}>{ symbols::gap(x, y) }</g> },
        ItemKind::Contact { contact, .. } => {
            let lead = symbols::lead(x, y, contact, nodes.leads[n].clone());
            let bit = symbols::bit_box(x + bit_offset(contact), y + 7, nodes.bits[n].clone());
            let inside = html! { <>{ lead }{ symbols::contact(x, y, contact) }{ bit }{ names(props, nodes, n, contact, x, y) }</> };
            button(props, item, both, starts, (left, top, CELL_X, CELL_Y), inside)
        }
        ItemKind::Coil(output) => {
            let bit = symbols::bit_box(x + 18, y + 7, nodes.bits[n].clone());
            let inside =
                html! { <>{ symbols::coil(x, y, output) }{ bit }{ heading(props, output.var(), x, y) }</> };
            button(props, item, both, starts, (left, top, CELL_X, CELL_Y), inside)
        }
        ItemKind::Block { call, pins } => {
            let depth = block::depth(pins);
            let inside = html! {
                <>
                    <text class="rung-name" x={(left + CELL_X).to_string()} y={(y - 32).to_string()}>{ call.instance.clone() }</text>
                    { block::frame(left, top, call, pins) }
                </>
            };
            html! {
                <>
                    { button(props, item, both, starts, (left, top, 2 * CELL_X, depth), inside) }
                    { for block::pin_places(pins).into_iter().enumerate().map(|(k, place)| {
                        let hand = pin_part(pins, k).map(|part| Hand::at(props.index, part));
                        block::PinDrawing {
                            x: left, top, call, place, nodes: &nodes.pins[k], hand,
                            in_hand: hand.is_some() && props.hand == hand,
                            on_hand: props.on_hand.clone(),
                        }.draw()
                    }) }
                </>
            }
        }
    }
}

/// From the middle of a contact to its bit.
fn bit_offset(contact: &Contact) -> i32 {
    match contact {
        Contact::Bit { .. } => 13,
        Contact::Compare(_) => 21,
    }
}

/// Name over an item, and its address.
fn heading(props: &RungProps, name: &str, x: i32, y: i32) -> Html {
    let address = props.facts.addresses.get(name).cloned().unwrap_or_default();
    html! {
        <>
            <text class="rung-name" x={x.to_string()} y={(y - 28).to_string()}>{ name }</text>
            <text class="rung-address" x={x.to_string()} y={(y - 16).to_string()}>{ address }</text>
        </>
    }
}

/// What stands over and under a contact: names, address, the contact in the field; for a comparison its two sides, and
/// the left one's value now.
fn names(props: &RungProps, nodes: &Nodes, n: usize, contact: &Contact, x: i32, y: i32) -> Html {
    match contact {
        Contact::Bit { var, .. } => {
            let field = props.facts.contacts.get(var).map(|c| symbols::field_contact(x - 38, y + 32, c));
            html! { <>{ heading(props, var, x, y) }{ field.unwrap_or_default() }</> }
        }
        Contact::Compare(comparison) => html! {
            <>
                <text class="rung-name" x={x.to_string()} y={(y - 28).to_string()}>{ comparison.value.clone() }</text>
                <text ref={nodes.values[n].clone()} class="rung-address" x={x.to_string()} y={(y - 16).to_string()} />
                <text class="rung-name" x={(x - 12).to_string()} y={(y + 25).to_string()}>{ comparison.with.to_string() }</text>
            </>
        },
    }
}

/// A part of the rung that can be taken in hand; the tab key comes to the one that `starts`. The button is the area alone,
/// as what is drawn on it has more words than its name. `area` is left, top, width and height of what can be touched.
fn button(
    props: &RungProps,
    item: &Item,
    (group, touch): (NodeRef, NodeRef),
    starts: bool,
    area: (i32, i32, i32, i32),
    inside: Html,
) -> Html {
    let Some(part) = part_of(item) else { return inside };
    let hand = Hand::at(props.index, part);
    let in_hand =
        props.hand.is_some_and(|held| held.part == part || hand.contact().is_some_and(|c| held.holds(c)));
    let tab = if props.hand == Some(hand) || (props.first && starts) { "0" } else { "-1" };
    let take = taking(props, hand);
    let (left, top, width, height) = area;
    html! {
        <g ref={group} class={classes!("rung-item", in_hand.then_some("rung-item-hand"))} onclick={take}
            data-why={super::labels::asked(&item.kind)}>
            <rect ref={touch} class="rung-touch" role="button" tabindex={tab} aria-pressed={in_hand.to_string()}
                x={(left + 2).to_string()} y={(top + 2).to_string()}
                width={(width - 4).to_string()} height={(height - 4).to_string()} />
            { inside }
        </g>
    }
}
