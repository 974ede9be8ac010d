//! The panel drawing: where every device, terminal, rail and slotted duct is. In drawing units, about a millimetre.

pub mod american;
mod away;
mod devices;
mod machine;
mod outside;
mod rails;
pub mod shape;
mod spot;
mod strips;
pub mod symbols;
#[cfg(test)]
mod tests;

use super::class::Practice;
use super::geometry::{Point, Rect};
use devices::shape;
use rails::{room, rows};
use sealin_core::part::{Kind, Part, Place};
use sealin_core::plan::Terminal;
use shape::{Anchor, Edge, Shape};
use std::collections::BTreeMap;
use strips::is_bonded;

/// Width of the drawing.
pub const WIDTH: f64 = 900.0;
/// Left column: operator station and field.
const COLUMN: f64 = 118.0;
/// From a terminal to the duct: room for the ferrule.
const STUB: f64 = 28.0;
/// The same above terminal strips, where the potential stands in line with the ferrule.
const STRIP_STUB: f64 = 46.0;
/// Height of a duct.
const DUCT: f64 = 24.0;
/// Height of the duct above terminal strips, where everything comes together.
const STRIP_DUCT: f64 = 40.0;
/// Width of an upright duct.
const UPRIGHT: f64 = 30.0;
/// The cable run between column and panel.
const RUN: Rect = Rect::new(140.0, 0.0, 34.0, 0.0);
/// Outer edge of the panel.
const WALL_X: f64 = 176.0;
/// Thickness of the wall.
const WALL: f64 = 4.0;
/// Least gap between devices on a rail.
const GAP: f64 = 4.0;
/// Largest gap between devices on a rail.
const WIDE_GAP: f64 = 24.0;

/// A slotted duct, or the cable run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Duct {
    /// Its area.
    pub area: Rect,
    /// Whether it runs from left to right.
    pub level: bool,
    /// The cable run outside the panel; it meets only the uppermost and lowest duct.
    pub outside: bool,
}

/// A device on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Its tag.
    pub tag: String,
    /// What it is for.
    pub function: String,
    /// Its outline.
    pub area: Rect,
    /// What is drawn in it.
    pub shape: Shape,
}

/// A box around devices outside the panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// Its area.
    pub area: Rect,
    /// What is in it.
    pub holds: Outside,
}

/// Groups of devices outside the panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outside {
    /// The end of the supply cable.
    Supply,
    /// The operator station.
    Station,
    /// What else is in the field.
    Field,
}

/// A place where a conductor can be put in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clamp {
    /// Where it is.
    pub at: Point,
    /// Which way its conductors leave.
    pub edge: Edge,
    /// The duct they go into.
    pub duct: usize,
}

/// A terminal on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Its clamps; two on a terminal strip: above for the panel, below for the field.
    pub clamps: Vec<Clamp>,
    /// Where a pointer takes it.
    pub hit: Rect,
    /// Where its number is written.
    pub label: Point,
    /// How the number is set.
    pub anchor: Anchor,
    /// Index of the device.
    pub device: usize,
    /// The potential is printed beyond the ferrule, not beside it.
    pub narrow: bool,
}

/// The whole drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Size of the drawing.
    pub area: Rect,
    /// Devices: panel by rail, then operator station, then field.
    pub devices: Vec<Device>,
    /// Boxes outside the panel.
    pub frames: Vec<Frame>,
    /// Rails.
    pub rails: Vec<Rect>,
    /// Ducts.
    pub ducts: Vec<Duct>,
    /// Outline of the panel.
    pub wall: Rect,
    /// Terminals.
    pub spots: BTreeMap<Terminal, Spot>,
}

/// Draws the panel. `rails` lists the tags on each rail from the left; panel devices that it does not name get a
/// place by what they are, and a rail that is too full goes on on another below it. The symbols are those of the practice; every place
/// is the same with both.
pub fn lay_out(parts: &[Part], rails: &[Vec<String>], practice: Practice) -> Panel {
    let (left, right) = (WALL_X + WALL + UPRIGHT + 4.0, WIDTH - WALL - UPRIGHT - 7.0);
    let rows = rows(parts, rails, right - left);
    let mut panel = Panel {
        area: Rect::default(),
        devices: Vec::new(),
        frames: Vec::new(),
        rails: Vec::new(),
        ducts: Vec::new(),
        wall: Rect::default(),
        spots: BTreeMap::new(),
    };
    let has_strips = |row: Option<&Vec<&Part>>| row.is_some_and(|r| r.iter().any(|p| is_strip(p)));
    let level = |y, below: Option<&Vec<&Part>>| Duct {
        area: Rect::new(
            WALL_X + WALL,
            y,
            WIDTH - 3.0 - WALL - WALL_X - WALL,
            if has_strips(below) { STRIP_DUCT } else { DUCT },
        ),
        level: true,
        outside: false,
    };
    let mut y = WALL;
    panel.ducts.push(level(y, rows.first()));
    for (r, row) in rows.iter().enumerate() {
        let room = room(row, right - left);
        let shapes: Vec<Shape> = row.iter().map(|part| shape(part, room, practice)).collect();
        let tallest = shapes.iter().map(|s| s.h).fold(0.0, f64::max);
        let strips = has_strips(Some(row));
        let duct = panel.ducts.len() - 1;
        let top = panel.ducts[duct].area.bottom() + if strips { STRIP_STUB } else { STUB };
        panel.rails.push(Rect::new(left - 4.0, top + tallest / 2.0 - 6.0, right - left + 8.0, 12.0));
        let used: f64 = shapes.iter().map(|s| s.w).sum();
        let gap = ((right - left - used) / shapes.len() as f64).clamp(GAP, WIDE_GAP);
        let mut x = left + (gap - GAP) / 2.0;
        for (part, s) in row.iter().zip(shapes) {
            // All stand with their upper edge in one line, so that every conductor reaches both ducts.
            let area = Rect::new(x, top, s.w, tallest);
            x += s.w + gap;
            panel.place(part, stretched(s, tallest), area, [duct, duct + 1], strips);
        }
        y = top + tallest + STUB;
        panel.ducts.push(level(y, rows.get(r + 1)));
    }
    let height = panel.ducts.last().map_or(y, |d| d.area.bottom()) + WALL;
    for x in [WALL_X + WALL, WIDTH - 3.0 - WALL - UPRIGHT] {
        let area = Rect::new(x, WALL, UPRIGHT, height - 2.0 * WALL);
        panel.ducts.push(Duct { area, level: false, outside: false });
    }
    panel.wall = Rect::new(WALL_X, 0.0, WIDTH - 3.0 - WALL_X, height);
    let run = panel.ducts.len();
    let bottom = panel.outside(parts, run, height, practice);
    panel.ducts.push(Duct { area: Rect { h: bottom.max(height), ..RUN }, level: false, outside: true });
    panel.area = Rect::new(0.0, 0.0, WIDTH, bottom.max(height));
    panel
}

