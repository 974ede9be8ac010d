//! Sabotage: a mistake made on purpose in the proof is found by inclusion, replay or the naive explorer, each shown to find nothing
//! where there is none.

#[path = "../../crates/proof/tests/support/seal_in.rs"]
mod seal_in;
#[path = "../../crates/proof/tests/support/mod.rs"]
mod support;

use seal_in::{QUICK, seal_in};
use sealin_core::part::{ArmatureDelays, Kind};
use sealin_core::{BenchAct, Fault, Plan};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use sealin_proof::explore::{Answer, Explorer, Question, Replay, Sabotage};
use sealin_tests::asked::{names, verdicts};
use sealin_tests::naive::naively;
use sealin_tests::runs::follow;

/// A question: the bench, what moves, what is required, and a fault.
struct Asked {
    plan: Plan,
    free: Vec<String>,
    required: Vec<sealin_proof::expr::Verdict>,
    fault: Option<Fault>,
}

impl Asked {
    fn new(plan: Plan, free: &[&str], required: &[&str]) -> Asked {
        Asked { plan, free: names(free), required: verdicts(required), fault: None }
    }

    fn question(&self) -> Question<'_> {
        Question { fault: self.fault.as_ref(), ..Question::new(&self.plan, &self.required, &self.free) }
    }

    /// What the first runs come to that are followed; the error is the first thing that the exploration does not know.
    fn included(&self, explorer: &mut Explorer) -> Result<(), String> {
        const RUNS: u64 = 6;
        const QUANTA: u64 = 800;
        let run = |seed| follow(explorer, &self.question(), self.fault.as_ref(), seed, QUANTA).map(|_| ());
        (0..RUNS).try_for_each(run)
    }

    /// Inclusion finds this mistake, and without it nothing.
    fn found_by_inclusion(&self, sabotage: Sabotage, what: &str) {
        assert_eq!(self.included(&mut Explorer::new(&self.question())), Ok(()));
        let found = self.included(&mut Explorer::sabotaged(&self.question(), sabotage)).unwrap_err();
        assert!(found.contains(what), "{found}");
    }
}

fn paddle(program: Option<&str>) -> Plan {
    reference("paddle-closed-loop", program)
}

fn reference(job: &str, program: Option<&str>) -> Plan {
    let scenario = Scenario::parse(shipped::get(job).unwrap()).unwrap();
    let mut work = shipped::reference(job).unwrap().work(&scenario).unwrap();
    if let Some(program) = program {
        work.source = program.to_string();
    }
    work.plan_of_sheet(&scenario).unwrap()
}

/// What 21-22 shows tick by tick is another thing.
#[test]
fn inclusion_finds_break_contacts_that_open_with_the_main_contacts() {
    let asked =
        Asked::new(seal_in(ArmatureDelays::default()), &["SF2"], &["never (QA1.closed and QA1.21-22)"]);
    asked.found_by_inclusion(Sabotage::BreakContactsLate, "has these signals");
}

/// By hand: the answer of the other contactor as the only interlock of the program, both buttons in one scan. With 21-22 in the coils'
/// circuits, whichever opens first takes the other's coil away, so that nothing comes to harm; if they opened with the main contacts, both
/// armatures would come in together. That is a false alarm, which the bench does not play.
#[test]
fn replay_finds_break_contacts_that_open_with_the_main_contacts() {
    let mut plan = paddle(Some(
        "PROGRAM paddle
VAR
    SF1_in AT %IX0.0 : BOOL; SF2_in AT %IX0.1 : BOOL; SF3_in AT %IX0.2 : BOOL;
    QA1_in AT %IX0.4 : BOOL; QA2_in AT %IX0.5 : BOOL;
    QA1_out AT %QX0.0 : BOOL; QA2_out AT %QX0.1 : BOOL;
END_VAR
QA1_out := (SF2_in OR QA1_out AND QA1_in) AND SF1_in AND NOT QA2_in;
QA2_out := (SF3_in OR QA2_out AND QA2_in) AND SF1_in AND NOT QA1_in;
END_PROGRAM",
    ));
    for part in &mut plan.parts {
        if let Kind::Contactor(contactor) = &mut part.kind {
            contactor.interlocked_with = None;
        }
    }
    let asked = Asked::new(plan, &["SF2", "SF3"], &[]);
    let (report, played) =
        Explorer::sabotaged(&asked.question(), Sabotage::BreakContactsLate).ask(None, &mut |_| true);
    assert!(matches!(report.answer, Answer::Broken(_)), "{report:?}");
    assert!(matches!(played, Some(Replay::NotReproduced(_))), "{played:?}");
    let report = Explorer::new(&asked.question()).explore(None, &mut |_| true);
    assert!(!matches!(report.answer, Answer::Broken(_)), "{report:?}");
}

