//! A function block on a rung: its box, its pins with their bits, its preset and its value.

use super::rung_live::PinNodes;
use super::sketch::{Hand, Part};
use super::symbols::{self, CELL_X, CELL_Y, LINE_Y};
use crate::t;
use sealin_ladder::layout::{Pin, PinKind};
use sealin_ladder::{Block, Call};
use yew::prelude::*;

/// From the left edge of the block's two cells to its box, and the same at the right.
const LEAD: i32 = 22;
/// Between two pins that share a row.
const STEP: i32 = 23;
/// From the line of the first pin up to the top of the box, which holds the word for the block.
const HEAD: i32 = 27;
/// From the last pin down to the bottom of the box.
const FOOT: i32 = 14;
/// Width of a letter of a pin's name, and of a figure.
const LETTER: i32 = 7;

/// A pin and where it stands: `y` in units of the drawing, from the top of the block's first row.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PinPlace {
    /// The pin.
    pub pin: Pin,
    /// Height of its middle.
    pub y: i32,
    /// It stands at the left.
    pub left: bool,
}

/// Where the pins stand. Pins that share a row stand one under the other, those at the right below those at the left, so
/// that a preset and a value have the width of the box each.
pub fn pin_places(pins: &[Pin]) -> Vec<PinPlace> {
    let mut places: Vec<PinPlace> = Vec::with_capacity(pins.len());
    for pin in pins {
        let left = matches!(pin.kind, PinKind::Input(_) | PinKind::Preset);
        let mut y = pin.row as i32 * CELL_Y + LINE_Y;
        let is_figure = |pin: &Pin| matches!(pin.kind, PinKind::Preset | PinKind::Value);
        // Two bits face each other; a figure needs its line for itself.
        while places.iter().any(|p| p.y == y && (p.left == left || is_figure(&p.pin) || is_figure(pin))) {
            y += STEP;
        }
        places.push(PinPlace { pin: *pin, y, left });
    }
    places
}

/// Height of the drawing that a block needs below the top of its first row.
pub fn depth(pins: &[Pin]) -> i32 {
    pin_places(pins).iter().map(|place| place.y).max().unwrap_or(LINE_Y) + FOOT + 6
}

/// Words for what a block is, as they follow its name.
pub fn kind_name(block: Block) -> &'static str {
    match block {
        Block::Ton => t!("program-block-ton"),
        Block::Tof => t!("program-block-tof"),
        Block::Tp => t!("program-block-tp"),
        Block::Ctu => t!("program-block-ctu"),
        Block::Ctd => t!("program-block-ctd"),
        Block::Ctud => t!("program-block-ctud"),
        Block::Sr => t!("program-block-sr"),
        Block::Rs => t!("program-block-rs"),
        Block::RTrig => t!("program-block-r-trig"),
        Block::FTrig => t!("program-block-f-trig"),
    }
}

/// The box with its head; `x` is its left edge, `top` the top of its first row.
pub fn frame(x: i32, top: i32, call: &Call, pins: &[Pin]) -> Html {
    let (left, width) = (x + LEAD, 2 * CELL_X - 2 * LEAD);
    let line = top + LINE_Y;
    let bottom = top + depth(pins) - 6;
    let height = bottom - (line - HEAD);
    html! {
        <>
            <rect class="rung-box" x={left.to_string()} y={(line - HEAD).to_string()} width={width.to_string()}
                height={height.to_string()} />
            <text class="rung-letter" x={(left + width / 2).to_string()} y={(line - HEAD + 14).to_string()}>
                { call.block.word() }
            </text>
        </>
    }
}

/// What is drawn of one pin, and how it is taken in hand.
pub struct PinDrawing<'a> {
    /// Left edge of the block's cells.
    pub x: i32,
    /// Top of its first row.
    pub top: i32,
    /// What is called.
    pub call: &'a Call,
    /// The pin and its place.
    pub place: PinPlace,
    /// Its nodes.
    pub nodes: &'a PinNodes,
    /// What it is in hand as; none for one that is only read.
    pub hand: Option<Hand>,
    /// It is in hand.
    pub in_hand: bool,
    /// Takes it in hand.
    pub on_hand: Callback<(Hand, bool)>,
}

