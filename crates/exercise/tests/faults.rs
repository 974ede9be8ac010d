//! The catalogue of single faults over all that ships: each has a kind and a line of text, and a bench runs with it; and faults of the program.

use sealin_core::fault::{KINDS, Kind};
use sealin_core::{Bench, BenchAct, Fault, Plan};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::collections::BTreeSet;
use std::rc::Rc;

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
        for fault in Fault::of_plan(&plan) {
            let line = fault.to_string();
            assert_eq!(Fault::parse(&line).as_ref(), Ok(&fault), "{id}: {line}");
            assert_eq!(fault.fits(&plan), Ok(()), "{id}: {line}");
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
    for fault in Fault::of_plan(&plan) {
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

/// The program that this job hands over has one rung, `QA1_out := SF2_in AND SF1_in`: what is not in it cannot be at fault.
#[test]
fn a_fault_of_the_program_needs_its_rung_and_contact() {
    let scenario = Scenario::parse(shipped::get("conveyor-controller").unwrap()).unwrap();
    let mut plan = Project::given(&scenario).plan(&scenario);
    let fits = |plan: &Plan, line: &str| Fault::parse(line).unwrap().fits(plan);
    for line in ["KF1 1 rung missing", "KF1 1.1 inverted", "KF1 1.2 passes"] {
        assert_eq!(fits(&plan, line), Ok(()), "{line}");
    }
    for (line, told) in [
        ("KF1 2 rung missing", "there is no rung 2; the program has 1"),
        ("KF1 2.1 inverted", "there is no rung 2; the program has 1"),
        ("KF1 1.3 passes", "rung 1 has no contact 3; it has 2"),
        ("KF1 1 inverted", "rung and contact are expected"),
        ("KF1 1.0 inverted", "rung and contact are expected"),
        ("KF1 1.1 rung missing", "the number of a rung is expected"),
        ("KF1 0 rung missing", "the number of a rung is expected"),
        ("QA1 1 rung missing", "`QA1` is no controller"),
    ] {
        assert!(fits(&plan, line).is_err_and(|why| why.contains(told)), "{line}: {:?}", fits(&plan, line));
    }
    let refused =
        Bench::new(plan.clone()).unwrap().act(BenchAct::parse("inject KF1 2 rung missing").unwrap());
    assert!(refused.is_err());
    plan.program = None;
    assert_eq!(fits(&plan, "KF1 1 rung missing"), Err("`KF1` has no program".to_string()));
}

/// Two rungs that are missing at once are those two: with the first gone the second has not got its number.
#[test]
fn several_missing_rungs_are_those_that_are_named() {
    let (_, plan) = plans().into_iter().find(|(id, _)| *id == "lock-gate-answers").unwrap();
    let mut rungs = plan.program.clone().unwrap().rungs;
    let mut bench = Bench::new(plan).unwrap();
    for line in ["inject KF1 2 rung missing", "inject KF1 3 rung missing", "inject KF1 10 rung missing"] {
        bench.act(BenchAct::parse(line).unwrap()).unwrap();
    }
    for n in [10, 3, 2] {
        rungs.remove(n - 1);
    }
    assert_eq!(bench.design.program.as_ref().unwrap().rungs, rungs);
}

/// A fault of a rung goes when the rung does and comes back with it, unless it has been cleared meanwhile.
#[test]
fn a_fault_goes_and_comes_with_its_rung() {
    let scenario = Rc::new(Scenario::parse(shipped::get("gate-commons").unwrap()).unwrap());
    let mut session = Session::new(Rc::clone(&scenario), 0).unwrap();
    let fault = Fault::parse("KF1 2 rung missing").unwrap();
    let with_lamp = scenario.program.clone();
    let without = with_lamp.replace("PF1_out := SF3_in;\n", "");
    assert_ne!(with_lamp, without);
    let transferred = |session: &mut Session, source: &str| {
        session.set_source(source).unwrap();
        session.transfer(true).unwrap();
        session.bench().plan().faults.contains(&fault)
    };
    session.bench_act(BenchAct::Inject(fault.clone())).unwrap();
    assert!(!transferred(&mut session, &without));
    assert!(transferred(&mut session, &with_lamp));
    assert!(!transferred(&mut session, &without));
    session.bench_act(BenchAct::Clear(fault.clone())).unwrap();
    assert!(!transferred(&mut session, &with_lamp));
    // Nor is one taken that is cleared and was never set on this bench.
    assert!(session.bench_act(BenchAct::Clear(Fault::parse("KF1 3 rung missing").unwrap())).is_err());
}