/// An input image a scan too early.
#[test]
fn inclusion_finds_a_filter_that_is_left_out() {
    let asked = Asked::new(paddle(None), &["SF2", "FC1"], &["never (QX0.0 and IX0.6 and prev(IX0.6))"]);
    asked.found_by_inclusion(Sabotage::NoFilter, "none of");
}

/// By hand: the coil held in has 6612 ohm at 0.3; with 7050 ohm in 13-14 it has 6612 / |1984 + 7050 + 6308j| = 0.6 of its voltage:
/// between drop-out at 0.5 and pick-up at 0.75, so that it stays in.
#[test]
fn inclusion_finds_a_coil_that_does_not_keep() {
    let mut asked = Asked::new(
        seal_in(ArmatureDelays::default()),
        &["SF1", "SF2"],
        &["never (QA1.closed and held(SF1.pressed, 50ms))"],
    );
    asked.fault = Some(Fault::parse("QA1 13-14 dirty 7050").unwrap());
    asked.found_by_inclusion(Sabotage::KeepAsOff, "none of");
}

/// By hand: 9400 ohm before a channel of 4700 leave 24 · 4.7 / 14.1 = 8 V, between 7.1 V and 9.5 V: an answer that was 1 stays 1.
#[test]
fn inclusion_finds_a_channel_that_does_not_keep() {
    let mut asked = Asked::new(paddle(None), &["SF2"], &["never (QX0.0 and QX0.1)"]);
    asked.fault = Some(Fault::parse("QA1 13-14 dirty 9400").unwrap());
    asked.found_by_inclusion(Sabotage::KeepAsOff, "none of");
}

/// By hand: with one line of the motor open there is no torque at standstill, but the brake, between the other two, frees: the load
/// falls, and comes to where BG2 changes.
#[test]
fn inclusion_finds_a_weight_that_is_left_out() {
    let mut asked = Asked::new(reference("yard-crane-hoist", None), &["SF2"], &["never (QX0.0 and QX0.1)"]);
    asked.fault = Some(Fault::parse("conductor P21 open").unwrap());
    asked.found_by_inclusion(Sabotage::NoWeight, "none of");
}

/// A button that feeds the coil works at any tick.
#[test]
fn inclusion_finds_a_hard_wired_control_that_is_merged() {
    let asked = Asked::new(seal_in(ArmatureDelays::default()), &["SF2"], &[]);
    asked.found_by_inclusion(Sabotage::HardWiredMerged, "none of");
}

/// And has states that only come from there.
#[test]
fn the_naive_explorer_finds_a_hard_wired_control_that_is_merged() {
    let asked = Asked::new(seal_in(QUICK), &["SF2"], &["never (QA1.coil and held(FC1.tripped, 10ms))"]);
    let hand = (BenchAct::Release("SF2".to_string()), BenchAct::Press("SF2".to_string()), "SF2.pressed");
    let naive = naively(&asked.plan, None, &[hand], &asked.required, 10).ok().unwrap().states as u64;
    let states = |mut explorer: Explorer| explorer.explore(None, &mut |_| true).states;
    assert_eq!(states(Explorer::new(&asked.question())), naive);
    assert!(states(Explorer::sabotaged(&asked.question(), Sabotage::HardWiredMerged)) < naive);
}
