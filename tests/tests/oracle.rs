//! The network against an outside circuit simulator: the same networks as netlists, solved by ngspice, must stand at
//! the same voltages.
//!
//! Fifty networks usually; more by `SEALIN_NETWORKS=500`. One process solves them all.

use sealin_core::complex::Complex;
use sealin_core::network::Solution;
use sealin_core::network::netlist::Group;
use sealin_tests::netlists::{Case, Walk, case, generated};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Most difference of a voltage, in parts of it and at least of 1 V.
const TOLERANCE: f64 = 1e-6;

/// One solved netlist: volts by name of the node.
type Plot = HashMap<String, Complex>;

#[test]
fn voltages_are_those_of_an_outside_simulator() {
    let count = std::env::var("SEALIN_NETWORKS").ok().and_then(|n| n.parse().ok()).unwrap_or(50);
    let mut walk = Walk::default();
    let cases: Vec<Case> = (0..count).map(|seed| case(seed, &mut walk)).collect();
    let netlists: Vec<String> = cases.iter().flat_map(netlists).collect();
    let plots = solved_outside("all", &netlists);
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
    let plots = solved_outside("mistake", &wrong);
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

/// Solves all netlists in one process of ngspice.
fn solved_outside(name: &str, netlists: &[String]) -> Vec<Plot> {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("oracle").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let mut script =
        String::from("* all netlists\n.control\nset filetype=ascii\nset appendwrite\nset numdgt=15\n");
    for (number, text) in netlists.iter().enumerate() {
        std::fs::write(folder.join(format!("{number}.cir")), with_branch_currents(text)).unwrap();
        let _ = writeln!(script, "source {number}.cir\nrun\nwrite all.raw\ndestroy all\nremcirc");
    }
    script.push_str("quit\n.endc\n.end\n");
    std::fs::write(folder.join("all.sp"), script).unwrap();
    run(&folder);
    let raw = std::fs::read_to_string(folder.join("all.raw")).expect("ngspice has written what it solved");
    let plots: Vec<Plot> = raw.split("Title: ").skip(1).map(plot).collect();
    assert_eq!(plots.len(), netlists.len(), "every netlist must have been solved");
    plots
}

/// The same netlist with every resistor below 1 megohm as a voltage that its own current makes.
///
/// ngspice adds up all conductances at a node: beside 100 S a leak of 5 gigaohm keeps six digits of sixteen, and what
/// only leaks hold would differ in the sixth. A current that is an unknown of its own stands in no sum.
fn with_branch_currents(netlist: &str) -> String {
    let mut text = String::new();
    for line in netlist.lines() {
        let words: Vec<&str> = line.split(' ').collect();
        match words[..] {
            [id, a, b, ohms] if id.starts_with('R') && ohms.parse::<f64>().unwrap() < 1e6 => {
                let _ = writeln!(text, "V{id} {a} m{id} DC 0\nH{id} m{id} {b} V{id} {ohms}");
            }
            _ => {
                let _ = writeln!(text, "{line}");
            }
        }
    }
    text
}

fn run(folder: &Path) {
    let told = Command::new("ngspice").args(["-b", "all.sp"]).current_dir(folder).output();
    let output = told.unwrap_or_else(|error| {
        panic!("ngspice does not start ({error}); it is the outside simulator of this test: install the package `ngspice`")
    });
    let text = String::from_utf8_lossy(&output.stderr);
    let complaints: Vec<&str> =
        text.lines().filter(|l| l.to_lowercase().contains("error") || l.contains("singular")).collect();
    assert!(
        output.status.success() && complaints.is_empty(),
        "{}: {:?}",
        output.status,
        &complaints[..complaints.len().min(5)]
    );
}

/// Reads one plot of a raw file in letters: names under `Variables:`, then under `Values:` a real number or two parts
/// for each.
fn plot(text: &str) -> Plot {
    let (head, values) = text.split_once("Values:").expect("a plot has values");
    let (_, variables) = head.split_once("\nVariables:").expect("a plot has variables");
    let names =
        variables.lines().filter(|l| !l.trim().is_empty()).map(|l| l.split_whitespace().nth(1).unwrap());
    let numbers = values.split_whitespace().skip(1);
    let mut volts = Plot::new();
    for (name, number) in names.zip(numbers) {
        let mut parts = number.split(',').map(|part| part.parse::<f64>().unwrap());
        let value = Complex::new(parts.next().unwrap(), parts.next().unwrap_or(0.0));
        if let Some(node) = name.strip_prefix("v(").and_then(|n| n.strip_suffix(')')) {
            volts.insert(node.to_string(), value);
        }
    }
    volts
}
