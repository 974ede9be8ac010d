//! Routes of the conductors: out of a terminal by its ferrule, through the ducts, and in where they end.
//!
//! In a duct each conductor takes a lane that is free along its way, so that they do not lie on each other as long as
//! the duct has room. Given conductors are laid first: a new one never moves them.

use super::circuit::is_link;
use super::geometry::{Point, Rect, length};
use super::panel::shape::Edge;
use super::panel::{Clamp, Duct, Panel};
use sealin_core::plan::{Conductor, Terminal};
use std::collections::BTreeMap;

/// Distance between two conductors of one clamp.
const TWIN: f64 = 4.8;
/// Distance between lanes.
const LANE: f64 = 1.8;
/// Room along a lane between two conductors.
const CLEAR: f64 = 3.0;
/// How far a plug-in link stands off its strip.
const LINK: f64 = 11.0;
/// From the terminal to the ferrule.
pub const FERRULE_GAP: f64 = 5.5;
/// Length of a ferrule with up to three characters.
pub const FERRULE: f64 = 18.0;
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

/// A ferrule with the number on it; one for all conductors of a clamp that carry the same number.
#[derive(Clone, Debug, PartialEq)]
pub struct Ferrule {
    /// Where it is.
    pub area: Rect,
    /// Which way the conductor leaves.
    pub edge: Edge,
    /// What stands on it.
    pub number: String,
    /// Narrow, because beside it is another with another number.
    pub narrow: bool,
    /// Ids of the conductors in it.
    pub conductors: Vec<String>,
}

/// The ferrules of routes, conductors that share one put together. Plug-in links have none.
pub fn ferrules(routes: &[Route], conductors: &[Conductor]) -> Vec<Ferrule> {
    let mut all: Vec<(&Terminal, Ferrule)> = Vec::new();
    for r in routes {
        let Some(c) = conductors.iter().find(|c| c.id == r.id).filter(|c| !is_link(c)) else { continue };
        for end in &r.ends {
            let twin = all.iter_mut().find(|(t, f)| {
                **t == end.terminal && f.edge == end.edge && f.number == c.number && !f.number.is_empty()
            });
            match twin {
                Some((_, f)) => {
                    f.area = around(f.area, end.ferrule);
                    f.narrow = false;
                    f.conductors.push(r.id.clone());
                }
                None => all.push((
                    &end.terminal,
                    Ferrule {
                        area: end.ferrule,
                        edge: end.edge,
                        number: c.number.clone(),
                        narrow: end.neighbours > 1,
                        conductors: vec![r.id.clone()],
                    },
                )),
            }
        }
    }
    all.into_iter().map(|(_, f)| f).collect()
}

fn around(a: Rect, b: Rect) -> Rect {
    let (x, y) = (a.x.min(b.x), a.y.min(b.y));
    Rect::new(x, y, a.right().max(b.right()) - x, a.bottom().max(b.bottom()) - y)
}

/// A way through ducts, before lanes are given. A plug-in link goes through none.
struct Way {
    conductor: usize,
    clamps: [(Clamp, Terminal); 2],
    ducts: Vec<usize>,
}

/// Routes of all conductors whose terminals are on the drawing, in the order of the conductors.
pub fn route(panel: &Panel, conductors: &[Conductor]) -> Vec<Route> {
    let mut taken: BTreeMap<(Terminal, usize), usize> = BTreeMap::new();
    let mut ways = Vec::new();
    for (conductor, c) in conductors.iter().enumerate() {
        let (Some(from), Some(to)) = (panel.spots.get(&c.from), panel.spots.get(&c.to)) else { continue };
        let outside = |clamps: &[Clamp]| clamps.iter().any(|c| c.edge == Edge::Right);
        let [a, b] = [(&c.from, from, outside(&to.clamps)), (&c.to, to, outside(&from.clamps))].map(
            |(terminal, spot, to_field)| {
                // Field cables come to a strip from below, the panel's own conductors from above; a full clamp sends
                // the third to the other side.
                let count = |k: usize| taken.get(&(terminal.clone(), k)).copied().unwrap_or(0);
                let wanted = usize::from((to_field || is_link(c)) && spot.clamps.len() > 1);
                let other = if spot.clamps.len() > 1 { 1 - wanted } else { wanted };
                let k = if count(wanted) >= 2 && count(other) < 2 { other } else { wanted };
                *taken.entry((terminal.clone(), k)).or_default() += 1;
                (spot.clamps[k], terminal.clone())
            },
        );
        let ducts = if is_link(c) { Vec::new() } else { shortest(&panel.ducts, &a.0, &b.0) };
        ways.push(Way { conductor, clamps: [a, b], ducts });
    }
    let offsets = offsets(panel, &ways);
    let lanes = lanes(panel, &ways, &offsets);
    ways.iter()
        .enumerate()
        .map(|(w, way)| {
            let line = line(panel, way, &offsets[w], &lanes[w]);
            let number = &conductors[way.conductor].number;
            let end =
                |e: usize| end(&way.clamps[e], offsets[w][e], neighbours(&ways, &way.clamps[e]), number);
            Route { id: conductors[way.conductor].id.clone(), ends: [end(0), end(1)], line }
        })
        .collect()
}

