//! By whom a fault is noticed in the normal use of a requirement of the paddle gear.
//!
//! Every expectation is worked out by hand from the wiring, the reference's six rungs and what the trials do.

use sealin_core::{Fault, Plan};
use sealin_exercise::noticed::{Noticed, Noticing};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;

const PADDLE: &str = "paddle-closed-loop";

/// The paddle gear with these alarms.
fn scenario(alarms: &str) -> Scenario {
    let text = shipped::get(PADDLE).unwrap();
    assert!(text.contains("alarms = [\"QX0.4\"]"));
    Scenario::parse(&text.replace("alarms = [\"QX0.4\"]", alarms)).unwrap()
}

/// The reference with its program changed.
fn plan(scenario: &Scenario, change: fn(&str) -> String) -> Plan {
    let reference = shipped::reference(PADDLE).unwrap();
    let mut project = reference.work(scenario).unwrap();
    project.source = change(reference.program);
    project.plan_of_sheet(scenario).unwrap()
}

/// What is noticed of each fault in the normal use of a requirement.
fn noticed(scenario: &Scenario, plan: &Plan, cases: &[(&str, &str)]) -> Vec<Noticed> {
    let mut noticing = Noticing::new(scenario, plan).unwrap();
    cases.iter().map(|(id, fault)| noticing.of(id, &Fault::parse(fault).unwrap()).unwrap()).collect()
}

/// The signals by which the program and a person notice it.
fn signals(noticed: &Noticed) -> (Option<&str>, Option<&str>) {
    (
        noticed.by_program.as_ref().map(|seen| seen.signal.as_str()),
        noticed.by_person.as_ref().map(|seen| seen.signal.as_str()),
    )
}

/// R1 presses RAISE for 200 ms at 2 s and expects the motor to go on. What keeps it from running, or lets it run by itself, is seen at
/// the motor alone: no lamp has to do with it, and no alarm.
#[test]
fn what_keeps_the_machine_still_is_seen_at_the_motor() {
    let scenario = scenario("alarms = [\"QX0.4\"]");
    let plan = plan(&scenario, str::to_string);
    let cases = [
        ("R1", "conductor S04 open"),     // SF1_in is 0: rungs 4 and 5 are off
        ("R1", "QA1 13-14 stuck closed"), // QA1_in is 1 at rest: never clear, never fresh
        ("R1", "SF2 stuck in"),           // never at rest, never fresh
        ("R1", "QA1 coil open"),          // the bit comes, the contactor does not
        ("R1", "XD0 L2 missing"),         // TB1 lies between two phases, or the motor has two only
        ("R1", "QA1 poles welded"),       // the motor runs when power comes
        ("R1", "KF1 I4 dead"),            // it runs while RAISE is held, then coasts without power
    ];
    for (found, (_, fault)) in noticed(&scenario, &plan, &cases).iter().zip(cases) {
        let (program, person) = signals(found);
        assert_eq!(program, None, "{fault}");
        assert!(person.is_some_and(|signal| signal.starts_with("MA1.")), "{fault}: {person:?}");
    }
}

/// The trip contact reaches the lamp alone (rung 6), and forbids a start (rungs 1, 4 and 5). Stuck open it shows only where FC1 trips:
/// in R14, as a lamp that stays dark; an alarm that does not rise is no alarm. Stuck closed it lights the lamp at once.
#[test]
fn an_alarm_rises_or_it_does_not() {
    let scenario = scenario("alarms = [\"QX0.4\"]");
    let plan = plan(&scenario, str::to_string);
    let open = "FC1 97-98 stuck open";
    let found = noticed(&scenario, &plan, &[("R1", open), ("R14", open), ("R14", "FC1 97-98 stuck closed")]);
    assert_eq!(found[0], Noticed::default());
    assert_eq!(signals(&found[1]), (None, Some("PF1.lit")));
    assert!(!found[1].by_person.as_ref().unwrap().on);
    let (program, person) = signals(&found[2]);
    assert_eq!(program, Some("QX0.4"));
    assert!(person.is_some());
    assert!(found[2].by_program.as_ref().unwrap().on);
}