impl Panel {
    /// Terminals in the order in which they are drawn: by device, along its edges.
    pub fn order(&self) -> impl Iterator<Item = &Terminal> {
        self.devices.iter().flat_map(move |d| {
            let of = d.shape.pins.iter().map(|pin| Terminal::new(&d.tag, &pin.name));
            of.filter_map(|t| self.spots.get_key_value(&t).map(|(k, _)| k)).collect::<Vec<_>>()
        })
    }

    /// The terminal under a pointer: the nearest within `reach`.
    pub fn terminal_at(&self, p: Point, reach: f64) -> Option<&Terminal> {
        self.terminals_near(p, reach).into_iter().next()
    }

    /// Terminals within `reach` of a point, nearest first.
    pub fn terminals_near(&self, p: Point, reach: f64) -> Vec<&Terminal> {
        let mut found: Vec<(f64, &Terminal)> = self
            .spots
            .iter()
            .map(|(t, spot)| (spot.hit.distance(p) + spot.hit.middle().distance(p) / 1000.0, t))
            .filter(|(d, _)| *d <= reach)
            .collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().map(|(_, t)| t).collect()
    }

    /// The next terminal from `from` in a direction, for arrow keys: near, and more ahead than aside.
    pub fn next(&self, from: &Terminal, dx: f64, dy: f64) -> Option<&Terminal> {
        let start = self.spots.get(from)?.hit.middle();
        self.spots
            .iter()
            .filter_map(|(t, spot)| {
                let m = spot.hit.middle();
                let ahead = (m.x - start.x) * dx + (m.y - start.y) * dy;
                let aside = ((m.x - start.x) * dy).abs() + ((m.y - start.y) * dx).abs();
                (ahead > 1.0 && aside <= ahead * 3.0).then_some((ahead + 2.0 * aside, t))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, t)| t)
    }

    /// Puts a device on the drawing with its terminals. `ducts` are those above and below, or beside it twice.
    fn place(&mut self, part: &Part, shape: Shape, area: Rect, ducts: [usize; 2], narrow: bool) {
        let device = self.devices.len();
        for pin in &shape.pins {
            let clamps: Vec<Clamp> = pin
                .clamps
                .iter()
                .map(|c| Clamp {
                    at: Point::new(area.x + c.at.x, area.y + c.at.y),
                    edge: c.edge,
                    duct: if c.edge == Edge::Bottom { ducts[1] } else { ducts[0] },
                })
                .collect();
            let Some(first) = clamps.first() else { continue };
            let (x, y) = (first.at.x, first.at.y);
            let hit = match (first.edge, clamps.len()) {
                (_, 2..) => Rect::new(x - pin.half, area.y - 4.0, 2.0 * pin.half, area.h + 8.0),
                (Edge::Top, _) => Rect::new(x - pin.half.min(12.0), y - 5.0, 2.0 * pin.half.min(12.0), 21.0),
                (Edge::Bottom, _) => {
                    Rect::new(x - pin.half.min(12.0), y - 16.0, 2.0 * pin.half.min(12.0), 21.0)
                }
                (Edge::Right, _) => Rect::new(x - 24.0, y - pin.half, 29.0, 2.0 * pin.half),
            };
            let label = Point::new(area.x + pin.label.x, area.y + pin.label.y);
            self.spots.insert(
                Terminal::new(&part.tag, &pin.name),
                Spot { clamps, hit, label, anchor: pin.anchor, device, narrow },
            );
        }
        self.devices.push(Device { tag: part.tag.clone(), function: part.function.clone(), area, shape });
    }
}

/// A terminal strip inside the panel, with columns of terminals.
fn is_strip(part: &Part) -> bool {
    matches!(part.kind, Kind::Strip(_)) && part.place == Place::Panel && !is_bonded(part)
}

/// The same shape in a taller outline: lower terminals go down with the edge.
fn stretched(mut s: Shape, height: f64) -> Shape {
    let by = height - s.h;
    if by > 0.0 {
        for pin in &mut s.pins {
            let lower = pin.clamps.iter().all(|c| c.edge == Edge::Bottom);
            for clamp in pin.clamps.iter_mut().filter(|c| c.edge == Edge::Bottom) {
                let x = clamp.at.x;
                s.marks.push(shape::Mark {
                    d: format!("M{x} {}V{}", s.h - 18.0, height - 18.0),
                    line: shape::Line::Ink,
                });
                clamp.at.y += by;
            }
            if lower {
                pin.label.y += by;
            }
        }
        s.h = height;
    }
    s
}
