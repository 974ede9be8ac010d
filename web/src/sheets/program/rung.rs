//! One rung, drawn. It renders on structure only; what moves is written by [`super::rung_live`].

use super::facts::Facts;
use super::fold::{Folded, fold};
use super::rung_live::{Nodes, RungLive};
use super::sketch::Hand;
use super::symbols::{self, CELL_X, CELL_Y, LINE_Y};
use crate::hooks::use_live;
use crate::services::live::Binding;
use crate::t;
use sealin_ladder::layout::{Item, ItemKind};
use sealin_ladder::{Call, Constant, Contact, Output, Rung, Test, print_time};
use std::rc::Rc;
use web_sys::SvgElement;
use yew::prelude::*;

/// Room at the left for the number, and at the right for the rail.
const LEFT: i32 = 34;
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
    /// The controller runs this rung.
    pub runs: bool,
    /// Addresses and contacts in the field.
    pub facts: Rc<Facts>,
    /// Something is taken in hand.
    pub on_hand: Callback<Hand>,
}

/// A rung as ladder.
#[component]
pub fn RungDrawing(props: &RungProps) -> Html {
    let folded = use_memo((props.rung.clone(), props.columns), |(rung, columns)| fold(rung, *columns));
    let nodes = use_memo(folded.clone(), |folded| Nodes::new(folded));
    let number = props.index as u32;
    let deps = (folded.clone(), props.runs, number, props.facts.clone());
    use_live(deps, {
        let nodes = nodes.clone();
        move |(folded, runs, number, facts)| {
            let labels = folded.layout.items.iter().map(|item| label(&item.kind)).collect();
            let live = RungLive::new(folded.clone(), nodes, *runs, *number, facts.clone(), labels);
            vec![Binding::frame(Rc::new(move |workshop| live.draw(workshop)))]
        }
    });
    use_effect_with((props.focus, props.hand), {
        let (folded, nodes) = (folded.clone(), nodes.clone());
        move |(focus, hand)| {
            let Some(hand) = hand.filter(|_| *focus > 0) else { return };
            let at = folded.layout.items.iter().position(|item| contact_of(item) == hand.contact);
            if let Some(group) = at.and_then(|n| nodes.items[n].cast::<SvgElement>()) {
                let _ = group.focus();
            }
        }
    });

    let width = LEFT + folded.columns as i32 * CELL_X + RIGHT;
    let height = height(&folded);
    let cells = (0..folded.items.len()).map(|n| cell(props, &folded, &nodes, n));
    html! {
        <svg class="rung" viewBox={format!("0 0 {width} {height}")} width={width.to_string()} height={height.to_string()}
            role="group" aria-label={t!("program-rung", number = props.index + 1)}>
            <text class="rung-number" x="10" y={(LINE_Y + 5).to_string()}>{ props.index + 1 }</text>
            { rails(&folded, &nodes) }
            { for wires(&folded, &nodes) }
            { for cells }
            { breaks(&folded) }
        </svg>
    }
}

/// A block that is alone in its lowest row does not fill it.
fn height(folded: &Folded) -> i32 {
    let whole = folded.rows as i32 * CELL_Y;
    let lowest = folded.rows.saturating_sub(1);
    let block = matches!(folded.layout.items.last().map(|item| &item.kind), Some(ItemKind::Block(_)));
    let empty = folded.items.iter().all(|(_, row)| *row < lowest);
    if block && empty { whole - CELL_Y / 2 } else { whole }
}

fn rails(folded: &Folded, nodes: &Nodes) -> Html {
    let edge = |row: u32| (row as i32 * CELL_Y).min(height(folded));
    let (first, last) = (folded.lines[0], folded.lines[folded.lines.len() - 1]);
    let right = LEFT + folded.columns as i32 * CELL_X;
    let rail = |x: i32, line: (u32, u32)| format!("M{x} {}V{}", edge(line.0) + 8, edge(line.0 + line.1) - 2);
    html! {
        <>
            <path ref={nodes.rail.clone()} class="rung-rail" d={rail(LEFT, first)} />
            <path class="rung-rail" d={rail(right, last)} />
        </>
    }
}

/// Where lines are broken off and taken up again, by letters.
fn breaks(folded: &Folded) -> Html {
    let y = |line: &(u32, u32)| line.0 as i32 * CELL_Y + LINE_Y;
    let pairs = folded.breaks.iter().zip(folded.lines.iter().zip(&folded.lines[1..]));
    html! {
        { for pairs.enumerate().map(|(n, (edge, (line, next)))| {
            let letter = char::from(b'a' + (n % 26) as u8).to_string();
            html! {
                <>
                    { go_on(LEFT + *edge as i32 * CELL_X, y(line), &letter) }
                    { go_on(LEFT, y(next), &letter) }
                </>
            }
        }) }
    }
}

