//! Symbols of the ladder after IEC 61131-3, and the contact in the field behind one, drawn about a given point.

use crate::loop_strip::follow::FieldContact;
use sealin_ladder::Output;
use yew::prelude::*;

/// Width of a cell.
pub const CELL_X: i32 = 86;
/// Height of a cell.
pub const CELL_Y: i32 = 86;
/// From the top of a cell to its line.
pub const LINE_Y: i32 = 43;
/// Half the gap between the bars of a contact.
const BAR: i32 = 7;
/// Half the height of the bars.
const TALL: i32 = 11;

/// A contact with its right lead; the line lies at height `y`, the middle at `x`. The left lead has the state of what
/// reaches it, and is drawn by [`lead`].
pub fn contact(x: i32, y: i32, negated: bool) -> Html {
    let slash =
        if negated { format!("M{} {}L{} {}", x - BAR, y + TALL, x + BAR, y - TALL) } else { String::new() };
    let d = format!(
        "M{} {}V{}M{} {}V{}M{} {y}H{}{slash}",
        x - BAR,
        y - TALL,
        y + TALL,
        x + BAR,
        y - TALL,
        y + TALL,
        x + BAR,
        x + CELL_X / 2,
    );
    html! { <path class="rung-symbol" d={d} /> }
}

/// The left lead of a contact.
pub fn lead(x: i32, y: i32, node: NodeRef) -> Html {
    html! { <path ref={node} class="rung-line" d={format!("M{} {y}H{}", x - CELL_X / 2, x - BAR)} /> }
}

/// A gap (`FALSE`): the line is open.
pub fn gap(x: i32, y: i32) -> Html {
    html! { <path class="rung-symbol" d={format!("M{} {y}h24M{} {y}h24", x - CELL_X / 2, x + CELL_X / 2 - 24)} /> }
}

/// A plain link (`TRUE`).
pub fn link(x: i32, y: i32) -> Html {
    html! { <path class="rung-symbol" d={format!("M{} {y}h{CELL_X}", x - CELL_X / 2)} /> }
}

/// A coil with its leads.
pub fn coil(x: i32, y: i32, output: &Output) -> Html {
    let half = CELL_X / 2;
    let d = format!(
        "M{} {y}H{}M{} {}Q{} {y} {} {}M{} {}Q{} {y} {} {}M{} {y}H{}",
        x - half,
        x - 13,
        x - 8,
        y - 13,
        x - 18,
        x - 8,
        y + 13,
        x + 8,
        y - 13,
        x + 18,
        x + 8,
        y + 13,
        x + 13,
        x + half,
    );
    let inside = match output {
        Output::Set { .. } => {
            html! { <text class="rung-letter" x={x.to_string()} y={(y + 5).to_string()}>{ "S" }</text> }
        }
        Output::Reset { .. } => {
            html! { <text class="rung-letter" x={x.to_string()} y={(y + 5).to_string()}>{ "R" }</text> }
        }
        Output::Negated { .. } => {
            html! { <path class="rung-symbol" d={format!("M{} {}l12 -20", x - 6, y + 10)} /> }
        }
        _ => Html::default(),
    };
    html! { <><path class="rung-symbol" d={d} />{ inside }</> }
}

/// The box of an on-delay timer, two cells wide and high; `x` is its left edge, `y` the height of its first line. The
/// elapsed time is written by the live layer.
pub fn timer(x: i32, y: i32, preset: &str, elapsed: NodeRef) -> Html {
    let (left, width) = (x + 22, 2 * CELL_X - 44);
    let text = |class: &'static str, at: i32, down: i32, anchor: &'static str, text: &str| {
        html! { <text class={class} x={at.to_string()} y={(y + down).to_string()} text-anchor={anchor}>{ text }</text> }
    };
    let (inner, outer) = (left + 7, left + width - 7);
    html! {
        <>
            <path class="rung-symbol" d={format!("M{x} {y}H{left}M{} {y}h22", left + width)} />
            <rect class="rung-box" x={left.to_string()} y={(y - 14).to_string()} width={width.to_string()} height="82" />
            { text("rung-letter", left + width / 2, 4, "middle", "TON") }
            { text("rung-pin", inner, 4, "start", "IN") }
            { text("rung-pin", outer, 4, "end", "Q") }
            { text("rung-pin", inner, 30, "start", "PT") }
            { text("rung-value", outer, 30, "end", preset) }
            { text("rung-pin", inner, 52, "start", "ET") }
            <text ref={elapsed} class="rung-value" x={outer.to_string()} y={(y + 52).to_string()} text-anchor="end" />
        </>
    }
}

/// A box for a bit, its upper left corner at (`x`, `y`); the bit itself is written by the live layer.
pub fn bit_box(x: i32, y: i32, text: NodeRef) -> Html {
    html! {
        <>
            <rect class="rung-bit" x={x.to_string()} y={y.to_string()} width="15" height="15" />
            <text ref={text} class="rung-bit-text" x={format!("{}.5", x + 7)} y={(y + 12).to_string()} />
        </>
    }
}

/// The contact in the field, small: a make contact hangs open, a break contact has the stop that it lies against. In
/// which of its two places it is, is an attribute that the live layer writes on the group around it.
pub fn field_contact(x: i32, y: i32, contact: &FieldContact) -> Html {
    let stop = if contact.make { String::new() } else { format!("M{} {}v-9", x + 17, y) };
    html! {
        <g class="rung-field">
            <path d={format!("M{x} {y}h6M{} {y}h6{stop}", x + 17)} />
            <path class="rung-field-open" d={format!("M{} {y}l11 -7", x + 6)} />
            <path class="rung-field-closed" d={format!("M{} {y}h11", x + 6)} />
            <circle cx={(x + 6).to_string()} cy={y.to_string()} r="1.8" />
            <text x={(x + 27).to_string()} y={(y + 4).to_string()}>{ contact.name() }</text>
        </g>
    }
}
