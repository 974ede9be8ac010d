//! Where everything stands, in cells: circuits side by side in bands, symbols in rows, tables of contacts under all.

use super::columns::{Columns, place};
use super::element::{Element, Figure, Pole, Side};
use super::figure::{CELL, SMALL_WIDE, room, wide};
use super::grid::Cell;
use super::nets::{At, Nets};
use super::rows::{Circuit, Rows};
use std::collections::BTreeMap;

/// Height of a circuit's heading with the numbers of its paths, cells.
pub const HEAD: i32 = 5;
/// Between two circuits, cells.
const BETWEEN: i32 = 5;
/// A band wider than this is broken, cells.
const WIDEST: i32 = 200;
/// Least height between two rows, cells: a tap at either end and a wire number between.
const GAP: i32 = 4;
/// Height of a line of a table, drawing units.
pub const TABLE_LINE: f64 = 9.0;

/// A symbol in its place, cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// Its element.
    pub element: usize,
    /// Upper left corner.
    pub at: Cell,
    /// Width and height.
    pub size: (i32, i32),
    /// Column of each port.
    pub ports: Vec<i32>,
    /// Number of its current path; none on the protective conductor.
    pub path: Option<usize>,
}

/// Contacts that one symbol moves, to be listed under it.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// The symbol that moves them.
    pub mover: usize,
    /// Upper left corner, cells.
    pub at: Cell,
    /// Width and height, cells.
    pub size: (i32, i32),
    /// Terminal numbers, and the path where they are drawn.
    pub lines: Vec<(String, Option<usize>)>,
}

/// A circuit's heading.
#[derive(Clone, Debug, PartialEq)]
pub struct Heading {
    /// Which circuit.
    pub circuit: Circuit,
    /// Upper left corner.
    pub at: Cell,
    /// Width.
    pub wide: i32,
}

/// The whole layout.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// Symbols, by element.
    pub stands: BTreeMap<usize, Stand>,
    /// Tables of contacts.
    pub tables: Vec<Table>,
    /// Headings.
    pub headings: Vec<Heading>,
    /// Number and column of each current path with the row it stands in.
    pub paths: Vec<(usize, Cell)>,
    /// Size of all of it.
    pub size: (i32, i32),
}

/// Number of cells that lines to a port take above or below it.
pub fn taps(element: &Element, at: At, nets: &Nets) -> i32 {
    let lines = nets.at.get(&at).map_or(0, Vec::len) as i32;
    if element.figure.is_strip() {
        return ((lines + 1) / 4).max(1);
    }
    // Branches of poles that stand side by side leave one under the other, the first pole's farthest out.
    let side = element.ports[at.1].side;
    let beside: Vec<usize> = (0..element.ports.len()).filter(|p| element.ports[*p].side == side).collect();
    let step = if lines > 1 && beside.len() > 1 { beside.iter().filter(|p| **p >= at.1).count() } else { 0 };
    (lines / 2).max(1) + step as i32
}

/// Lays everything out; `slack` gives lines so many cells more.
pub fn lay_out(elements: &[Element], nets: &Nets, rows: &mut Rows, slack: i32) -> Layout {
    let mut out = Layout::default();
    let mut corner = (2, 1);
    let mut band = 0;
    let mut number = 0;
    for section in 0..rows.sections.len() {
        let columns = place(section, elements, nets, rows, slack);
        let (tops, high) = heights(section, elements, nets, rows, &columns, slack);
        let across =
            columns.wide.max((wide(heading_of(rows.sections[section].circuit), 7.0) / CELL) as i32 + 1);
        if corner.0 > 2 && corner.0 + across > WIDEST {
            corner = (2, corner.1 + band + BETWEEN);
            band = 0;
        }
        let (x, y) = (corner.0, corner.1 + HEAD);
        out.headings.push(Heading { circuit: rows.sections[section].circuit, at: corner, wide: across });
        let mut paths = columns.paths.clone();
        paths.sort();
        // A protective conductor carries no current in normal operation, so it is no current path.
        let counts = rows.sections[section].circuit != Circuit::Earth;
        for (k, (_, e)) in paths.iter().enumerate().filter(|_| counts) {
            let first = columns.across[e].ports.first().copied().unwrap_or(0);
            out.paths.push((number + k + 1, (x + first, corner.1 + 3)));
        }
        for (e, a) in &columns.across {
            let first = a.ports.first().copied().unwrap_or(a.left);
            let path =
                counts.then(|| number + paths.iter().filter(|(left, _)| *left <= first).count().max(1));
            let high = room(&elements[*e]).high;
            let at = (x + a.left, y + tops[&rows.places[e].row]);
            let ports = a.ports.iter().map(|p| x + p).collect();
            out.stands.insert(*e, Stand { element: *e, at, size: (a.wide, high), ports, path });
        }
        number += if counts { paths.len() } else { 0 };
        let mut low = high;
        let mut next = 0;
        for mover in movers(elements).filter(|e| rows.places.get(e).is_some_and(|p| p.section == section)) {
            let lines = moved(elements, mover);
            if lines.is_empty() {
                continue;
            }
            let longest = lines.iter().map(|l| elements[*l].numbers().len() + 4).max().unwrap_or(0);
            let size = (
                ((longest as f64 * SMALL_WIDE + 4.0) / CELL).ceil() as i32,
                ((lines.len() as f64 * TABLE_LINE + 4.0) / CELL).ceil() as i32,
            );
            let left = columns.across[&mover].left.max(next);
            next = left + size.0 + 1;
            low = low.max(high + 1 + size.1);
            // The paths are known once all circuits stand.
            let lines = lines.into_iter().map(|e| (elements[e].numbers(), Some(e))).collect();
            out.tables.push(Table { mover, at: (x + left, y + high + 1), size, lines });
        }
        corner.0 += across.max(next) + BETWEEN + 2 * slack;
        band = band.max(HEAD + low);
        out.size = (out.size.0.max(corner.0), out.size.1.max(corner.1 + band + 2));
    }
    for line in out.tables.iter_mut().flat_map(|t| &mut t.lines) {
        line.1 = line.1.and_then(|e| out.stands.get(&e)?.path);
    }
    out
}

