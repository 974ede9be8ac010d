//! Exhaustive exploration on small rigs: against a naive explorer that only calls the bench, and against what was worked out
//! by hand.

#[path = "support/seal_in.rs"]
mod seal_in;
mod support;

use seal_in::{QUICK, seal_in};
use sealin_core::devices::armature::Place;
use sealin_core::part::ArmatureDelays;
use sealin_core::{Bench, BenchAct, Fault, Plan};
use sealin_proof::explore::{Answer, Question, Replay, Report, ask, explore};
use sealin_proof::expr::{Formula, Memory, Verdict, parse_requirement};
use std::collections::BTreeMap;

/// Ticks of a quantum without a controller.
const PERIOD: u64 = 10;

fn verdicts(all: &[&str]) -> Vec<Verdict> {
    all.iter().map(|text| parse_requirement(text).unwrap()).collect()
}

fn names(all: &[&str]) -> Vec<String> {
    all.iter().map(|name| name.to_string()).collect()
}

/// What the exploration says, and what the whole bench makes of its counterexample.
fn asked(plan: &Plan, free: &[&str], required: &[&str]) -> (Report, Option<Replay>) {
    asked_with(plan, None, free, required)
}

/// The same, where this fault may strike.
fn asked_with(
    plan: &Plan,
    fault: Option<&Fault>,
    free: &[&str],
    required: &[&str],
) -> (Report, Option<Replay>) {
    let (free, required) = (names(free), verdicts(required));
    let question = Question { fault, ..Question::new(plan, &required, &free) };
    ask(&question, &mut |_| true)
}

/// By hand. Pressed at tick 0 the coil attracts in that tick; the main poles close after 12 ms at the earliest, so QA1 is seen in
/// at tick 12, in the second quantum. A second change of SF2 is possible from tick 10 on; let go at tick 12 or later it is
/// held by 13-14. So the shortest path has two quanta and three acts, power on among them.
#[test]
fn the_shortest_way_to_a_contactor_that_holds() {
    let plan = seal_in(ArmatureDelays::default());
    let (report, played) = asked(&plan, &["SF1", "SF2"], &["never (QA1.closed and not SF2.pressed)"]);
    let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
    assert_eq!((path.actions(), path.tick() / PERIOD), (3, 1), "{path}");
    assert!(path.tick() >= 12, "{path}");
    let acts: Vec<String> = path.acts.iter().map(|(_, act)| act.to_string()).collect();
    assert_eq!(acts, ["power on", "press SF2", "release SF2"]);
    assert_eq!(played, Some(Replay::Reproduced));
}

/// By hand, for the hard-wired seal-in: stop wins, and neither reset nor a return of the supply starts it, since what holds it is
/// its own contact, which has opened (the button's contacts may bounce for 3 ms after it is let go); but a trip or a dip shorter than the
/// drop-out is not noticed by anybody.
#[test]
fn what_a_hard_wired_seal_in_does() {
    let plan = seal_in(ArmatureDelays::default());
    let proven = |free: &[&str], required: &str| {
        let (report, played) = asked(&plan, free, &[required]);
        let path = match &report.answer {
            Answer::Broken(path) => path.to_string(),
            _ => String::new(),
        };
        assert_eq!(report.answer, Answer::Proven, "{required}: {played:?}\n{path}");
    };
    proven(&["SF1", "SF2", "FC1"], "never (QA1.closed and held(SF1.pressed, 50ms))");
    proven(
        &["SF2", "FC1"],
        "never (rose(QA1.coil) and not once(SF2.pressed, 20ms) and prev(held(not QA1.closed, 10ms)))",
    );
    proven(
        &["SF2", "power"],
        "never (rose(QA1.coil) and not once(SF2.pressed, 20ms) and prev(held(not QA1.closed, 10ms)))",
    );
    let (report, played) = asked(&plan, &["SF2", "FC1"], &["never (fell(FC1.tripped) and QA1.closed)"]);
    assert!(matches!(report.answer, Answer::Broken(_)), "{report:?}");
    assert_eq!(played, Some(Replay::Reproduced));
}

/// Something that can never happen is no proof of anything.
#[test]
fn a_design_that_does_nothing_is_told() {
    let plan = seal_in(ArmatureDelays::default());
    let (report, _) = asked(&plan, &["SF1"], &["never (QA1.closed and held(SF1.pressed, 50ms))"]);
    assert_eq!(report.answer, Answer::NeverExercised);
}

/// The motor's speed, heat and damage are free in a proof: a formula on them is refused with the reason.
#[test]
fn what_is_outside_is_said() {
    let plan = seal_in(ArmatureDelays::default());
    let (report, _) = asked(&plan, &["SF2"], &["never QA1.hums"]);
    assert!(matches!(&report.answer, Answer::NotProvable(why) if why.starts_with("QA1.hums")), "{report:?}");
    let (report, _) = asked(&plan, &["XD9"], &["never QA1.closed"]);
    assert!(matches!(&report.answer, Answer::NotProvable(why) if why.contains("SF1, SF2")), "{report:?}");
    let question =
        Question { plan: &plan, required: &[], assumed: &[], free: None, fault: None, max_states: 3 };
    assert_eq!(explore(&question, &mut |_| true).answer, Answer::Undecided);
    assert_eq!(explore(&question, &mut |_| false).answer, Answer::NotComputed);
}

