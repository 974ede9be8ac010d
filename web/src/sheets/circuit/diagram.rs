//! The circuit diagram: symbols, lines and words in drawing units, worked out from parts and conductors alone.

use super::element::{Element, Side, take_apart};
use super::layout::{Layout, lay_out, mover_of};
use super::nets::{Nets, stand_together};
use super::routing::{Routing, cell, cells, middle, units};
use super::rows::rows;
use super::symbol::{Drawing, Mark};
use super::words::{Word, headings, symbol_words, table_words};
use crate::sheets::wiring::Practice;
use crate::sheets::wiring::geometry::{Point, Rect};
use sealin_core::part::Part;
use sealin_core::plan::{Conductor, Terminal};
use std::collections::BTreeSet;

/// A symbol as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Symbol {
    /// What it is.
    pub element: Element,
    /// The room it takes; no line comes in.
    pub area: Rect,
    /// Its lines.
    pub marks: Vec<Mark>,
    /// Its words.
    pub words: Vec<Word>,
    /// Signals that its marks follow.
    pub signals: Vec<String>,
    /// Current path, from 1; none on the protective conductor.
    pub path: Option<usize>,
    /// Path of what moves it.
    pub moved_in: Option<usize>,
    /// Names of its terminals without a conductor.
    pub open: Vec<String>,
}

/// The lead of a port, from its symbol to where lines end.
#[derive(Clone, Debug, PartialEq)]
pub struct Lead {
    /// Its terminal; none inside a device.
    pub terminal: Option<Terminal>,
    /// The terminal whose potential it has: its own, or the common that it is joined to inside.
    pub source: Option<Terminal>,
    /// From the symbol.
    pub from: Point,
    /// To the farthest line.
    pub to: Point,
    /// Where lines are joined.
    pub dots: Vec<Point>,
    /// No conductor is there.
    pub open: bool,
}

/// A line from terminal to terminal.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The conductor; none inside a device.
    pub conductor: Option<Conductor>,
    /// Terminals whose potential it has.
    pub sources: Vec<Terminal>,
    /// Corners.
    pub points: Vec<Point>,
    /// Its number on it: room, and whether it reads upwards.
    pub label: Option<(Rect, bool)>,
}

/// The diagram.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Diagram {
    /// Extent.
    pub area: Rect,
    /// Symbols, by path and from above.
    pub symbols: Vec<Symbol>,
    /// Leads of the symbols' ports.
    pub leads: Vec<Lead>,
    /// Lines, in the order of the conductors.
    pub lines: Vec<Line>,
    /// Words beside the symbols: headings, numbers of paths, tables of contacts.
    pub words: Vec<Word>,
    /// Lines for which no way was found; they are drawn straight.
    pub straight: usize,
}

/// How often it is drawn until every line has its way: what found none goes first, and every second time there is more room.
const TRIES: i32 = 10;

impl Diagram {
    /// Draws what these parts and conductors are, with the symbols of a practice.
    pub fn new(parts: &[Part], conductors: &[Conductor], practice: Practice) -> Diagram {
        let mut first = BTreeSet::new();
        let mut best: Option<Diagram> = None;
        for attempt in 0..TRIES {
            let (drawn, failed) = Diagram::draw(parts, conductors, practice, attempt / 2, &first);
            if best.as_ref().is_none_or(|b| drawn.straight < b.straight) {
                best = Some(drawn);
            }
            if failed.is_empty() {
                break;
            }
            first.extend(failed);
        }
        best.unwrap_or_default()
    }

