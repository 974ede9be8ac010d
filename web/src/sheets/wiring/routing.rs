//! Routes of the conductors: out of a terminal by its ferrule, through the ducts, and in where they end.
//!
//! In a duct each conductor takes a lane that is free along its way, so that they do not lie on each other as long as
//! the duct has room. Given conductors are laid first: a new one never moves them.

mod ferrules;
mod lanes;
mod ways;

pub use ferrules::{Ferrule, ferrules};

use super::circuit::is_link;
use super::geometry::{Point, Rect};
use super::panel::shape::Edge;
use super::panel::{Clamp, Panel, Spot};
use lanes::{lanes, offsets};
use sealin_core::plan::{Conductor, Terminal};
use std::collections::BTreeMap;
use ways::{joined, shortest};

/// How far a plug-in link stands off its strip.
const LINK: f64 = 11.0;
/// From the terminal to the ferrule.
pub const FERRULE_GAP: f64 = 5.5;
/// Length of a ferrule with up to three characters.
pub const FERRULE: f64 = 18.0;
/// Longest ferrule: two that come from both sides into the narrowest duct do not meet. Longer numbers are set narrower.
pub const FERRULE_MOST: f64 = 33.0;
/// Width of a character on it.
const CHARACTER: f64 = 5.1;
/// Width of a ferrule.
const FERRULE_WIDTH: f64 = 9.5;

/// One end of a conductor as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct End {
    /// The terminal.
    pub terminal: Terminal,
    /// Where the conductor meets the clamp.
    pub at: Point,
    /// Which way it leaves.
    pub edge: Edge,
    /// Its ferrule.
    pub ferrule: Rect,
    /// Conductors in the same clamp.
    pub neighbours: usize,
}

/// A conductor as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Id of the conductor.
    pub id: String,
    /// Both ends.
    pub ends: [End; 2],
    /// The whole way from terminal to terminal.
    pub line: Vec<Point>,
    /// A link plugged in beside its strip: without ferrules, and in no duct.
    pub plugged: bool,
}

impl Route {
    /// The piece from a terminal to the duct.
    pub fn stub(&self, end: usize) -> [Point; 2] {
        let (a, b) = match end {
            0 => (self.line.first(), self.line.get(1)),
            _ => (self.line.last(), self.line.len().checked_sub(2).and_then(|i| self.line.get(i))),
        };
        let a = a.copied().unwrap_or_default();
        let b = b.copied().unwrap_or(a);
        // Only as far as the duct's edge, which lies a little beyond the ferrule.
        let reach = FERRULE_GAP + FERRULE + 5.0;
        let whole = a.distance(b);
        if whole <= reach {
            [a, b]
        } else {
            [a, Point::new(a.x + (b.x - a.x) * reach / whole, a.y + (b.y - a.y) * reach / whole)]
        }
    }
}

/// A way through ducts, before lanes are given. A plug-in link goes through none.
struct Way {
    conductor: usize,
    clamps: [(Clamp, Terminal); 2],
    ducts: Vec<usize>,
}

/// How many conductors are in a clamp; a strip's terminal has clamp 0 above and 1 below.
type Taken = BTreeMap<(Terminal, usize), usize>;

/// Routes of all conductors whose terminals are on the drawing, in the order of the conductors.
pub fn route(panel: &Panel, conductors: &[Conductor]) -> Vec<Route> {
    let mut taken = Taken::new();
    let mut ways = Vec::new();
    for (conductor, c) in conductors.iter().enumerate() {
        let (Some(from), Some(to)) = (panel.spots.get(&c.from), panel.spots.get(&c.to)) else { continue };
        let plugged = plugs(c, from, to, &taken);
        let outside = |spot: &Spot| spot.clamps.iter().any(|c| c.edge == Edge::Right);
        let clamps = [(&c.from, from, outside(to)), (&c.to, to, outside(from))].map(|(t, spot, to_field)| {
            let k = clamp(t, spot, plugged || to_field, &taken);
            *taken.entry((t.clone(), k)).or_default() += 1;
            (spot.clamps[k], t.clone())
        });
        let ducts = if plugged { Vec::new() } else { shortest(&panel.ducts, &clamps[0].0, &clamps[1].0) };
        ways.push(Way { conductor, clamps, ducts });
    }
    let offsets = offsets(panel, &ways);
    let lanes = lanes(panel, &ways, &offsets);
    ways.iter()
        .enumerate()
        .map(|(w, way)| {
            let c = &conductors[way.conductor];
            let end = |e: usize| end(panel, &ways, &way.clamps[e], offsets[w][e], &c.number);
            Route {
                id: c.id.clone(),
                ends: [end(0), end(1)],
                line: line(panel, way, &offsets[w], &lanes[w]),
                plugged: way.ducts.is_empty(),
            }
        })
        .collect()
}

