//! Where conductors lie side by side: in a clamp, and in lanes along a duct.

use super::ways::centre_line;
use super::{Way, shifted};
use crate::sheets::wiring::geometry::Point;
use crate::sheets::wiring::panel::shape::Edge;
use crate::sheets::wiring::panel::{Clamp, Duct, Panel};
use sealin_core::plan::Terminal;
use std::collections::BTreeMap;

/// Distance between two conductors of one clamp: three fit on the narrowest pitch, beside three on the next.
const TWIN: f64 = 4.5;
/// Distance between lanes.
const LANE: f64 = 1.8;
/// Room along a lane between two conductors.
const CLEAR: f64 = 3.0;

/// Distance between so many conductors of a clamp; more than fit lie closer, and keep out of the next terminal's room.
pub fn apart(panel: &Panel, (clamp, terminal): &(Clamp, Terminal), conductors: usize) -> f64 {
    let hit = panel.spots[terminal].hit;
    let room = if clamp.edge == Edge::Right { hit.h } else { hit.w };
    TWIN.min(room / conductors.max(1) as f64)
}

/// A conductor that leaves a clamp, and how far to the right or down it goes in the duct.
struct Leaving {
    goes: f64,
    way: usize,
    end: usize,
}

/// Side by side in a clamp: who goes left in the duct leaves on the left.
pub fn offsets(panel: &Panel, ways: &[Way]) -> Vec<[f64; 2]> {
    let mut all = vec![[0.0; 2]; ways.len()];
    let mut clamps: BTreeMap<(&Terminal, i64), Vec<Leaving>> = BTreeMap::new();
    for (w, way) in ways.iter().enumerate() {
        for e in 0..2 {
            let (clamp, terminal) = &way.clamps[e];
            let mut centre = centre_line(&panel.ducts, way.clamps[0].0.at, way.clamps[1].0.at, &way.ducts);
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
        let Some(apart) = group.first().map(|l| apart(panel, &ways[l.way].clamps[l.end], group.len())) else {
            continue;
        };
        for (k, leaving) in group.into_iter().enumerate() {
            all[leaving.way][leaving.end] = (k as f64 - middle) * apart;
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
pub fn lanes(panel: &Panel, ways: &[Way], offsets: &[[f64; 2]]) -> Vec<Vec<f64>> {
    let mut used: Vec<Vec<Stretch>> = panel.ducts.iter().map(|_| Vec::new()).collect();
    ways.iter()
        .zip(offsets)
        .map(|(way, offsets)| {
            let [a, b] = [0, 1].map(|e| shifted(&way.clamps[e].0, offsets[e]));
            let centre = centre_line(&panel.ducts, a, b, &way.ducts);
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
