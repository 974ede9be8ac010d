//! The lines of the diagram: each on its way over the grid, with its number, and the leads to which they run.

use super::diagram::{Lead, shown_number};
use super::element::{Element, Side};
use super::figure::{CELL, SMALL_WIDE, wide};
use super::grid::{Cell, Grid, Tap};
use super::layout::{Layout, taps};
use super::nets::{At, Nets};
use crate::sheets::wiring::geometry::{Point, Rect};
use sealin_core::plan::Conductor;
use std::collections::{BTreeMap, BTreeSet};

/// The lines of a layout in the making.
pub struct Routing<'a> {
    elements: &'a [Element],
    nets: &'a Nets,
    layout: &'a Layout,
    /// Where lines may go.
    pub grid: Grid,
    /// Cells in which lines were brought to an end, by port.
    used: BTreeMap<At, Vec<Cell>>,
}

impl<'a> Routing<'a> {
    /// A grid with the symbols of a layout on it.
    pub fn new(elements: &'a [Element], nets: &'a Nets, layout: &'a Layout) -> Self {
        let mut grid = Grid::new(layout.size.0, layout.size.1);
        for stand in layout.stands.values() {
            grid.block(stand.at, stand.size.0, stand.size.1);
        }
        let mut routing = Routing { elements, nets, layout, grid, used: Default::default() };
        let mut number = 0;
        for e in layout.stands.keys() {
            for p in 0..elements[*e].ports.len() {
                for tap in routing.taps((*e, p)) {
                    routing.grid.keep(tap.at, number);
                }
                number += 1;
            }
        }
        routing
    }

    /// Where lines may end at a port.
    fn taps(&self, at: At) -> Vec<Tap> {
        let (element, stand) = (&self.elements[at.0], &self.layout.stands[&at.0]);
        let many = taps(element, at, self.nets);
        let x = stand.ports[at.1];
        let mut all = Vec::new();
        for side in [Side::Top, Side::Bottom] {
            if !element.figure.is_strip() && element.ports[at.1].side != side {
                continue;
            }
            for k in 0..many {
                let outer = k + 1 == many;
                all.push(match side {
                    Side::Top => Tap { at: (x, stand.at.1 - 1 - k), ways: [true, false, true, outer] },
                    Side::Bottom => {
                        Tap { at: (x, stand.at.1 + stand.size.1 + k), ways: [true, outer, true, false] }
                    }
                });
            }
        }
        all
    }

    /// The lines, in the order of the wires, those of `first` laid before all others: corners, label, and whether it had to be drawn straight.
    #[allow(clippy::type_complexity)]
    pub fn lines(
        &mut self,
        conductors: &[Conductor],
        first: &BTreeSet<usize>,
    ) -> Vec<(Vec<Point>, Option<(Rect, bool)>, bool)> {
        let wires = &self.nets.wires;
        let reach = |k: &usize| {
            let [a, b] = wires[*k].ends.map(|at| {
                let stand = &self.layout.stands[&at.0];
                (stand.ports[at.1], stand.at.1)
            });
            (a.0 != b.0, a.0.abs_diff(b.0) + a.1.abs_diff(b.1))
        };
        let mut order: Vec<usize> = (0..wires.len()).collect();
        order.sort_by_key(|k| (!first.contains(k), reach(k), *k));
        let mut all = vec![(Vec::new(), None, false); wires.len()];
        for k in order {
            let [a, b] = wires[k].ends;
            let (from, to) = (self.taps(a), self.taps(b));
            let text = wires[k].conductor.map(|c| shown_number(&conductors[c])).unwrap_or_default();
            let Some(way) = self.grid.route(&from, &to) else {
                all[k] = (vec![middle(from[0].at), middle(to[0].at)], None, true);
                continue;
            };
            self.used.entry(a).or_default().push(way[0]);
            self.used.entry(b).or_default().push(way[way.len() - 1]);
            let label = self.label(&way, &text);
            let failed = label.is_none() && !text.is_empty();
            all[k] = (corners(&way), label, failed);
        }
        all
    }

