//! Symbols of the ladder after IEC 61131-3, and the contact in the field behind one, drawn about a given point.

use crate::loop_strip::follow::FieldContact;
use sealin_ladder::{Contact, Output, Test};
use yew::prelude::*;

/// Width of a cell.
pub const CELL_X: i32 = 86;
/// Height of a cell.
pub const CELL_Y: i32 = 86;
/// From the top of a cell to its line.
pub const LINE_Y: i32 = 43;
/// Half the gap between the bars of a contact of a bit.
const BAR: i32 = 7;
/// Half the height of the bars.
const TALL: i32 = 11;

/// Half the gap between the bars of a comparison, which holds its sign.
const WIDE_BAR: i32 = 15;

/// Half the gap between the bars of a contact.
fn bar(contact: &Contact) -> i32 {
    match contact {
        Contact::Compare(_) => WIDE_BAR,
        Contact::Bit { .. } => BAR,
    }
}

/// A contact with its right lead; the line lies at height `y`, the middle at `x`. The left lead has the state of what
/// reaches it, and is drawn by [`lead`]. Between the bars stands what the standard has there (IEC 61131-3, ladder
/// diagram, contacts): nothing, a slash, P, N, or the sign of a comparison.
pub fn contact(x: i32, y: i32, contact: &Contact) -> Html {
    let bar = bar(contact);
    let slash = match contact {
        Contact::Bit { test: Test::Closed, .. } => {
            format!("M{} {}L{} {}", x - bar, y + TALL, x + bar, y - TALL)
        }
        _ => String::new(),
    };
    let d = format!(
        "M{} {}V{}M{} {}V{}M{} {y}H{}{slash}",
        x - bar,
        y - TALL,
        y + TALL,
        x + bar,
        y - TALL,
        y + TALL,
        x + bar,
        x + CELL_X / 2,
    );
    let inside = match contact {
        Contact::Bit { test: Test::Rising, .. } => "P",
        Contact::Bit { test: Test::Falling, .. } => "N",
        Contact::Bit { .. } => "",
        Contact::Compare(comparison) => comparison.relation.sign(),
    };
    html! { <><path class="rung-symbol" d={d} />{ letter(x, y, inside) }</> }
}

fn letter(x: i32, y: i32, letter: &'static str) -> Html {
    if letter.is_empty() {
        return Html::default();
    }
    html! { <text class="rung-letter" x={x.to_string()} y={(y + 4).to_string()}>{ letter }</text> }
}

/// The left lead of a contact.
pub fn lead(x: i32, y: i32, contact: &Contact, node: NodeRef) -> Html {
    let end = x - bar(contact);
    html! { <path ref={node} class="rung-line" d={format!("M{} {y}H{end}", x - CELL_X / 2)} /> }
}

/// A gap (`FALSE`): the line is open.
pub fn gap(x: i32, y: i32) -> Html {
    html! { <path class="rung-symbol" d={format!("M{} {y}h24M{} {y}h24", x - CELL_X / 2, x + CELL_X / 2 - 24)} /> }
}

/// A plain link (`TRUE`).
pub fn link(x: i32, y: i32) -> Html {
    html! { <path class="rung-symbol" d={format!("M{} {y}h{CELL_X}", x - CELL_X / 2)} /> }
}

/// A coil with its leads. Inside stands what the standard has there (IEC 61131-3, ladder diagram, coils).
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
        Output::Set { .. } => letter(x, y, "S"),
        Output::Reset { .. } => letter(x, y, "R"),
        Output::Rising { .. } => letter(x, y, "P"),
        Output::Falling { .. } => letter(x, y, "N"),
        Output::Negated { .. } => {
            html! { <path class="rung-symbol" d={format!("M{} {}l12 -20", x - 6, y + 10)} /> }
        }
        Output::Coil { .. } | Output::Block(_) => Html::default(),
    };
    html! { <><path class="rung-symbol" d={d} />{ inside }</> }
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
        <g class="rung-field" data-rest={if contact.make { "open" } else { "closed" }}>
            <path d={format!("M{x} {y}h6M{} {y}h6{stop}", x + 17)} />
            <path class="rung-field-open" d={format!("M{} {y}l11 -7", x + 6)} />
            <path class="rung-field-closed" d={format!("M{} {y}h11", x + 6)} />
            <circle cx={(x + 6).to_string()} cy={y.to_string()} r="1.8" />
            <text x={(x + 27).to_string()} y={(y + 4).to_string()}>{ contact.name() }</text>
        </g>
    }
}
