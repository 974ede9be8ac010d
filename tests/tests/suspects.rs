//! Suspects never lose the fault: on the main job, with values that the catalogue does not have and readings as an instrument shows them.
//!
//! A few places usually; `SEALIN_SUSPECTS=100` tries every kind at every place with so many sequences of readings each.

use sealin_core::fault::{Mode, Unit, Value};
use sealin_core::{Bench, BenchAct, Fault, Plan};
use sealin_proof::suspects::{Finding, Suspect, Suspects, readings};
use sealin_tests::generate::{Random, shipped_works};
use std::collections::BTreeMap;

/// What is done between readings: into every situation of the usual work, and the acts of one who looks for a fault.
const WORK: [&[&str]; 7] = [
    &["power on"],
    &["press SF2"],
    &["release SF2"],
    &["press SF1"],
    &["release SF1", "press SF3"],
    &["release SF3", "trip FC1"],
    &["reset FC1", "power off"],
];

fn reference() -> Plan {
    let mut works = shipped_works().into_iter();
    works.find(|(name, ..)| name == "paddle-closed-loop, reference").expect("the main job has a reference").1
}

/// The faults of the catalogue by suspect.
fn by_suspect(plan: &Plan) -> BTreeMap<Suspect, Vec<Fault>> {
    let mut all = BTreeMap::new();
    for fault in Fault::catalogue(&plan.parts, &plan.conductors) {
        if !fault.is_intermittent() {
            all.entry(Suspect::of(&fault)).or_insert_with(Vec::new).push(fault);
        }
    }
    all
}

/// The fault with a value that is none of the catalogue's: of several the geometric mean of two, of one some of it.
fn off_list(of_suspect: &[Fault]) -> Fault {
    let numbers: Vec<f64> = of_suspect
        .iter()
        .filter_map(|fault| match fault.value {
            Value::Number(number) => Some(f64::from(number)),
            _ => None,
        })
        .collect();
    let mut fault = of_suspect[0].clone();
    let value = match (fault.mode, fault.mode.unit(), numbers.as_slice()) {
        (_, Unit::None | Unit::Terminal, _) | (_, _, []) => return fault,
        (Mode::Displaced, ..) => 100.0,
        (_, _, [one]) => one * 0.7,
        (_, _, [.., one, other]) => (one * other).sqrt(),
    };
    fault.value = Value::Number(value as i32);
    fault
}

/// Works the bench at fault and its suspects side by side, and takes readings; panics if the suspect is ruled out.
fn worked(plan: &Plan, fault: &Fault, listed: &[Fault], seed: u64) -> usize {
    let mut random = Random::new(seed);
    let mut with = plan.clone();
    with.faults.insert(fault.clone());
    let mut real = Bench::new(with).unwrap();
    let mut suspects = Suspects::new(plan, listed).unwrap();
    let signals: Vec<String> = real.design.signals.iter().map(|signal| signal.name.clone()).collect();
    let (mut tick, mut taken) = (0, 0);
    for acts in WORK {
        for act in acts {
            let act = BenchAct::parse(act).unwrap();
            let _ = real.act(act.clone());
            suspects.act(&act);
        }
        tick += 400 + 2_000 * u64::from(tick == 0);
        real.run_until(tick, &mut |_, _, _| {});
        suspects.run_until(tick);
        let offered = readings(plan, acts.iter().all(|act| *act != "power off"));
        for _ in 0..3 {
            let reading = random.pick(&offered);
            let (measured, _) = real.take_reading(reading).unwrap();
            let signal = random.pick(&signals);
            let seen = Finding::Seen(signal.clone(), real.signal(signal).unwrap());
            for finding in [Finding::Reading(reading.clone(), measured.shown), seen] {
                suspects.find(finding.clone()).unwrap();
                taken += 1;
                assert_eq!(suspects.left().count(), 1, "{fault}, seed {seed}: lost by {finding:?} at {tick}");
            }
        }
    }
    taken
}

#[test]
fn the_fault_stays_among_the_suspects() {
    let plan = reference();
    let all = by_suspect(&plan);
    let sequences: Option<u64> = std::env::var("SEALIN_SUSPECTS").ok().and_then(|n| n.parse().ok());
    let mut taken = 0;
    for (number, listed) in all.values().enumerate() {
        if sequences.is_none() && number % 11 != 0 {
            continue;
        }
        for seed in 0..sequences.unwrap_or(1) {
            taken += worked(&plan, &off_list(listed), listed, seed * 1_000 + number as u64);
        }
    }
    println!("{} suspects, {taken} findings", all.len());
    assert!(taken > 1_000);
}

/// A blown control fuse: by readings across what should be closed, the best one first, it is found among all that can be wrong.
#[test]
fn the_best_readings_find_a_blown_fuse() {
    let plan = reference();
    let fault = Fault::parse("FC4 1-2 stuck open").unwrap();
    let all = by_suspect(&plan);
    let listed: Vec<Fault> = all.values().step_by(8).flatten().cloned().chain([fault.clone()]).collect();
    let mut with = plan.clone();
    with.faults.insert(fault.clone());
    let mut real = Bench::new(with).unwrap();
    let mut suspects = Suspects::new(&plan, &listed).unwrap();
    let power = BenchAct::parse("power on").unwrap();
    real.act(power.clone()).unwrap();
    suspects.act(&power);
    real.run_until(3_000, &mut |_, _, _| {});
    suspects.run_until(3_000);
    let before = suspects.left().count();
    let mut offered: Vec<_> = readings(&plan, true).into_iter().step_by(15).collect();
    let mut taken = 0;
    // None twice: what is left may be expected to show otherwise, and never does.
    while let Some((reading, _)) = suspects.best(&offered, 1).pop().filter(|_| taken < 12) {
        offered.retain(|other| *other != reading);
        let shown = real.measure(&reading).unwrap().shown;
        suspects.find(Finding::Reading(reading, shown)).unwrap();
        taken += 1;
        assert!(suspects.left().any(|suspect| *suspect == Suspect::of(&fault)), "lost after {taken}");
    }
    let left = suspects.left().count();
    println!("{before} suspects, {left} left after {taken} readings");
    assert!(left * 4 < before, "{left} of {before} left after {taken}");
}