    fn label(&mut self, way: &[Cell], text: &str) -> Option<(Rect, bool)> {
        if text.is_empty() {
            return None;
        }
        let long = label_length(text);
        let count = cells(long) as usize;
        let first = self.grid.label(way, count)?;
        let (a, b) = (middle(way[first]), middle(way[first + count - 1]));
        let m = Point::new((a.x + b.x) / 2.0, (a.y + b.y) / 2.0);
        let upright = a.x == b.x && (count > 1 || way[first - 1].0 == way[first].0);
        let (w, h) = if upright { (LABEL_HIGH, long) } else { (long, LABEL_HIGH) };
        Some((Rect::new(m.x - w / 2.0, m.y - h / 2.0, w, h), upright))
    }

    /// The leads of all ports.
    pub fn leads(&self) -> Vec<Lead> {
        let mut all = Vec::new();
        for (e, stand) in &self.layout.stands {
            for (p, port) in self.elements[*e].ports.iter().enumerate() {
                let used = self.used.get(&(*e, p)).cloned().unwrap_or_default();
                let x = middle((stand.ports[p], 0)).x;
                let area = units(stand.at, stand.size);
                let strip = self.elements[*e].figure.is_strip();
                for side in [Side::Top, Side::Bottom] {
                    if !strip && port.side != side {
                        continue;
                    }
                    let (edge, out) = match side {
                        Side::Top => (area.y, -1.0),
                        Side::Bottom => (area.bottom(), 1.0),
                    };
                    // The circle of a strip terminal stands in the middle of its room.
                    let from = if strip { area.middle().y + out * 3.0 } else { edge };
                    let here: Vec<Point> = used
                        .iter()
                        .map(|c| middle(*c))
                        .filter(|m| (m.y - area.middle().y) * out > 0.0)
                        .collect();
                    let far = here
                        .iter()
                        .map(|m| m.y)
                        .fold(edge, |a, b| if out < 0.0 { a.min(b) } else { a.max(b) });
                    let open = port.terminal.is_some() && !self.nets.at.contains_key(&(*e, p));
                    if here.is_empty() && (strip || !open) {
                        continue;
                    }
                    let to = Point::new(x, if open { edge + out * 4.0 } else { far });
                    // Joined: several lines in one place, or one where the lead goes on.
                    let joined = |m: &&Point| m.y != far || here.iter().filter(|o| *o == *m).count() > 1;
                    let dots = here.iter().filter(joined).copied().collect();
                    all.push(Lead {
                        terminal: port.terminal.clone(),
                        source: port.terminal.clone().or_else(|| self.nets.common(self.elements, (*e, p))),
                        from: Point::new(x, from),
                        to,
                        dots,
                        open,
                    });
                }
            }
        }
        all
    }
}

/// Height of the label of a wire number.
const LABEL_HIGH: f64 = 7.6;

/// Length of the label of a wire number.
fn label_length(text: &str) -> f64 {
    wide(text, SMALL_WIDE) + 2.0
}

/// The middle of a cell.
pub fn middle((x, y): Cell) -> Point {
    Point::new((f64::from(x) + 0.5) * CELL, (f64::from(y) + 0.5) * CELL)
}

/// A box of cells in drawing units.
pub fn units(at: Cell, size: Cell) -> Rect {
    let scaled = |v: i32| f64::from(v) * CELL;
    Rect::new(scaled(at.0), scaled(at.1), scaled(size.0), scaled(size.1))
}

/// The cell of a point.
pub fn cell(x: f64, y: f64) -> Cell {
    ((x / CELL).floor() as i32, (y / CELL).floor() as i32)
}

/// Cells that a length takes.
pub fn cells(units: f64) -> i32 {
    (units / CELL).ceil() as i32
}

/// The corners of a way, ends included.
fn corners(way: &[Cell]) -> Vec<Point> {
    let bend = |k: usize| {
        k == 0 || k + 1 == way.len() || (way[k - 1].0 != way[k + 1].0 && way[k - 1].1 != way[k + 1].1)
    };
    (0..way.len()).filter(|k| bend(*k)).map(|k| middle(way[k])).collect()
}
