//! The naive explorer, which only calls the bench, finds the same states at grid instants and the same verdicts as the proof.
//!
//! With one control that moves usually; `SEALIN_NAIVE=1` takes two as well.

#[path = "../../crates/proof/tests/support/latched.rs"]
mod latched;
#[path = "../../crates/proof/tests/support/seal_in.rs"]
mod seal_in;
#[path = "../../crates/proof/tests/support/mod.rs"]
mod support;

use latched::latched;
use seal_in::{QUICK, seal_in};
use sealin_core::{BenchAct, Fault, Plan};
use sealin_proof::explore::{Answer, Explorer, Question, Replay, Report, ask};
use sealin_tests::asked::{names, verdicts};
use sealin_tests::naive::{Hand, naively};
use std::collections::HashSet;

/// Ticks of a quantum without a controller.
const PERIOD: u64 = 10;

fn button<'a>(tag: &str, pressed: &'a str) -> Hand<'a> {
    (BenchAct::Release(tag.to_string()), BenchAct::Press(tag.to_string()), pressed)
}

fn hand(tag: &str) -> Hand<'_> {
    match tag {
        "SF1" => button(tag, "SF1.pressed"),
        "SF2" => button(tag, "SF2.pressed"),
        "FC1" => (BenchAct::Reset(tag.to_string()), BenchAct::Trip(tag.to_string()), "FC1.tripped"),
        "FC1.stop" => button(tag, "FC1.stop"),
        "power" => (BenchAct::Power(false), BenchAct::Power(true), "XD0.on"),
        _ => panic!("{tag}"),
    }
}

/// What moves, what is required, and a fault.
type Case<'a> = (&'a [&'a str], &'a [&'a str], Option<&'a str>);

/// One thing that moves usually, which takes seconds; two in the long mode, which takes minutes, since nothing is shared.
fn chosen<'a>(cases: &'a [Case<'a>]) -> impl Iterator<Item = &'a Case<'a>> {
    let long = std::env::var_os("SEALIN_NAIVE").is_some();
    cases.iter().filter(move |case| long || case.0.len() == 1)
}

/// Holds both explorers against each other; gives whether the formulas hold.
fn same(plan: &Plan, period: u64, (free, required, fault): Case) -> bool {
    let hands: Vec<Hand> = free.iter().map(|tag| hand(tag)).collect();
    let (free, required) = (names(free), verdicts(required));
    let fault = fault.map(|line| Fault::parse(line).unwrap());
    let question = Question { fault: fault.as_ref(), ..Question::new(plan, &required, &free) };
    let mut explorer = Explorer::all_in_the_plant(&question);
    let report = explorer.explore(fault.as_ref(), &mut |_| true);
    // What is apart or merged has other states, and the same verdict.
    let (merged, played) = ask(&question, &mut |_| true);
    match naively(plan, fault.as_ref(), &hands, &required, period) {
        Ok(naive) => {
            for report in [&report, &merged] {
                assert!(
                    matches!(report.answer, Answer::Proven | Answer::NeverExercised),
                    "{required:?} {:?}",
                    report.answer
                );
            }
            assert_eq!(report.states, naive.states as u64, "{required:?}");
            let known: HashSet<_> = explorer.states().into_iter().collect();
            assert!(known == naive.boundaries, "{required:?}: other states, though as many");
            true
        }
        Err(quantum) => {
            assert_eq!(
                [broken_in(&report, period), broken_in(&merged, period)],
                [quantum; 2],
                "{required:?}"
            );
            assert_eq!(played, Some(Replay::Reproduced));
            false
        }
    }
}

fn broken_in(report: &Report, period: u64) -> u64 {
    let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
    path.tick() / period
}

/// What has held itself and lost its hold does not hold itself again.
const AGAIN: &str = "never (held(QA1.coil and not SF2.pressed, 20ms) and once(fell(QA1.coil) and \
                     prev(held(QA1.coil and not SF2.pressed, 20ms))))";

/// A hard-wired contactor that holds itself.
#[test]
fn the_same_of_a_hard_wired_starter() {
    let cases: [Case; 9] = [
        (&["SF2"], &["never (QA1.coil and held(FC1.tripped, 10ms))"], None),
        (&["FC1", "SF2"], &["never (QA1.closed and held(FC1.tripped, 20ms))"], None),
        (&["SF1", "SF2"], &["never (QA1.closed and held(SF1.pressed, 10ms))"], None),
        (&["FC1", "SF2"], &["never (fell(FC1.tripped) and QA1.closed and not SF2.pressed)"], None),
        (&["FC1.stop", "SF2"], &["never (QA1.closed and held(FC1.stop, 20ms))"], None),
        (&["SF2"], &["never (QA1.closed and held(not SF2.pressed, 20ms))"], Some("conductor QA1:13 open")),
        (
            &["SF2"],
            &["never (rose(QA1.coil) and not once(SF2.pressed, 20ms))"],
            Some("QA1 13-14 stuck closed"),
        ),
        (
            &["FC1", "SF2"],
            &["never (QA1.closed and held(FC1.tripped, 20ms))"],
            Some("conductor QA1:13 open intermittent"),
        ),
        (&["SF2"], &[AGAIN], Some("QA1 13-14 stuck open intermittent")),
    ];
    let holds: Vec<bool> = chosen(&cases).map(|case| same(&seal_in(QUICK), PERIOD, *case)).collect();
    assert!(holds.contains(&true) && holds.contains(&false), "{holds:?}");
}

/// A controller with filter, images, a program that remembers, and an output relay: start-up, loss of power and faults included.
#[test]
fn the_same_of_a_controller() {
    let cases: [Case; 6] = [
        (&["SF2"], &["never (rose(QX0.0) and not prev(IX0.0))"], None),
        (&["SF2"], &["never (QA1.coil and not once(SF2.pressed))"], None),
        (&["SF2"], &["never (fell(QX0.0) and KF1.on)"], None),
        (&["SF2", "power"], &["never (rose(QX0.0) and not prev(IX0.0))"], None),
        (&["SF2"], &["never (rose(QX0.0) and not once(SF2.pressed))"], Some("SF2 13-14 stuck closed")),
        (&["SF2"], &["never (fell(QX0.0) and KF1.on)"], Some("SF2 13-14 stuck closed intermittent")),
    ];
    let holds: Vec<bool> =
        chosen(&cases).map(|case| same(&latched(), latched::SCAN_MS.into(), *case)).collect();
    assert!(holds.contains(&true) && holds.contains(&false), "{holds:?}");
}