fn neighbours(ways: &[Way], (clamp, terminal): &(Clamp, Terminal)) -> usize {
    ways.iter().flat_map(|w| &w.clamps).filter(|(c, t)| t == terminal && c.at == clamp.at).count()
}

fn end((clamp, terminal): &(Clamp, Terminal), offset: f64, neighbours: usize, number: &str) -> End {
    let long = FERRULE.max(number.chars().count() as f64 * 5.1 + 2.5);
    let half = FERRULE_WIDTH.min(if neighbours > 1 { TWIN } else { FERRULE_WIDTH }) / 2.0;
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

/// Ducts from one clamp to the other by the shortest way.
fn shortest(ducts: &[Duct], from: &Clamp, to: &Clamp) -> Vec<usize> {
    let mut best = (f64::INFINITY, vec![from.duct]);
    let mut open = vec![vec![from.duct]];
    while let Some(way) = open.pop() {
        let last = way.last().copied().unwrap_or(from.duct);
        if last == to.duct {
            let far = length(&centre_line(ducts, from, to, &way));
            if far < best.0 {
                best = (far, way);
            }
            continue;
        }
        // Level, upright, level and the cable run: no way needs more.
        if way.len() < 5 {
            for next in 0..ducts.len() {
                if !way.contains(&next) && meets(ducts, last, next) {
                    let mut longer = way.clone();
                    longer.push(next);
                    open.push(longer);
                }
            }
        }
    }
    best.1
}

/// Whether conductors can go from one duct into another. The cable run meets only the uppermost and lowest duct.
fn meets(ducts: &[Duct], a: usize, b: usize) -> bool {
    let (a, b) = if ducts[a].level { (a, b) } else { (b, a) };
    if !ducts[a].level || ducts[b].level {
        return false;
    }
    let highest = |d: &Duct| ducts.iter().filter(|o| o.level).all(|o| o.area.y >= d.area.y);
    let lowest = |d: &Duct| ducts.iter().filter(|o| o.level).all(|o| o.area.y <= d.area.y);
    !ducts[b].outside || highest(&ducts[a]) || lowest(&ducts[a])
}

fn centre_line(ducts: &[Duct], from: &Clamp, to: &Clamp, way: &[usize]) -> Vec<Point> {
    let lane = |d: usize| {
        let m = ducts[d].area.middle();
        if ducts[d].level { m.y } else { m.x }
    };
    joined(ducts, from.at, to.at, way, &way.iter().map(|&d| lane(d)).collect::<Vec<_>>())
}

/// The polyline through the ducts of a way on these lanes.
fn joined(ducts: &[Duct], from: Point, to: Point, way: &[usize], lanes: &[f64]) -> Vec<Point> {
    let mut line = vec![from];
    let mut at = from;
    for (i, &d) in way.iter().enumerate() {
        // Onto the lane of this duct, keeping the other coordinate; the next duct's lane is met on it.
        at = if ducts[d].level { Point::new(at.x, lanes[i]) } else { Point::new(lanes[i], at.y) };
        if line.last() != Some(&at) {
            line.push(at);
        }
    }
    let last = if way.last().is_some_and(|&d| ducts[d].level) {
        Point::new(to.x, at.y)
    } else {
        Point::new(at.x, to.y)
    };
    for p in [last, to] {
        if line.last() != Some(&p) {
            line.push(p);
        }
    }
    line
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

/// A conductor that leaves a clamp, and how far to the right or down it goes in the duct.
struct Leaving {
    goes: f64,
    way: usize,
    end: usize,
}

/// Side by side in a clamp: who goes left in the duct leaves on the left.
fn offsets(panel: &Panel, ways: &[Way]) -> Vec<[f64; 2]> {
    let mut all = vec![[0.0; 2]; ways.len()];
    let mut clamps: BTreeMap<(&Terminal, i64), Vec<Leaving>> = BTreeMap::new();
    for (w, way) in ways.iter().enumerate() {
        for e in 0..2 {
            let (clamp, terminal) = &way.clamps[e];
            let mut centre = centre_line(&panel.ducts, &way.clamps[0].0, &way.clamps[1].0, &way.ducts);
            if e == 1 {
                centre.reverse();
            }
            let turn = centre.get(2).copied().unwrap_or(clamp.at);
            let goes = if clamp.edge == Edge::Right { turn.y - clamp.at.y } else { turn.x - clamp.at.x };
            // A strip has a clamp above and one below: told apart by their height.
            let leaving = Leaving { goes, way: w, end: e };
            clamps.entry((terminal, clamp.at.y.round() as i64)).or_default().push(leaving);
        }
    }
    for mut group in clamps.into_values() {
        group.sort_by(|a, b| a.goes.total_cmp(&b.goes));
        let middle = (group.len() - 1) as f64 / 2.0;
        for (k, leaving) in group.into_iter().enumerate() {
            all[leaving.way][leaving.end] = (k as f64 - middle) * TWIN;
        }
    }
    all
}

/// A stretch that a conductor takes in a duct.
struct Stretch {
    lane: usize,
    from: f64,
    to: f64,
}

/// The lane of each way in each of its ducts, as a coordinate.
fn lanes(panel: &Panel, ways: &[Way], offsets: &[[f64; 2]]) -> Vec<Vec<f64>> {
    let mut used: Vec<Vec<Stretch>> = panel.ducts.iter().map(|_| Vec::new()).collect();
    ways.iter()
        .zip(offsets)
        .map(|(way, offsets)| {
            let [a, b] = [0, 1].map(|e| shifted(&way.clamps[e].0, offsets[e]));
            let centre = joined(&panel.ducts, a, b, &way.ducts, &centres(panel, &way.ducts));
            way.ducts
                .iter()
                .enumerate()
                .map(|(i, &d)| {
                    let duct = &panel.ducts[d];
                    let along = |p: Point| if duct.level { p.x } else { p.y };
                    // Points i + 1 and i + 2 of the centre line lie in duct i.
                    let ends = [centre.get(i + 1), centre.get(i + 2)].map(|p| p.copied().map_or(0.0, along));
                    let (from, to) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
                    let first = (i == 0).then_some(way.clamps[0].0.edge);
                    let last = (i + 1 == way.ducts.len()).then_some(way.clamps[1].0.edge);
                    let lane = free_lane(&used[d], count(duct), from, to, preference(first, last));
                    used[d].push(Stretch { lane, from, to });
                    coordinate(duct, lane)
                })
                .collect()
        })
        .collect()
}

fn centres(panel: &Panel, way: &[usize]) -> Vec<f64> {
    let middle = |d: &usize| panel.ducts[*d].area.middle();
    way.iter().map(|d| if panel.ducts[*d].level { middle(d).y } else { middle(d).x }).collect()
}

/// Where in the duct a stretch would lie by itself: 0 above or left, 1 below or right.
fn preference(first: Option<Edge>, last: Option<Edge>) -> f64 {
    let side = |e: Edge| match e {
        Edge::Bottom => 0.0,
        Edge::Top => 1.0,
        Edge::Right => 0.0,
    };
    match (first.map(side), last.map(side)) {
        (Some(a), Some(b)) => (a + b) / 2.0,
        (Some(a), None) | (None, Some(a)) => 0.2 + 0.6 * a,
        (None, None) => 0.5,
    }
}

fn count(duct: &Duct) -> usize {
    let across = if duct.level { duct.area.h } else { duct.area.w };
    ((across - 4.0) / LANE) as usize + 1
}

fn coordinate(duct: &Duct, lane: usize) -> f64 {
    let start = if duct.level { duct.area.y } else { duct.area.x };
    start + 2.0 + lane as f64 * LANE
}

/// The free lane nearest to the preferred one; the one with the least already in it when none is free.
fn free_lane(used: &[Stretch], lanes: usize, from: f64, to: f64, preference: f64) -> usize {
    let wanted = preference * (lanes.saturating_sub(1)) as f64;
    let shared = |lane: usize| -> f64 {
        used.iter()
            .filter(|s| s.lane == lane)
            .map(|s| (s.to.min(to) - s.from.max(from) + CLEAR).max(0.0))
            .sum()
    };
    (0..lanes)
        .min_by(|&a, &b| {
            let far = |lane: usize| (lane as f64 - wanted).abs();
            shared(a).total_cmp(&shared(b)).then(far(a).total_cmp(&far(b)))
        })
        .unwrap_or(0)
}