/// The mark at which a line is broken off and taken up again.
fn go_on(x: i32, y: i32, letter: &str) -> Html {
    html! {
        <g class="rung-break" aria-hidden="true">
            <circle cx={x.to_string()} cy={y.to_string()} r="8.5" />
            <text x={x.to_string()} y={(y + 4).to_string()}>{ letter }</text>
        </g>
    }
}

fn wires<'a>(folded: &'a Folded, nodes: &'a Nodes) -> impl Iterator<Item = Html> + 'a {
    let all = folded.wires.iter().map(|(_, s)| s).chain(folded.stretched.iter().map(|(_, s)| s));
    all.zip(&nodes.wires).map(|(s, node)| {
        let x = |column: u32| LEFT + column as i32 * CELL_X;
        let y = |row: u32| row as i32 * CELL_Y + LINE_Y;
        html! { <path ref={node.clone()} class="rung-line" d={format!("M{} {}L{} {}", x(s.x1), y(s.y1), x(s.x2), y(s.y2))} /> }
    })
}

fn contact_of(item: &Item) -> Option<u32> {
    match item.kind {
        ItemKind::Contact { index, .. } => Some(index),
        _ => None,
    }
}

fn cell(props: &RungProps, folded: &Folded, nodes: &Nodes, n: usize) -> Html {
    let item = &folded.layout.items[n];
    let (left, top) = (LEFT + folded.items[n].0 as i32 * CELL_X, folded.items[n].1 as i32 * CELL_Y);
    let (x, y) = (left + CELL_X / 2, top + LINE_Y);
    let (name, symbol, bit_x) = match &item.kind {
        ItemKind::Contact { contact, .. } => {
            let lead = symbols::lead(x, y, nodes.leads[n].clone());
            let closed = matches!(contact, Contact::Bit { test: Test::Closed, .. });
            let name = contact.names().next().unwrap_or_default();
            (name, html! { <>{ lead }{ symbols::contact(x, y, closed) }</> }, x + 13)
        }
        ItemKind::Link => return html! { <g ref={nodes.items[n].clone()}>{ symbols::link(x, y) }</g> },
        ItemKind::Gap => return html! { <g ref={nodes.items[n].clone()}>{ symbols::gap(x, y) }</g> },
        ItemKind::Coil(output) => (output.var(), symbols::coil(x, y, output), x + 18),
        ItemKind::Block(output) => {
            let preset = match output {
                Output::Block(Call { preset: Some(Constant::Time(preset_ms)), .. }) => print_time(*preset_ms),
                _ => String::new(),
            };
            (output.var(), symbols::timer(left, y, &preset, nodes.elapsed.clone()), left + 2 * CELL_X - 19)
        }
    };
    let is_block = matches!(item.kind, ItemKind::Block(_));
    let middle = if is_block { left + CELL_X } else { x };
    let hand = Hand { rung: props.index, contact: contact_of(item) };
    let in_hand = props.hand == Some(hand);
    let tab = if in_hand || (props.hand.is_none() && props.first && n == 0) { "0" } else { "-1" };
    let take = props.on_hand.reform(move |event: MouseEvent| {
        event.stop_propagation();
        hand
    });
    let size = (item.width as i32 * CELL_X, item.height as i32 * CELL_Y);
    let field = props.facts.contacts.get(name).map(|contact| symbols::field_contact(x - 38, y + 32, contact));
    html! {
        <g ref={nodes.items[n].clone()} class={classes!("rung-item", in_hand.then_some("rung-item-hand"))} role="button"
            tabindex={tab} aria-pressed={in_hand.to_string()} onclick={take}>
            <rect class="rung-touch" x={(left + 2).to_string()} y={(top + 2).to_string()}
                width={(size.0 - 4).to_string()} height={(size.1 - 4).to_string()} />
            <text class="rung-name" x={middle.to_string()} y={(y - 28).to_string()}>{ name }</text>
            <text class="rung-address" x={middle.to_string()} y={(y - 16).to_string()}>
                { props.facts.addresses.get(name).cloned().unwrap_or_default() }
            </text>
            { symbol }
            { symbols::bit_box(bit_x, y + 7, nodes.bits[n].clone()) }
            { field.unwrap_or_default() }
        </g>
    }
}

/// What an item is, in words.
fn label(kind: &ItemKind) -> String {
    match kind {
        ItemKind::Contact { contact: Contact::Bit { var, test: Test::Closed }, .. } => {
            t!("program-normally-closed", name = var)
        }
        ItemKind::Contact { contact, .. } => {
            t!("program-normally-open", name = contact.names().next().unwrap_or_default())
        }
        ItemKind::Coil(Output::Set { var }) => t!("program-set-coil", name = var),
        ItemKind::Coil(Output::Reset { var }) => t!("program-reset-coil", name = var),
        ItemKind::Coil(Output::Negated { var }) => t!("program-negated-coil", name = var),
        ItemKind::Coil(output) => t!("program-coil", name = output.var()),
        ItemKind::Block(output) => t!("program-timer", name = output.var()),
        ItemKind::Link => t!("program-link").to_string(),
        ItemKind::Gap => t!("program-gap").to_string(),
    }
}
