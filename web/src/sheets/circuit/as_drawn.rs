//! The diagram for paper: at rest and without voltage, as a diagram is drawn (IEC 61082-1). Nothing of it follows the bench
//! where the live layer is not provided.

use super::diagram::shown_number;
use super::figure::SMALL_WIDE;
use super::sight::Sight;
use super::windows::{Edge, GoesOn, Window, cropped, goes_on, path_heads, windows};
use super::{Drawn, Shared};
use crate::sheets::wiring::Rect;
use crate::sheets::wiring::sight::backdrop::number;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// Room above a window for the numbers of the current paths, units.
const HEAD: f64 = 13.0;
/// The letters of the smallest drawing are not made larger than this many times the least.
const MOST: f64 = 1.5;
/// The smallest figures of the diagram, units: wire numbers (`circuit.css`).
const SMALLEST: f64 = 7.2;
/// Besides its number, what goes on has an arrow and the number of a sheet, characters.
const SHEET: usize = 4;

/// The diagram on sheets that have a room of so many mm, each with what it shows; letters are `least_mm` high at least. More
/// than one begin with a plan of all.
pub fn as_drawn(drawn: &Shared, room: (f64, f64), least_mm: f64) -> Vec<(Option<String>, Html)> {
    let scale = least_mm / SMALLEST;
    let (w, h) = (drawn.area.w + 8.0, drawn.area.h + 8.0);
    if w * scale <= room.0 && h * scale <= room.1 {
        let whole = Rect::new(drawn.area.x - 4.0, drawn.area.y - 4.0, w, h);
        return vec![(
            None,
            html! { <AsDrawn drawn={drawn.clone()} window={whole} sheet={whole} on={Vec::new()} heads={Vec::new()} /> },
        )];
    }
    let sheet = (room.0 / scale, room.1 / scale);
    let numbers = drawn.lines.iter().filter_map(|l| l.conductor.as_ref());
    let longest = numbers.map(|c| shown_number(c).chars().count()).max().unwrap_or(0);
    let beside = (longest + SHEET) as f64 * SMALL_WIDE + 2.0;
    let all = windows(drawn, sheet, beside);
    let parts: Vec<Part> = (0..all.len()).map(|n| Part::of(drawn, &all, n, beside)).collect();
    // Where the sheets have room left, all of them are drawn larger, by the same measure.
    let fit = |part: &Part| (sheet.0 / part.taken.w).min(sheet.1 / part.taken.h);
    let larger = parts.iter().map(fit).fold(MOST, f64::min).max(1.0);
    let sheet = (sheet.0 / larger, sheet.1 / larger);
    let mut out = vec![(Some(t!("circuit-plan").to_string()), plan(drawn, &all, room, least_mm))];
    out.extend(parts.into_iter().zip(&all).map(|(part, window)| {
        let m = part.taken.middle();
        let sheet = Rect::new(m.x - sheet.0 / 2.0, m.y - sheet.1 / 2.0, sheet.0, sheet.1);
        let Part { drawn, on, heads, .. } = part;
        (Some(shows(window)), html! { <AsDrawn {drawn} window={window.area} {sheet} {on} {heads} /> })
    }));
    out
}

/// What a sheet shows.
struct Part {
    /// What is in the window.
    drawn: Shared,
    /// Lines that leave it.
    on: Vec<GoesOn>,
    /// Numbers of the current paths above it, each with the end of its foot.
    heads: Vec<(f64, f64, String)>,
    /// The window with all that stands around it.
    taken: Rect,
}

impl Part {
    /// Of a window, where the name of a line that goes on is so long.
    fn of(drawn: &Shared, all: &[Window], n: usize, beside: f64) -> Part {
        let area = all[n].area;
        let on = goes_on(drawn, all, n);
        let room = |edge: Edge| if on.iter().any(|one| one.edge == edge) { beside } else { 0.0 };
        let (left, top) = (room(Edge::Left), room(Edge::Top));
        // At the left of what goes on upwards, as tags stand at the left of a path.
        let heads: Vec<(f64, f64, String)> =
            path_heads(drawn, &all[n]).into_iter().map(|(x, text)| (x - 5.0, area.y - 3.0, text)).collect();
        let top = if heads.is_empty() { top } else { top.max(HEAD) };
        let (w, h) = (area.w + left + room(Edge::Right), area.h + top + room(Edge::Bottom));
        let taken = Rect::new(area.x - left, area.y - top, w, h);
        let Drawn { parts, conductors, .. } = &*drawn.0;
        let diagram = cropped(drawn, area);
        let drawn = Shared(Rc::new(Drawn { diagram, parts: parts.clone(), conductors: conductors.clone() }));
        Part { drawn, on, heads, taken }
    }
}