/// By hand. With 13-14 welded the coil attracts as soon as there is power, though nobody has pressed anything; the main poles are
/// seen in at tick 12 at the earliest, in the second quantum. Without the fault nothing happens at all.
#[test]
fn a_holding_contact_that_stays_closed_starts_by_itself() {
    let plan = seal_in(ArmatureDelays::default());
    let fault = Fault::parse("QA1 13-14 stuck closed").unwrap();
    let (report, played) = asked_with(&plan, Some(&fault), &["SF1"], &["never QA1.closed"]);
    let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
    let acts: Vec<String> = path.acts.iter().map(|(_, act)| act.to_string()).collect();
    assert_eq!(acts, ["power on", "inject QA1 13-14 stuck closed"]);
    assert_eq!(path.tick() / PERIOD, 1, "{path}");
    assert_eq!(played, Some(Replay::Reproduced));
    let unknown = Fault::parse("QA9 13-14 stuck closed").unwrap();
    let (report, _) = asked_with(&plan, Some(&unknown), &["SF1"], &["never QA1.closed"]);
    assert!(matches!(&report.answer, Answer::NotProvable(why) if why.contains("QA9")), "{report:?}");
}

/// A control of the naive explorer: what lets it go, what works it, and the signal that tells which is next.
type Hand<'a> = (BenchAct, BenchAct, &'a str);

/// A state of the naive explorer at a grid instant: the discrete half, what the monitors remember, and whether the fault is there.
type Boundary = (sealin_core::discrete::Packed, Vec<Memory>, bool);

fn boundary(bench: &Bench, memories: &[Memory]) -> Boundary {
    let struck = !bench.plan().faults.is_empty();
    (bench.design.pack(&mut bench.state.clone()), memories.to_vec(), struck)
}

/// Explores with nothing but the bench itself: clones of it, every act, every delay in its range and every bounce, tick by tick.
/// Returns how many different states there are at grid instants, or the first quantum in which a formula breaks.
fn naively(plan: &Plan, fault: Option<&Fault>, free: &[Hand], required: &[Verdict]) -> Result<usize, u64> {
    let mut first = Bench::new(plan.clone()).unwrap();
    first.act(BenchAct::Power(true)).unwrap();
    let formulas: Vec<Formula> =
        required.iter().map(|v| Formula::new(&v.of, &first.design).unwrap()).collect();
    let memories: Vec<Memory> = formulas.iter().map(Formula::memory).collect();
    let mut reached: BTreeMap<String, ()> = BTreeMap::new();
    let mut on = first.state.clone();
    on.supplies.fill(true);
    let start: Boundary = (first.design.pack(&mut on), memories.clone(), false);
    reached.insert(format!("{start:?}"), ());
    let mut layer = vec![(first, memories)];
    let mut quantum = 0;
    while !layer.is_empty() {
        // Within a quantum: a bench, what its monitors remember, and which controls have changed.
        let mut ticks: Vec<(Bench, Vec<Memory>, u32)> = Vec::new();
        for (bench, memories) in layer.drain(..) {
            if let Some(fault) = fault.filter(|_| bench.plan().faults.is_empty()) {
                let mut struck = bench.clone();
                struck.act(BenchAct::Inject(fault.clone())).unwrap();
                ticks.push((struck, memories.clone(), 0));
            }
            ticks.push((bench, memories, 0));
        }
        for _ in 0..PERIOD {
            let mut next: Vec<(Bench, Vec<Memory>, u32)> = Vec::new();
            let mut seen: BTreeMap<String, ()> = BTreeMap::new();
            for (bench, memories, changed) in &ticks {
                for (mut after, changed) in everything(bench, free, *changed) {
                    let tick = after.tick();
                    after.step();
                    let mut memories = memories.clone();
                    for ((formula, memory), verdict) in formulas.iter().zip(&mut memories).zip(required) {
                        if formula.step(memory, tick, &|n| after.state.signal(n)) != verdict.always {
                            return Err(quantum);
                        }
                    }
                    let state = boundary(&after, &memories);
                    if seen.insert(format!("{state:?} {changed}"), ()).is_none() {
                        next.push((after, memories, changed));
                    }
                }
            }
            ticks = next;
        }
        for (bench, memories, _) in ticks {
            let state = boundary(&bench, &memories);
            if reached.insert(format!("{state:?}"), ()).is_none() {
                layer.push((bench, memories));
            }
        }
        quantum += 1;
    }
    Ok(reached.len())
}