/// The words over a circuit, as long as they are.
pub fn heading_of(circuit: Circuit) -> &'static str {
    match circuit {
        Circuit::Power => crate::t!("circuit-power"),
        Circuit::AcControl => crate::t!("circuit-ac"),
        Circuit::DcControl => crate::t!("circuit-dc"),
        Circuit::Earth => crate::t!("circuit-earth"),
        Circuit::Loose => crate::t!("circuit-loose"),
    }
}

/// Symbols that move contacts elsewhere.
fn movers(elements: &[Element]) -> impl Iterator<Item = usize> + '_ {
    let moves = |e: &Element| match e.figure {
        Figure::Coil => true,
        Figure::Poles(pole) => pole != Pole::Contactor,
        _ => false,
    };
    (0..elements.len()).filter(move |e| moves(&elements[*e]))
}

/// What a symbol moves: contacts and main poles of the same part.
pub fn moved(elements: &[Element], mover: usize) -> Vec<usize> {
    let by_it = |e: &Element| {
        matches!(e.figure, Figure::Contact { .. } | Figure::Changeover | Figure::Poles(Pole::Contactor))
    };
    (0..elements.len()).filter(|e| elements[*e].tag == elements[mover].tag && by_it(&elements[*e])).collect()
}

/// What moves a contact.
pub fn mover_of(elements: &[Element], contact: usize) -> Option<usize> {
    movers(elements).find(|m| moved(elements, *m).contains(&contact))
}

/// Top of each row, and the height of all rows.
fn heights(
    section: usize,
    elements: &[Element],
    nets: &Nets,
    rows: &Rows,
    columns: &Columns,
    slack: i32,
) -> (BTreeMap<i32, i32>, i32) {
    let mut high: BTreeMap<i32, i32> = BTreeMap::new();
    let mut above: BTreeMap<i32, i32> = BTreeMap::new();
    let of_row = |e: usize| rows.places.get(&e).filter(|p| p.section == section).map(|p| p.row);
    for e in columns.across.keys() {
        let Some(row) = of_row(*e) else { continue };
        let tallest = high.entry(row).or_default();
        *tallest = (*tallest).max(room(&elements[*e]).high);
        for p in 0..elements[*e].ports.len() {
            let more = taps(&elements[*e], (*e, p), nets) - 1;
            let side = elements[*e].ports[p].side;
            let strip = elements[*e].figure.is_strip();
            for gap in [(Side::Top, row), (Side::Bottom, row + 1)] {
                if strip || gap.0 == side {
                    let least = above.entry(gap.1).or_default();
                    *least = (*least).max(more);
                }
            }
        }
    }
    // Level stretches of lines, by the gap they will lie in: the one at the port that stands lower.
    let mut level: BTreeMap<i32, Vec<(i32, i32)>> = BTreeMap::new();
    for wire in &nets.wires {
        let [a, b] = wire.ends;
        let (Some(from), Some(to)) = (of_row(a.0), of_row(b.0)) else { continue };
        let (x, z) = (columns.across[&a.0].ports[a.1], columns.across[&b.0].ports[b.1]);
        let (lower, row) = if from >= to { (a, from) } else { (b, to) };
        let under =
            elements[lower.0].ports[lower.1].side == Side::Bottom && !elements[lower.0].figure.is_strip();
        if x != z {
            level.entry(if under { row + 1 } else { row }).or_default().push((x.min(z), x.max(z)));
        }
    }
    let mut tops = BTreeMap::new();
    let mut y = 0;
    for (row, tallest) in &high {
        if !tops.is_empty() {
            let crowd = level.get(row).map_or(0, |all| density(all));
            y += GAP + crowd.min(8) + slack + above.get(row).copied().unwrap_or(0);
        }
        tops.insert(*row, y);
        y += tallest;
    }
    let last = high.keys().next_back().map_or(0, |r| r + 1);
    (tops, y + 2 + level.get(&last).map_or(0, |all| density(all)) + above.get(&last).copied().unwrap_or(0))
}

/// How many stretches lie over each other at most.
fn density(all: &[(i32, i32)]) -> i32 {
    let over = |x: i32| all.iter().filter(|(a, b)| *a <= x && x <= *b).count() as i32;
    all.iter().map(|(a, _)| over(*a)).max().unwrap_or(0)
}
