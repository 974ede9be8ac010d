//! Marks by proof: who decides, by every row of the table of verdicts, and proofs that come to each verdict.

use sealin_exercise::attempt::Attempt;
use sealin_exercise::grade::grade_proven;
use sealin_exercise::marking::{Marks, mark, mark_proven};
use sealin_exercise::project::Project;
use sealin_exercise::proofs::{Decision, ProofVerdict, Proofs, prove};
use sealin_exercise::scenario::{Formula, Scenario};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use sealin_proof::expr::parse_requirement;
use std::rc::Rc;

const PADDLE: &str = "paddle-closed-loop";

/// The job with one of its requirements only, R5, of 4 marks: the given program keeps its trials. Its formulas and what moves are these.
fn scenario(formulas: &[&str], free: &[&str]) -> Scenario {
    let mut scenario = Scenario::parse(shipped::get(PADDLE).unwrap()).unwrap();
    scenario.requirements.retain(|r| r.id == "R5");
    let only = &mut scenario.requirements[0];
    let formula =
        |text: &&str| Formula { source: text.to_string(), verdict: parse_requirement(text).unwrap() };
    only.formulas = formulas.iter().map(formula).collect();
    only.proof.free = free.iter().map(|name| name.to_string()).collect();
    scenario
}

fn reference(scenario: &Scenario) -> Project {
    shipped::reference(PADDLE).unwrap().work(scenario).unwrap()
}

/// A work whose trials are not kept, as nothing ever runs.
fn idle(scenario: &Scenario) -> Project {
    Project { source: "PROGRAM paddle\nEND_PROGRAM\n".to_string(), ..reference(scenario) }
}

fn marks(scenario: &Scenario, project: &Project, proofs: Option<&Proofs>) -> Marks {
    mark_proven(scenario, project, proofs, &mut |_, _| true)
}

/// The table of verdicts in the design note: which earn, which lose, where the script decides, and what stays open; with scripts that
/// are kept and with scripts that are not.
#[test]
fn every_verdict_decides_as_the_table_says() {
    use ProofVerdict::{Broken, NeverExercised, NotComputed, NotProvable, NotReproduced, Proven, Undecided};
    let scenario = scenario(&[], &[]);
    let (kept, lost) = (reference(&scenario), idle(&scenario));
    // Earned where the scripts are kept, where they are not, and open marks.
    for (outcome, with, without, open) in [
        (Proven, 4, 4, 0),
        (NeverExercised, 0, 0, 0),
        (Broken, 0, 0, 0),
        (NotReproduced, 4, 0, 0),
        (Undecided, 4, 0, 0),
        (NotProvable, 4, 0, 0),
        (NotComputed, 0, 0, 4),
    ] {
        for (project, earned) in [(&kept, with), (&lost, without)] {
            let proofs = Proofs::new(project.design_hash(&scenario), [("R5".to_string(), outcome)]);
            let marks = marks(&scenario, project, Some(&proofs));
            assert_eq!((marks.earned, marks.open, marks.of), (earned, open, 4), "{outcome}");
            assert_eq!(marks.lines[0].proof, Some(outcome));
        }
    }
}

/// A proof of another work says nothing, and without a proof the scripts decide as ever.
#[test]
fn only_a_proof_of_exactly_this_work_counts() {
    let scenario = scenario(&[], &[]);
    let (kept, lost) = (reference(&scenario), idle(&scenario));
    let proofs = Proofs::new(lost.design_hash(&scenario), [("R5".to_string(), ProofVerdict::Broken)]);
    for proofs in [Some(&proofs), None] {
        let marks = marks(&scenario, &kept, proofs);
        assert_eq!((marks.earned, marks.lines[0].proof), (4, None));
        assert_eq!(marks, mark(&scenario, &kept, &mut |_, _| true));
    }
    let unreadable = Project { source: "PROGRAM".to_string(), ..kept };
    assert!(prove(&scenario, &unreadable, None, &mut |_, _| true).is_err());
}