/// What is in a window, in words.
fn shows(window: &Window) -> String {
    let what = match window.paths {
        Some((first, last)) if first == last => t!("circuit-one-path", path = first),
        Some((first, last)) => t!("circuit-paths", first = first, last = last),
        None => t!("circuit-earth").to_string(),
    };
    let (row, rows) = window.row;
    if rows > 1 { t!("circuit-rows", what = what, row = row, rows = rows) } else { what }
}

/// Number of a window's sheet: the plan is the first.
fn sheet_of(window: usize) -> usize {
    window + 2
}

/// All of the diagram without its words, and on it the sheets.
fn plan(drawn: &Shared, all: &[Window], room: (f64, f64), least_mm: f64) -> Html {
    let a = drawn.area;
    let scale = (room.0 / (a.w + 8.0)).min(room.1 / (a.h + 8.0));
    let size = least_mm * 1.15 / scale;
    let notes = [t!("circuit-plan-on"), t!("circuit-plan-moved")];
    // Room for the words under the drawing.
    let below = size * 1.4 * notes.len() as f64;
    let view = [a.x - 4.0, a.y - 4.0, a.w + 8.0, a.h + 8.0 + below].map(number).join(" ");
    html! {
        <svg class="zoomed-drawing circuit-drawing circuit-plan" viewBox={view} role="img" aria-label={t!("circuit-title")}>
            <Sight drawn={drawn.clone()} selection={None} at={usize::MAX} />
            { for all.iter().enumerate().map(|(n, window)| {
                let r = window.area;
                html! {
                    <g class="circuit-sheet">
                        <rect x={number(r.x)} y={number(r.y)} width={number(r.w)} height={number(r.h)} />
                        <text x={number(r.x + size * 0.4)} y={number(r.y + size * 1.2)} font-size={number(size)}>
                            { t!("circuit-on-sheet", sheet = sheet_of(n), what = shows(window)) }
                        </text>
                    </g>
                }
            }) }
            { for notes.into_iter().enumerate().map(|(n, note)| html! {
                <text class="circuit-note" x={number(a.x)} y={number(a.bottom() + size * 1.4 * (n + 1) as f64)}
                    font-size={number(size)}>{ note }</text>
            }) }
        </svg>
    }
}

#[derive(Properties, PartialEq)]
struct AsDrawnProps {
    /// What is in the window.
    drawn: Shared,
    /// What of it is shown.
    window: Rect,
    /// The sheet's room, with the window and what stands around it in its middle.
    sheet: Rect,
    /// Lines that leave the window.
    on: Vec<GoesOn>,
    /// Numbers of the current paths above the window, each with the end of its foot.
    heads: Vec<(f64, f64, String)>,
}

/// A window of the diagram.
#[component]
fn AsDrawn(props: &AsDrawnProps) -> Html {
    let view = |r: Rect| [r.x, r.y, r.w, r.h].map(number).join(" ");
    let w = props.window;
    html! {
        <svg class="zoomed-drawing circuit-drawing circuit-paper" viewBox={view(props.sheet)} role="img" aria-label={t!("circuit-title")}>
            <svg x={number(w.x)} y={number(w.y)} width={number(w.w)} height={number(w.h)} viewBox={view(w)}>
                <Sight drawn={props.drawn.clone()} selection={None} at={usize::MAX} />
            </svg>
            { for props.on.iter().map(reference) }
            { for props.heads.iter().map(|(x, y, text)| html! {
                <text class="circuit-path" text-anchor="end" x={number(*x)} y={number(*y)}>{ text.clone() }</text>
            }) }
        </svg>
    }
}

/// Beside the edge: the line's number and the sheet where it goes on.
fn reference(on: &GoesOn) -> Html {
    let text = format!("{} →{}", on.number, sheet_of(on.to));
    let text = text.trim();
    let (x, y) = (on.at.x, on.at.y);
    let upright = matches!(on.edge, Edge::Top | Edge::Bottom);
    // Upwards; above the edge it begins there, under it it ends there.
    let (x, y, anchor) = match on.edge {
        Edge::Left => (x - 2.0, y + 2.6, "end"),
        Edge::Right => (x + 2.0, y + 2.6, "start"),
        Edge::Top => (x + 2.6, y - 2.0, "start"),
        Edge::Bottom => (x + 2.6, y + 2.0, "end"),
    };
    let turned = if upright { " rotate(-90)" } else { "" };
    html! {
        <text class="circuit-number" text-anchor={anchor} transform={format!("translate({} {}){turned}", number(x), number(y))}>
            { text.to_string() }
        </text>
    }
}