/// What works only when something else has failed is never seen in normal use: the mechanical interlock, and 21-22 of QA1 that
/// cannot open any more. Where there is no requirement of that id, the trials of all count: one that trips FC1 shows it.
#[test]
fn a_hidden_fault_is_noticed_by_nobody() {
    let scenario = scenario("alarms = [\"QX0.4\"]");
    let plan = plan(&scenario, str::to_string);
    let cases =
        [("R1", "QA1 interlock broken"), ("R8", "QA1 21-22 stuck closed"), ("harm", "FC1 97-98 stuck open")];
    let found = noticed(&scenario, &plan, &cases);
    assert_eq!(found[..2], [Noticed::default(), Noticed::default()]);
    assert!(found[2].by_person.is_some());
}

/// Welded poles of QA1 hold its armature short of its rest, and its break contact 21-22 open (IEC 60947-4-1, mirror contact), which
/// lies in the coil circuit of QA2: in the trials of R1 that lower, the bit of QA2 is on for the 80 ms and more of the press and no
/// answer comes. An answer takes 48 ms at most (scenario, R8), so that an alarm after 60 ms rises, and only then. Where no alarm of a
/// name that the program has is declared, nothing is told of the program.
#[test]
fn a_welded_pole_is_told_by_an_alarm_that_looks_at_the_answer() {
    let watching = |program: &str| {
        let rungs = "(* 7 *) lost(IN := QA2_out AND NOT QA2_in, PT := T#60ms);\n\
                     (* 8 *) alarm := lost.Q OR alarm;\nEND_PROGRAM";
        program
            .replace("END_VAR", "    lost : TON;\n    alarm : BOOL;\nEND_VAR")
            .replace("END_PROGRAM", rungs)
    };
    let cases = [("R1", "QA1 poles welded"), ("R1", "conductor S04 open")];
    let with = scenario("alarms = [\"alarm\"]");
    let plan_with = plan(&with, watching);
    let found = noticed(&with, &plan_with, &cases);
    assert_eq!(signals(&found[0]).0, Some("alarm"));
    assert_eq!(signals(&found[1]).0, None);
    let mut none = Noticing::new(&with, &plan_with).unwrap();
    assert!(none.has_alarms());
    let without = scenario("");
    none = Noticing::new(&without, &plan_with).unwrap();
    assert!(!none.has_alarms());
    let welded = none.of("R1", &Fault::parse(cases[0].1).unwrap()).unwrap();
    assert_eq!(signals(&welded).0, None);
    assert!(welded.by_person.is_some());
}

/// With two phases exchanged the motor turns the other way round.
#[test]
fn the_sense_of_rotation_is_seen() {
    let scenario = scenario("alarms = [\"QX0.4\"]");
    let plan = plan(&scenario, str::to_string);
    let found = noticed(&scenario, &plan, &[("R1", "XD0 phases swapped")]);
    let (_, person) = signals(&found[0]);
    assert!(matches!(person, Some("MA1.clockwise" | "MA1.counterclockwise")), "{person:?}");
}

/// An alarm is a signal of the bench, or a name that a program may give.
#[test]
fn an_alarm_has_a_name_that_can_be() {
    let text = shipped::get(PADDLE).unwrap();
    for (name, fits) in
        [("alarm", true), ("PF1.lit", true), ("QX0.4", true), ("PF9.lit", false), ("QX9.0", false)]
    {
        let read = Scenario::parse(&text.replace("alarms = [\"QX0.4\"]", &format!("alarms = [\"{name}\"]")));
        assert_eq!(read.is_ok(), fits, "{name}");
    }
    let hash = |alarms: &str| scenario(alarms).content_hash();
    assert_ne!(hash("alarms = [\"QX0.4\"]"), hash(""));
    assert_eq!(hash("alarms = []"), hash(""));
}
