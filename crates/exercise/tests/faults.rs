//! The catalogue of single faults over all that ships: each has a kind and a line of text, and a bench runs with it.

use sealin_core::fault::{KINDS, Kind};
use sealin_core::{Bench, BenchAct, Fault, Plan};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use std::collections::BTreeSet;

/// The bench of each scenario that ships, with its reference's work where it has one. A job of fault finding has the panel of another.
fn plans() -> Vec<(&'static str, Plan)> {
    let plan = |(id, text)| {
        let scenario = Scenario::parse(text).expect("a shipped scenario reads");
        if scenario.fault_finding.is_some() {
            return None;
        }
        let work = shipped::reference(id)
            .map_or_else(|| Project::given(&scenario), |r| r.work(&scenario).expect("a reference fits"));
        Some((id, work.plan_of_sheet(&scenario).expect("a shipped program compiles")))
    };
    shipped::all().filter_map(plan).collect()
}

fn all_of(plan: &Plan) -> Vec<Fault> {
    let mut all = Fault::catalogue(&plan.parts, &plan.conductors);
    if let Some(program) = &plan.program {
        all.extend(plan.parts.iter().flat_map(|part| Fault::of_program(part, program)));
    }
    all
}

/// Kinds that no job that ships has a place for: none has a relay, a timer, a contact on a lever or a trip signal, or an emergency stop
/// with a make contact.
const NOWHERE: [&str; 15] = [
    "StuckOpen RelayContact",
    "StuckOpen TimerContact",
    "StuckOpen LeverContact",
    "StuckOpen TripSignal",
    "StuckClosed RelayContact",
    "StuckClosed TimerContact",
    "StuckClosed EmergencyContact",
    "StuckClosed LeverContact",
    "StuckClosed TripSignal",
    "Dirty RelayContact",
    "Dirty TimerContact",
    "Dirty LeverContact",
    "Dirty TripSignal",
    "ArmatureBlocked Relay",
    "ArmatureSticks Relay",
];

#[test]
fn every_fault_has_a_kind_and_every_kind_a_place() {
    assert!(KINDS.len() >= 70, "{}", KINDS.len());
    let mut met: BTreeSet<String> = BTreeSet::new();
    for (id, plan) in plans() {
        for fault in all_of(&plan) {
            let line = fault.to_string();
            assert_eq!(Fault::parse(&line).as_ref(), Ok(&fault), "{id}: {line}");
            assert_eq!(fault.fits(&plan.parts, &plan.conductors), Ok(()), "{id}: {line}");
            let kind = fault.kind(&plan.parts, &plan.conductors);
            met.insert(name(kind.unwrap_or_else(|| panic!("{id}: {line} has no kind"))));
        }
    }
    let unmet: Vec<String> = KINDS.iter().map(name).filter(|name| !met.contains(name)).collect();
    assert_eq!(unmet, NOWHERE);
}

fn name(kind: &Kind) -> String {
    format!("{:?} {:?}", kind.mode, kind.class)
}

/// With each fault of the main job a bench is built, runs, and goes on without it as it was drawn.
#[test]
fn a_bench_runs_with_each() {
    let (_, plan) = plans().into_iter().find(|(id, _)| *id == "paddle-closed-loop").unwrap();
    let sound = Bench::new(plan.clone()).unwrap();
    for fault in all_of(&plan) {
        let mut bench = Bench::new(plan.clone()).unwrap();
        for act in ["power on", &format!("inject {fault}")] {
            bench.act(BenchAct::parse(act).unwrap()).unwrap_or_else(|why| panic!("{fault}: {why}"));
        }
        bench.run_until(300, &mut |_, _, _| {});
        bench.act(BenchAct::ClearAll).unwrap();
        assert_eq!(bench.design.signals.len(), sound.design.signals.len(), "{fault}");
        assert_eq!(bench.design.parts, sound.design.parts, "{fault}");
    }
}