/// Every bench that the next tick may begin with.
fn everything(bench: &Bench, free: &[Hand], changed: u32) -> Vec<(Bench, u32)> {
    let mut acted = vec![(bench.clone(), changed)];
    for (k, (off, on, level)) in free.iter().enumerate() {
        if changed >> k & 1 != 0 {
            continue;
        }
        let act = if bench.signal(level).unwrap() { off } else { on };
        for i in 0..acted.len() {
            let (mut other, changed) = acted[i].clone();
            other.act(act.clone()).unwrap();
            acted.push((other, changed | 1 << k));
        }
    }
    let mut all = Vec::new();
    for (bench, changed) in acted {
        for delays in every_delay(&bench) {
            // An act of this tick begins a bounce; what is left of one goes on.
            let may = |i: usize| bench.state.controls[i].bounce > 0 || changed != 0;
            let bouncing =
                (0..bench.state.controls.len()).filter(|&i| may(i)).fold(0u32, |mask, i| mask | 1 << i);
            for bounces in (0..=bouncing).filter(|bounces| bounces & !bouncing == 0) {
                let mut one = bench.clone();
                one.state.contactors[0].delays = Some(delays);
                for (i, control) in one.state.controls.iter_mut().enumerate() {
                    control.back = Some(bounces >> i & 1 != 0);
                }
                one.state.awake = sealin_core::state::Awake::ALL;
                all.push((one, changed));
            }
        }
    }
    all
}

/// Every choice, in their ranges, of the delays that matter where the armature is, so that the order of the contacts is kept.
fn every_delay(bench: &Bench) -> Vec<ArmatureDelays> {
    let (least, most) = (QUICK.range().least, QUICK.range().most);
    let armature = bench.state.contactors[0].armature;
    let mut all = Vec::new();
    if matches!(armature.place, Place::In | Place::ReleasingMainShut | Place::ReleasedAllOpen) {
        for main_open_ms in least.main_open_ms..=most.main_open_ms {
            for break_close_ms in least.break_close_ms..=most.break_close_ms {
                // Drawn in again on its way out, it goes on from the earliest opening of the break contacts.
                let break_open_ms = least.break_open_ms;
                all.push(ArmatureDelays { break_open_ms, main_open_ms, break_close_ms, ..most });
            }
        }
        return all;
    }
    for break_open_ms in least.break_open_ms..=most.break_open_ms {
        for main_close_ms in least.main_close_ms..=most.main_close_ms {
            let skips = armature.place != Place::ClosingAllOpen && main_close_ms <= armature.elapsed + 1;
            if !skips {
                all.push(ArmatureDelays { break_open_ms, main_close_ms, ..most });
            }
        }
    }
    all
}

/// The same states and the same verdicts, and a break in the same quantum.
#[test]
fn a_naive_explorer_finds_the_same() {
    let plan = seal_in(QUICK);
    let button = |tag: &str| (BenchAct::Release(tag.to_string()), BenchAct::Press(tag.to_string()));
    let (stop, start) = (button("SF1"), button("SF2"));
    let latch = (BenchAct::Reset("FC1".to_string()), BenchAct::Trip("FC1".to_string()));
    type Case<'a> = (&'a [&'a str], Vec<Hand<'a>>, &'a [&'a str], Option<&'a str>);
    let hold = (start.0.clone(), start.1.clone(), "SF2.pressed");
    let cases: [Case; 6] = [
        (
            &["SF2"],
            vec![(start.0.clone(), start.1.clone(), "SF2.pressed")],
            &["never (QA1.coil and held(FC1.tripped, 10ms))"],
            None,
        ),
        (
            &["FC1", "SF2"],
            vec![
                (latch.0.clone(), latch.1.clone(), "FC1.tripped"),
                (start.0.clone(), start.1.clone(), "SF2.pressed"),
            ],
            &["never (QA1.closed and held(FC1.tripped, 20ms))"],
            None,
        ),
        (
            &["SF1", "SF2"],
            vec![(stop.0, stop.1, "SF1.pressed"), (start.0.clone(), start.1.clone(), "SF2.pressed")],
            &["never (QA1.closed and held(SF1.pressed, 10ms))"],
            None,
        ),
        (
            &["FC1", "SF2"],
            vec![(latch.0, latch.1, "FC1.tripped"), (start.0, start.1, "SF2.pressed")],
            &["never (fell(FC1.tripped) and QA1.closed and not SF2.pressed)"],
            None,
        ),
        (
            &["SF2"],
            vec![hold.clone()],
            &["never (QA1.closed and held(not SF2.pressed, 20ms))"],
            Some("conductor QA1:13 open"),
        ),
        (
            &["SF2"],
            vec![hold],
            &["never (rose(QA1.coil) and not once(SF2.pressed, 20ms))"],
            Some("QA1 13-14 stuck closed"),
        ),
    ];
    for (free, moves, required, fault) in cases {
        let fault = fault.map(|line| Fault::parse(line).unwrap());
        let (report, played) = asked_with(&plan, fault.as_ref(), free, required);
        match naively(&plan, fault.as_ref(), &moves, &verdicts(required)) {
            Ok(states) => {
                assert_eq!(report.answer, Answer::Proven, "{required:?} {played:?}");
                assert_eq!(report.states, states as u64, "{required:?}");
            }
            Err(quantum) => {
                let Answer::Broken(path) = &report.answer else { panic!("{required:?}: {report:?}") };
                assert_eq!(path.tick() / PERIOD, quantum, "{required:?}");
                assert_eq!(played, Some(Replay::Reproduced));
            }
        }
    }
}
