//! The routes of many sets of conductors: the given panel, its reference, and sets drawn by a rule from a seed.
//!
//! What must hold of a drawing office's panel drawing is measured on the lines themselves: no conductor lies over a device,
//! and outside the ducts no two lie so close that they cannot be told apart.

use super::class::Practice;
use super::drawing::rails;
use super::fixture::paddle;
use super::geometry::{Point, sampled};
use super::panel::{Panel, lay_out};
use super::routing::{Route, ferrules, route};
use sealin_core::plan::{Conductor, Insulation, Terminal};
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use std::collections::BTreeMap;

/// Sets of conductors for each panel.
const SETS: u64 = 120;
/// Two lines nearer than this cannot be told apart, units.
const CLOSE: f64 = 4.0;
/// They may come so close only where they cross, units.
const SHORT: usize = 8;

/// Panels with their given conductors and, for a shipped one that has marks, its reference.
fn panels() -> Vec<(String, Panel, Vec<Conductor>, Vec<Conductor>)> {
    let (parts, given) = paddle();
    let mut all =
        vec![("by kind".to_string(), lay_out(&parts, &[], Practice::Iec), given, super::fixture::learners())];
    for (id, toml) in shipped::all() {
        let scenario = Scenario::parse(toml).unwrap();
        // A job of fault finding has the panel of another.
        if scenario.fault_finding.is_some() {
            continue;
        }
        let panel = lay_out(&scenario.parts, &rails(&scenario), Practice::Iec);
        let reference = shipped::reference(id).map_or_else(Vec::new, |r| parse_wires(r.wires).unwrap());
        all.push((id.to_string(), panel, scenario.given.clone(), reference));
    }
    all
}

/// Numbers by the rule of Knuth's MMIX: the same on every machine.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }
}

/// Conductors between terminals drawn by lot, as many as fit: three in a terminal at most, which is one more than a fitter
/// allows; four in a terminal of a strip, two above and two below. Odd seeds begin with an empty panel.
fn drawn_by_lot(panel: &Panel, given: &[Conductor], seed: u64) -> Vec<Conductor> {
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9).wrapping_add(seed));
    let mut all = if seed.is_multiple_of(2) { given.to_vec() } else { Vec::new() };
    let mut ends: BTreeMap<Terminal, usize> = BTreeMap::new();
    for c in &all {
        *ends.entry(c.from.clone()).or_default() += 1;
        *ends.entry(c.to.clone()).or_default() += 1;
    }
    let terminals: Vec<&Terminal> = panel.spots.keys().collect();
    let room = |t: &Terminal| panel.spots[t].clamps.len() + 2;
    for n in 0..20 + dice.below(60) {
        let (a, b) = (terminals[dice.below(terminals.len())], terminals[dice.below(terminals.len())]);
        let full = |t: &Terminal| ends.get(t).copied().unwrap_or(0) >= room(t);
        if a == b || full(a) || full(b) {
            continue;
        }
        *ends.entry(a.clone()).or_default() += 1;
        *ends.entry(b.clone()).or_default() += 1;
        let numbers = ["", "7", "213", "6L1", "1234567"];
        all.push(Conductor {
            id: format!("L{n}"),
            from: a.clone(),
            to: b.clone(),
            section_mm2_x100: 75,
            colour: Insulation::DarkBlue,
            number: numbers[dice.below(numbers.len())].into(),
        });
    }
    all
}

/// What is wrong with routes, in words; nothing when all is well.
fn wrong(panel: &Panel, routes: &[Route]) -> Option<String> {
    for r in routes {
        for p in sampled(&r.line, 2.0) {
            let touched = panel.devices.iter().find(|d| d.area.distance(p) == 0.0);
            let own = r.ends.iter().any(|e| e.at.distance(p) <= 0.01);
            if let Some(device) = touched.filter(|_| !own) {
                return Some(format!("{} touches {} at {p:?}", r.id, device.tag));
            }
        }
    }
    // Points outside the ducts by square of the sheet, so that only neighbours are compared.
    let outside = |p: &Point| !panel.ducts.iter().any(|d| d.area.distance(*p) == 0.0);
    let square = |p: Point| ((p.x / CLOSE).floor() as i64, (p.y / CLOSE).floor() as i64);
    let mut points: BTreeMap<(i64, i64), Vec<(usize, Point)>> = BTreeMap::new();
    for (at, r) in routes.iter().enumerate() {
        for p in sampled(&r.line, 1.0).into_iter().filter(outside) {
            points.entry(square(p)).or_default().push((at, p));
        }
    }
    let mut close: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (&(x, y), here) in &points {
        for &(a, p) in here {
            let mut met: Vec<usize> = (x - 1..=x + 1)
                .flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)))
                .filter_map(|square| points.get(&square))
                .flatten()
                .filter(|(b, q)| *b != a && p.distance(*q) < CLOSE)
                .map(|(b, _)| *b)
                .collect();
            met.sort_unstable();
            met.dedup();
            for b in met {
                *close.entry((a, b)).or_default() += 1;
            }
        }
    }
    let together = close.into_iter().find(|(_, n)| *n > SHORT);
    together.map(|((a, b), n)| format!("{} and {} run together for {n}", routes[a].id, routes[b].id))
}

#[test]
fn conductors_keep_clear_of_devices_and_of_each_other() {
    let (mut sets, mut conductors, mut faults) = (0, 0, Vec::new());
    for (name, panel, given, reference) in panels() {
        let whole = given.iter().chain(&reference).cloned().collect();
        let mut tried = vec![("given".to_string(), given.clone()), ("reference".to_string(), whole)];
        tried.extend((0..SETS).map(|seed| (format!("seed {seed}"), drawn_by_lot(&panel, &given, seed))));
        for (set, all) in tried {
            let routes = route(&panel, &all);
            assert_eq!(routes.len(), all.len());
            faults.extend(wrong(&panel, &routes).map(|fault| format!("{name}, {set}: {fault}")));
            sets += 1;
            conductors += all.len();
        }
    }
    assert!(faults.is_empty(), "{} of {sets}:\n{}", faults.len(), faults[..faults.len().min(12)].join("\n"));
    assert!(sets >= 200 && conductors > 10_000, "{sets} {conductors}");
}

#[test]
fn ferrules_lie_beside_each_other_and_over_no_device() {
    for (name, panel, given, _) in panels() {
        for seed in 0..SETS {
            let all = drawn_by_lot(&panel, &given, seed);
            let shown = ferrules(&route(&panel, &all), &all);
            for (i, a) in shown.iter().enumerate() {
                let beside = shown[i + 1..].iter().find(|b| a.area.overlaps(b.area));
                assert!(beside.is_none(), "{name}, seed {seed}: {a:?} lies on {beside:?}");
                let under = panel.devices.iter().find(|d| d.area.overlaps(a.area));
                assert!(under.is_none(), "{name}, seed {seed}: {a:?} lies on {:?}", under.map(|d| &d.tag));
            }
        }
    }
}

#[test]
fn the_same_conductors_give_the_same_routes() {
    for (_, panel, given, _) in panels() {
        for seed in [0, 1, 2, 3] {
            let all = drawn_by_lot(&panel, &given, seed);
            assert_eq!(route(&panel, &all), route(&panel, &all));
        }
    }
}
