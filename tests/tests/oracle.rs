//! The network against an outside circuit simulator: the same networks as netlists, solved by ngspice, must stand at
//! the same voltages.
//!
//! Fifty networks usually; more by `SEALIN_NETWORKS=500`. One process solves them all.

use sealin_core::complex::Complex;
use sealin_core::network::Solution;
use sealin_core::network::netlist::Group;
use sealin_tests::netlists::{Case, Walk, case, generated};
use sealin_tests::simulator::{Plot, solved};
use std::path::PathBuf;

/// Most difference of a voltage, in parts of it and at least of 1 V.
const TOLERANCE: f64 = 1e-6;

#[test]
fn voltages_are_those_of_an_outside_simulator() {
    let count = std::env::var("SEALIN_NETWORKS").ok().and_then(|n| n.parse().ok()).unwrap_or(50);
    let mut walk = Walk::default();
    let cases: Vec<Case> = (0..count).map(|seed| case(seed, &mut walk)).collect();
    let netlists: Vec<String> = cases.iter().flat_map(netlists).collect();
    let plots = solved(&folder("all"), &netlists);
    let (mut worst, mut live) = (0.0, [0, 0]);
    for (c, pair) in cases.iter().zip(plots.chunks(2)) {
        let solution = c.network.solve(&c.key);
        for (group, plot) in pair.iter().enumerate() {
            let found = compare(c, group, &solution, plot);
            assert!(found.difference <= TOLERANCE, "{}, group {group}: {}", c.name, found.place);
            worst = if found.difference > worst { found.difference } else { worst };
            live[group] += usize::from(found.highest > 1.0);
        }
    }
    println!("{count} networks, live at DC and AC: {live:?}, largest difference {worst:e}");
    // The comparison must have had something to compare: in each group half the networks have a node above 1 V.
    assert!(live.iter().all(|&n| 2 * n >= cases.len()), "too few live networks: {live:?}");
}

/// A DC supply of 24.001 V in place of 24 V is noticed wherever one is on.
#[test]
fn a_small_mistake_is_noticed() {
    let cases: Vec<Case> = (0..20).map(generated).collect();
    let right: Vec<String> = cases.iter().map(|c| netlists(c)[0].clone()).collect();
    let wrong: Vec<String> = right.iter().map(|text| text.replace("DC 2.4e1", "DC 2.4001e1")).collect();
    let plots = solved(&folder("mistake"), &wrong);
    let mut on = 0;
    for (number, c) in cases.iter().enumerate() {
        let solution = c.network.solve(&c.key);
        let noticed = compare(c, 0, &solution, &plots[number]).difference > TOLERANCE;
        assert_eq!(noticed, right[number] != wrong[number], "{}", c.name);
        on += usize::from(noticed);
    }
    assert!(on > 4, "{on}");
}

/// At DC and at mains frequency.
fn netlists(c: &Case) -> [String; 2] {
    let mains = Group::Ac { millihertz: c.millihertz };
    [Group::Dc, mains].map(|group| c.network.netlist(&c.key, group, &c.drawn))
}

struct Found {
    /// Largest difference in parts of the voltage, at least of 1 V.
    difference: f64,
    /// Where it is, and both voltages.
    place: String,
    /// Highest voltage of all.
    highest: f64,
}

fn compare(c: &Case, group: usize, solution: &Solution, plot: &Plot) -> Found {
    let mut found = Found { difference: 0.0, place: String::new(), highest: 0.0 };
    for node in 0..c.network.nodes as u32 {
        let there = plot[&format!("n{node}")];
        let here = if group == 0 { Complex::real(solution.dc(node)) } else { solution.ac(node, &c.drawn) };
        let part = (here.re - there.re).abs().max((here.im - there.im).abs()) / there.abs().max(1.0);
        assert!(part.is_finite(), "{}, group {group}, node {node}: {here:?} here, {there:?} outside", c.name);
        if part > found.difference {
            found.difference = part;
            found.place = format!("node {node}: {here:?} here, {there:?} outside");
        }
        found.highest = found.highest.max(there.abs());
    }
    found
}

fn folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("oracle").join(name)
}