impl PinDrawing<'_> {
    /// The pin: lead, name, and bit or figure.
    pub fn draw(&self) -> Html {
        let PinPlace { pin, y, left } = self.place;
        let y = self.top + y;
        let (inner, outer) = (self.x + LEAD + 7, self.x + 2 * CELL_X - LEAD - 7);
        let (at, anchor) = if left { (inner, "start") } else { (outer, "end") };
        let beside = pin.name.len() as i32 * LETTER + 5;
        let inside = match pin.kind {
            PinKind::Input(_) => symbols::bit_box(inner + beside, y - 7, self.nodes.text.clone()),
            PinKind::Output => symbols::bit_box(outer - beside - 17, y - 7, self.nodes.text.clone()),
            PinKind::Preset => {
                let preset = self.call.preset.map_or(String::new(), |preset| preset.to_string());
                html! { <text class="rung-value" x={(inner + beside).to_string()} y={(y + 4).to_string()}>{ preset }</text> }
            }
            PinKind::Value => html! {
                <text ref={self.nodes.text.clone()} class="rung-value" x={(outer - beside).to_string()}
                    y={(y + 4).to_string()} text-anchor="end" />
            },
        };
        let (from, to) = if left { (self.x, inner - 7) } else { (outer + 7, outer + LEAD) };
        let lead = match pin.kind {
            // An open input has a stump that reaches nothing.
            PinKind::Input(None) => (from + LEAD / 2, to),
            PinKind::Input(Some(_)) | PinKind::Output => (from, to),
            PinKind::Preset | PinKind::Value => (to, to),
        };
        let name = html! {
            <>
                <path ref={self.nodes.lead.clone()} class="rung-line" d={format!("M{} {y}H{}", lead.0, lead.1)} />
                <text class="rung-pin" x={at.to_string()} y={(y + 4).to_string()} text-anchor={anchor}>{ pin.name }</text>
                { inside }
            </>
        };
        match self.hand {
            Some(hand) => self.touchable(hand, y, name),
            None => html! { <g ref={self.nodes.group.clone()} class="rung-pin-group">{ name }</g> },
        }
    }

    fn touchable(&self, hand: Hand, y: i32, name: Html) -> Html {
        let take = self.on_hand.reform(move |event: MouseEvent| {
            event.stop_propagation();
            (hand, event.shift_key())
        });
        let (x, width, half) = match hand.part {
            Part::Preset => (self.x + LEAD, 2 * CELL_X - 2 * LEAD, 11),
            _ => (self.x, LEAD + 50, 21),
        };
        html! {
            <g ref={self.nodes.group.clone()} class={classes!("rung-item", self.in_hand.then_some("rung-item-hand"))}
                onclick={take}>
                <rect ref={self.nodes.touch.clone()} class="rung-touch" role="button"
                    tabindex={if self.in_hand { "0" } else { "-1" }} aria-pressed={self.in_hand.to_string()} x={x.to_string()} y={(y - half).to_string()} width={width.to_string()}
                    height={(2 * half).to_string()} />
                { name }
            </g>
        }
    }
}

/// What a pin is, in words.
pub fn pin_label(call: &Call, pin: &Pin) -> String {
    let name = format!("{}.{}", call.instance, pin.name);
    match pin.kind {
        PinKind::Input(None) => t!("program-pin-open", name = name),
        PinKind::Input(Some(_)) => t!("program-pin-input", name = name),
        PinKind::Preset => {
            t!(
                "program-pin-preset",
                name = name,
                value = call.preset.map_or(String::new(), |preset| preset.to_string())
            )
        }
        PinKind::Output | PinKind::Value => name,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sealin_ladder::layout::ItemKind;
    use sealin_ladder::{Network, Output, Rung};

    fn pins(block: Block) -> Vec<Pin> {
        let further = vec![None; block.inputs().len() - 1];
        let call = Call { instance: "x".into(), block, further, preset: None };
        let rung = Rung { comment: String::new(), logic: Network::open("a"), output: Output::Block(call) };
        match sealin_ladder::lay_out(&rung).items.pop().unwrap().kind {
            ItemKind::Block { pins, .. } => pins,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn no_two_pins_meet_and_all_lie_in_their_rows() {
        for block in Block::ALL {
            let pins = pins(block);
            let places = pin_places(&pins);
            for (n, place) in places.iter().enumerate() {
                assert!(place.y >= place.pin.row as i32 * CELL_Y + LINE_Y);
                for other in &places[n + 1..] {
                    assert!((place.left, place.y) != (other.left, other.y), "{block:?}");
                }
            }
            let rows = pins.iter().map(|pin| pin.row + 1).max().unwrap() as i32;
            let needed = if rows == 1 && block.preset().is_some() { 2 } else { rows };
            assert!(depth(&pins) <= needed * CELL_Y, "{block:?} needs {}", depth(&pins));
        }
    }

    #[test]
    fn a_timer_has_its_preset_over_its_time() {
        let places = pin_places(&pins(Block::Ton));
        let seen: Vec<_> = places.iter().map(|place| (place.pin.name, place.y, place.left)).collect();
        let y = |steps: i32| LINE_Y + steps * STEP;
        assert_eq!(seen, [("IN", y(0), true), ("PT", y(1), true), ("Q", y(0), false), ("ET", y(2), false)]);
    }
}
