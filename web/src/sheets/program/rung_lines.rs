//! The lines of a rung: rails, connections, and where a long line is broken off and taken up again.

use super::block;
use super::fold::Folded;
use super::rung::LEFT;
use super::rung_live::Nodes;
use super::symbols::{CELL_X, CELL_Y, LINE_Y};
use sealin_ladder::layout::ItemKind;
use yew::prelude::*;

/// Height of the drawing: a block that is alone in its lowest row need not fill it.
pub fn height(folded: &Folded) -> i32 {
    let (items, places) = (&folded.layout.items, &folded.items);
    let bottoms = items.iter().zip(places).map(|(item, (_, row))| match &item.kind {
        ItemKind::Block { pins, .. } => *row as i32 * CELL_Y + block::depth(pins),
        _ => (*row as i32 + 1) * CELL_Y,
    });
    bottoms.max().unwrap_or(CELL_Y)
}

/// The rails at the left, and the one at the right of the last line.
pub fn rails(folded: &Folded, nodes: &Nodes) -> Html {
    let edge = |row: u32| (row as i32 * CELL_Y).min(height(folded));
    let last = folded.lines[folded.lines.len() - 1];
    let right = LEFT + folded.columns as i32 * CELL_X;
    let rail = |x: i32, (from, to): (u32, u32)| format!("M{x} {}V{}", edge(from) + 8, edge(to) - 2);
    html! {
        <>
            { for folded.rails.iter().zip(&nodes.rails).map(|(rows, node)| {
                html! { <path ref={node.clone()} class="rung-rail" d={rail(LEFT, *rows)} /> }
            }) }
            <path class="rung-rail" d={rail(right, (last.0, last.0 + last.1))} />
        </>
    }
}

/// Where lines are broken off and taken up again, by letters.
pub fn breaks(folded: &Folded) -> Html {
    let y = |row: u32| row as i32 * CELL_Y + LINE_Y;
    html! {
        { for folded.breaks.iter().enumerate().map(|(n, at)| {
            let letter = char::from(b'a' + (n % 26) as u8).to_string();
            html! {
                <>
                    { go_on(LEFT + at.column as i32 * CELL_X, y(at.row), &letter) }
                    { go_on(LEFT, y(at.next_row), &letter) }
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

/// The connections, with those that are stretched to the right.
pub fn wires<'a>(folded: &'a Folded, nodes: &'a Nodes) -> impl Iterator<Item = Html> + 'a {
    let all = folded.wires.iter().map(|(_, s)| s).chain(folded.stretched.iter().map(|(_, s)| s));
    all.zip(&nodes.wires).map(|(s, node)| {
        let x = |column: u32| LEFT + column as i32 * CELL_X;
        let y = |row: u32| row as i32 * CELL_Y + LINE_Y;
        html! { <path ref={node.clone()} class="rung-line" d={format!("M{} {}L{} {}", x(s.x1), y(s.y1), x(s.x2), y(s.y2))} /> }
    })
}
