//! What exploration finds about a machine that actuates position switches: the hoist of the yard crane.
//!
//! Figures by hand: the load pulls down with 500 kg · 9.81 m/s² · 0.125 m / 40 = 15.3 N·m at the shaft, gear and rotor rub with 1.8,
//! the brake holds with 60; the motor has 58.1 N·m at standstill (equivalent circuit, `devices/motor.rs`). The hook begins at 1 m,
//! BG2 ends at 0.5 m, BG1 begins at 5 m and BG3 at 5.5 m.

use sealin_core::part::{Kind, Part};
use sealin_core::{Fault, Plan, Terminal};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use sealin_proof::explore::{Answer, Explorer, Question, Record, Replay, Report, ask};
use sealin_proof::expr::{Verdict, parse_requirement};

const CRANE: &str = "yard-crane-hoist";

/// The over-travel limit as the job asks for it.
const OVER_TRAVEL: &str = "never (QA1.closed and held(BG3.actuated, 100ms))";

fn reference() -> Plan {
    let scenario = Scenario::parse(shipped::get(CRANE).unwrap()).unwrap();
    shipped::reference(CRANE).unwrap().work(&scenario).unwrap().plan_of_sheet(&scenario).unwrap()
}

/// The report on one formula, and what the whole bench makes of its counterexample.
fn asked(plan: &Plan, fault: Option<&str>, free: &[&str], formula: &str) -> (Report, Option<Replay>) {
    let free: Vec<String> = free.iter().map(|name| name.to_string()).collect();
    let required: Vec<Verdict> = vec![parse_requirement(formula).unwrap()];
    let fault = fault.map(|line| Fault::parse(line).unwrap());
    ask(&Question { fault: fault.as_ref(), ..Question::new(plan, &required, &free) }, &mut |_| true)
}

/// The acts of a counterexample that the whole bench plays again, and the heights that the hook passes, mm, with the way it goes.
fn path_of((report, played): &(Report, Option<Replay>)) -> (Vec<String>, Vec<(i64, bool)>) {
    let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
    assert_eq!(*played, Some(Replay::Reproduced), "{path}");
    let heights = path.records.iter().filter_map(|record| match record {
        Record::Place { nm, up, .. } => Some((nm / 1_000_000, *up)),
        _ => None,
    });
    (path.acts.iter().map(|(_, act)| act.to_string()).collect(), heights.collect())
}

fn change(plan: &mut Plan, tag: &str, change: impl FnOnce(&mut Part)) {
    change(plan.parts.iter_mut().find(|part| part.tag == tag).unwrap());
}

/// With BG1 welded the hook comes to BG3, which takes out RAISE by the wires: dropped out 15 ms later at most.
#[test]
fn the_over_travel_limit_takes_out_raise() {
    let plan = reference();
    let (report, _) = asked(&plan, Some("BG1 11-12 stuck closed"), &["SF2"], OVER_TRAVEL);
    assert_eq!(report.answer, Answer::Proven);
}

/// Past BG3 nothing does: one press is enough, and on its way up the hook passes 5 m and then 5.5 m.
#[test]
fn a_limit_that_is_bypassed_is_run_over() {
    let mut plan = reference();
    let past = plan.conductors.iter_mut().find(|c| c.id == "L8").unwrap();
    assert_eq!(past.from, Terminal::new("KF1", "Q0"));
    past.to = Terminal::new("QA2", "21");
    let (acts, heights) = path_of(&asked(&plan, Some("BG1 11-12 stuck closed"), &["SF2"], OVER_TRAVEL));
    assert_eq!(acts.len(), 3);
    assert!(acts.contains(&"press SF2".to_string()), "{acts:?}");
    assert_eq!(heights, [(5_000, true), (5_500, true)]);
}

/// Let alone, the hook hangs in the brake: 60 N·m against 15.3.
#[test]
fn a_load_in_its_brake_goes_nowhere() {
    for formula in ["never BG1.actuated", "never BG2.actuated"] {
        let (report, _) = asked(&reference(), None, &["SF1"], formula);
        assert_eq!(report.answer, Answer::NeverExercised, "{formula}");
    }
}

/// Each button takes it to its limit; lowered, it never comes to the upper one, as nothing drives the shaft up.
#[test]
fn each_button_leads_to_its_limit() {
    let plan = reference();
    for (button, reached, height, up, other) in
        [("SF2", "BG1", 5_000, true, "BG2"), ("SF3", "BG2", 500, false, "BG1")]
    {
        let (acts, heights) = path_of(&asked(&plan, None, &[button], &format!("never {reached}.actuated")));
        assert_eq!(acts, ["power on".to_string(), format!("press {button}")]);
        assert_eq!(heights, [(height, up)]);
        if button == "SF3" {
            let (report, _) = asked(&plan, None, &[button], &format!("never {other}.actuated"));
            assert_eq!(report.answer, Answer::NeverExercised, "{other}");
        }
    }
}

/// Through an applied brake the motor does not raise, 58.1 against 60 + 1.8 + 15.3 N·m, but lowers, with the load's help: 73.4 against
/// 61.8.
#[test]
fn through_an_applied_brake_it_only_lowers() {
    let mut plan = reference();
    plan.conductors.retain(|c| c.id != "L10");
    let (report, _) = asked(&plan, None, &["SF2"], "never BG1.actuated");
    assert_eq!(report.answer, Answer::NeverExercised);
    let (_, heights) = path_of(&asked(&plan, None, &["SF3"], "never BG2.actuated"));
    assert_eq!(heights, [(500, false)]);
}

/// Two places at which a switch changes, closer together than the hook can move within a scan, are refused: at 0.49 m/s it moves 4.9 mm
/// in 10 ms, and falling faster.
#[test]
fn switches_that_are_too_close_are_refused() {
    let mut plan = reference();
    change(&mut plan, "BG3", |part| {
        let Kind::PositionSwitch(switch) = &mut part.kind else { panic!() };
        switch.from_um = 5_002_000;
    });
    let (report, _) = asked(&plan, None, &["SF2"], OVER_TRAVEL);
    let Answer::NotProvable(why) = &report.answer else { panic!("{report:?}") };
    assert!(why.contains("within a scan"), "{why}");
}

/// The speed itself is free, and a formula that names it is refused.
#[test]
fn what_names_the_speed_is_refused() {
    let plan = reference();
    let required = [parse_requirement("never (MA1.clockwise and BG3.actuated)").unwrap()];
    let free = ["SF2".to_string()];
    let report = Explorer::new(&Question::new(&plan, &required, &free)).explore(None, &mut |_| true);
    assert!(matches!(report.answer, Answer::NotProvable(_)), "{report:?}");
}