    /// A drawing with so many cells more, and the lines that found no way or no room for their number.
    fn draw(
        parts: &[Part],
        conductors: &[Conductor],
        practice: Practice,
        slack: i32,
        first: &BTreeSet<usize>,
    ) -> (Diagram, Vec<usize>) {
        let (mut elements, joints) = take_apart(parts, conductors);
        stand_together(&mut elements, conductors);
        let nets = Nets::new(&elements, conductors, &joints);
        let mut rows = rows(&mut elements, &nets);
        let layout = lay_out(&elements, &nets, &mut rows, slack);
        let mut out = Diagram { area: units((0, 0), layout.size), ..Diagram::default() };
        out.symbols = layout
            .stands
            .keys()
            .map(|e| symbol((&elements[..], *e), &nets, &layout, parts, practice))
            .collect();
        out.words = headings(&layout);
        out.words.extend(layout.tables.iter().flat_map(table_words));
        let mut routing = Routing::new(&elements, &nets, &layout);
        for word in &out.words {
            routing.grid.block(cell(word.area.x, word.area.y), cells(word.area.w), cells(word.area.h));
        }
        for table in &layout.tables {
            routing.grid.block(table.at, table.size.0, table.size.1);
        }
        let mut failed = Vec::new();
        for (k, (wire, line)) in nets.wires.iter().zip(routing.lines(conductors, first)).enumerate() {
            let conductor = wire.conductor.map(|k| conductors[k].clone());
            if line.2 {
                out.straight += 1;
                failed.push(k);
            }
            let inside = nets.common(&elements, wire.ends[0]).into_iter().collect();
            let sources = conductor.as_ref().map_or(inside, |c| vec![c.from.clone(), c.to.clone()]);
            out.lines.push(Line { conductor, sources, points: line.0, label: line.1 });
        }
        out.leads = routing.leads();
        // Those of the protective conductor, which is no current path, come last.
        let key = |s: &Symbol| (s.path.unwrap_or(usize::MAX), s.area.y);
        out.symbols.sort_by(|a, b| key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal));
        (out, failed)
    }

    /// The line of a conductor.
    #[cfg(test)]
    pub fn line(&self, id: &str) -> Option<&Line> {
        self.lines.iter().find(|l| l.conductor.as_ref().is_some_and(|c| c.id == id))
    }

    /// The symbol that has a terminal.
    pub fn symbol_of(&self, terminal: &Terminal) -> Option<usize> {
        let has = |s: &Symbol| s.element.ports.iter().any(|p| p.terminal.as_ref() == Some(terminal));
        self.symbols.iter().position(has)
    }
}

fn symbol(
    (elements, e): (&[Element], usize),
    nets: &Nets,
    layout: &Layout,
    parts: &[Part],
    practice: Practice,
) -> Symbol {
    let (element, stand) = (&elements[e], &layout.stands[&e]);
    let area = units(stand.at, stand.size);
    let ports: Vec<f64> = stand.ports.iter().map(|x| middle((*x, 0)).x).collect();
    let moved_in = mover_of(elements, e).and_then(|m| layout.stands.get(&m)?.path);
    let part = parts.iter().find(|p| p.tag == element.tag);
    let bare = element.ports.iter().enumerate().filter(|(p, _)| !nets.at.contains_key(&(e, *p)));
    let open = bare.filter_map(|(_, port)| port.terminal.as_ref()).map(|t| t.name.clone()).collect();
    Symbol {
        marks: Drawing::of(element, &ports, area.y, area.bottom(), practice),
        words: symbol_words(element, part, &ports, area, moved_in),
        signals: signals(element),
        element: element.clone(),
        area,
        path: stand.path,
        moved_in,
        open,
    }
}

/// The signals of a symbol's moving parts: its own, or one a pole.
fn signals(element: &Element) -> Vec<String> {
    if !element.signal.is_empty() {
        return vec![element.signal.clone()];
    }
    let (upper, lower): (Vec<_>, Vec<_>) = element.ports.iter().partition(|p| p.side == Side::Top);
    upper
        .iter()
        .zip(&lower)
        .filter_map(|(a, b)| Some((a.terminal.as_ref()?, b.terminal.as_ref()?)))
        .map(|(a, b)| {
            let turned = a.name.parse::<u32>().unwrap_or(0) > b.name.parse::<u32>().unwrap_or(0);
            let (a, b) = if turned { (b, a) } else { (a, b) };
            format!("{}.{}-{}", element.tag, a.name, b.name)
        })
        .collect()
}

/// A wire number as there is room for it.
pub fn shown_number(conductor: &Conductor) -> String {
    if conductor.number.chars().count() <= 8 {
        return conductor.number.clone();
    }
    conductor.number.chars().take(7).chain(['…']).collect()
}