/// Whether a link can be plugged in: between neighbours on a strip, below them, where both have room. The next pair of
/// neighbours begins on the other side of the clamp, so that links never lie on each other.
fn plugs(c: &Conductor, from: &Spot, to: &Spot, taken: &Taken) -> bool {
    let room = |t: &Terminal| taken.get(&(t.clone(), 1)).is_none_or(|n| *n < 2);
    let apart = (from.hit.x - to.hit.x).abs();
    let strip = from.clamps.len() > 1 && to.clamps.len() > 1 && from.device == to.device;
    is_link(c) && strip && apart < from.hit.w * 1.5 && room(&c.from) && room(&c.to)
}

/// Field cables and links come to a strip from below, the panel's own conductors from above; a full clamp sends the third
/// to the other side.
fn clamp(t: &Terminal, spot: &Spot, below: bool, taken: &Taken) -> usize {
    let count = |k: usize| taken.get(&(t.clone(), k)).copied().unwrap_or(0);
    let wanted = usize::from(below && spot.clamps.len() > 1);
    let other = if spot.clamps.len() > 1 { 1 - wanted } else { wanted };
    if count(wanted) >= 2 && count(other) < 2 { other } else { wanted }
}

fn end(panel: &Panel, ways: &[Way], here: &(Clamp, Terminal), offset: f64, number: &str) -> End {
    let (clamp, terminal) = here;
    let inside = |(c, t): &&(Clamp, Terminal)| t == terminal && c.at == clamp.at;
    let neighbours = ways.iter().flat_map(|w| &w.clamps).filter(inside).count();
    let long = (number.chars().count() as f64 * CHARACTER + 2.5).clamp(FERRULE, FERRULE_MOST);
    let half = if neighbours > 1 { lanes::apart(panel, here, neighbours) } else { FERRULE_WIDTH } / 2.0;
    let at = shifted(clamp, offset);
    let ferrule = match clamp.edge {
        Edge::Top => Rect::new(at.x - half, at.y - FERRULE_GAP - long, 2.0 * half, long),
        Edge::Bottom => Rect::new(at.x - half, at.y + FERRULE_GAP, 2.0 * half, long),
        Edge::Right => Rect::new(at.x + FERRULE_GAP, at.y - half, long, 2.0 * half),
    };
    End { terminal: terminal.clone(), at, edge: clamp.edge, ferrule, neighbours }
}

fn shifted(clamp: &Clamp, offset: f64) -> Point {
    match clamp.edge {
        Edge::Right => Point::new(clamp.at.x, clamp.at.y + offset),
        _ => Point::new(clamp.at.x + offset, clamp.at.y),
    }
}

fn line(panel: &Panel, way: &Way, offsets: &[f64; 2], lanes: &[f64]) -> Vec<Point> {
    let [from, to] = [0, 1].map(|e| shifted(&way.clamps[e].0, offsets[e]));
    if way.ducts.is_empty() {
        let out = |p: Point| match way.clamps[0].0.edge {
            Edge::Top => Point::new(p.x, p.y - LINK),
            Edge::Bottom => Point::new(p.x, p.y + LINK),
            Edge::Right => Point::new(p.x + LINK, p.y),
        };
        return vec![from, out(from), out(to), to];
    }
    joined(&panel.ducts, from, to, &way.ducts, lanes)
}