/// What the proof of the one requirement comes to, and what it earns.
fn proven(
    formulas: &[&str],
    free: &[&str],
    work: fn(&Scenario) -> Project,
    most: u64,
) -> (ProofVerdict, u32) {
    let scenario = scenario(formulas, free);
    let project = work(&scenario);
    let proofs = prove(&scenario, &project, Some(most), &mut |_, _| true).unwrap();
    (proofs.of("R5").unwrap(), marks(&scenario, &project, Some(&proofs)).earned)
}

/// By hand: the reference never has both bits; the idle program neither, but it never has one; the given program holds its bit through a
/// trip; three states are not all; what a coil sounds like is not explored.
#[test]
fn proofs_come_to_each_verdict() {
    const MOST: u64 = 200_000;
    let both = ["never (QX0.0 and QX0.1)"];
    let buttons = ["SF2", "SF3"];
    assert_eq!(proven(&both, &buttons, reference, MOST), (ProofVerdict::Proven, 4));
    assert_eq!(proven(&both, &buttons, idle, MOST), (ProofVerdict::NeverExercised, 0));
    let trip = ["never (QX0.0 and held(FC1.tripped, 100ms))"];
    assert_eq!(proven(&trip, &["SF2", "FC1"], Project::given, MOST), (ProofVerdict::Broken, 0));
    assert_eq!(proven(&both, &buttons, reference, 3), (ProofVerdict::Undecided, 4));
    assert_eq!(proven(&["never QA1.hums"], &buttons, reference, MOST), (ProofVerdict::NotProvable, 4));
}

/// One part that is broken loses all; the other, of which nothing is known, does not open it again.
#[test]
fn the_worst_part_counts() {
    let formulas = ["never QA1.hums", "never (QX0.0 and held(FC1.tripped, 100ms))"];
    assert_eq!(proven(&formulas, &["SF2", "FC1"], Project::given, 200_000), (ProofVerdict::Broken, 0));
}

/// Under faults alone nothing tells whether it was ever put to the test: that is seen without them.
#[test]
fn an_idle_work_earns_nothing_under_faults() {
    let mut scenario = scenario(&["never (QX0.0 and held(not IX0.0, 5ms))"], &["SF1", "SF2"]);
    scenario.requirements[0].proof.faults = vec![sealin_core::Fault::parse("conductor S04 open").unwrap()];
    for (project, outcome) in
        [(reference(&scenario), ProofVerdict::Proven), (idle(&scenario), ProofVerdict::NeverExercised)]
    {
        let proofs = prove(&scenario, &project, None, &mut |_, _| true).unwrap();
        assert_eq!(proofs.of("R5"), Some(outcome));
    }
}

/// Stopped, it is open: the rest is not begun.
#[test]
fn what_is_stopped_stays_open() {
    let scenario = scenario(&["never (QX0.0 and QX0.1)"], &["SF2", "SF3"]);
    let project = reference(&scenario);
    let proofs = prove(&scenario, &project, None, &mut |_, _| false).unwrap();
    let marks = marks(&scenario, &project, Some(&proofs));
    assert_eq!((marks.earned, marks.open, marks.passed), (0, 4, false));
    assert_eq!(marks.lines[0].decision(), Decision::Open);
}

/// An attempt that never does anything: not a mark by proof, though nothing is broken; and where nothing could be explored it is said
/// that the trials have decided.
#[test]
fn an_attempt_is_graded_by_proof() {
    let scenario = Rc::new(Scenario::parse(shipped::get(PADDLE).unwrap()).unwrap());
    let mut session = Session::new(Rc::clone(&scenario), 0).unwrap();
    session.set_source("PROGRAM paddle\nEND_PROGRAM\n").unwrap();
    let attempt: Attempt = session.attempt();
    let report = grade_proven(&scenario, &attempt, 200_000).unwrap();
    assert_eq!(report.marks.earned, 0, "{:?}", report.marks);
    let told = grade_proven(&scenario, &attempt, 1).unwrap().remarks().join("\n");
    assert!(told.contains("R5: undecided; its trials decide"), "{told}");
}
