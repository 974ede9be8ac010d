//! Exhaustive exploration on small rigs, against what was worked out by hand. A naive explorer that only calls the bench finds the
//! same: `tests/tests/naive.rs`.

#[path = "support/seal_in.rs"]
mod seal_in;
mod support;

use seal_in::{QUICK, seal_in};
use sealin_core::part::{ArmatureDelays, Kind, Reset};
use sealin_core::step::Band;
use sealin_core::{Fault, Plan};
use sealin_proof::explore::{Answer, Question, Record, Replay, Report, ask, explore};
use sealin_proof::expr::{Verdict, parse_requirement};

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
    let plan = seal_in(QUICK);
    let (report, _) = asked(&plan, &["SF2"], &["never QA1.hums"]);
    assert!(matches!(&report.answer, Answer::NotProvable(why) if why.starts_with("QA1.hums")), "{report:?}");
    let (report, _) = asked(&plan, &["XD9"], &["never QA1.closed"]);
    assert!(matches!(&report.answer, Answer::NotProvable(why) if why.contains("SF1, SF2")), "{report:?}");
    let question =
        Question { plan: &plan, required: &[], assumed: &[], free: None, fault: None, max_states: 3 };
    assert_eq!(explore(&question, &mut |_| true).answer, Answer::Undecided);
    assert_eq!(explore(&question, &mut |_| false).answer, Answer::NotComputed);
}

/// By hand: a relay on automatic reset that was tripped cold goes back at the next step of heat, 100 ms at most after it; tripped by its
/// current it stays out for some two minutes. A path may not say which; played again it stays out as long as the path says, and goes in
/// where the path resets it.
#[test]
fn a_relay_on_automatic_reset_stays_tripped_as_long_as_the_path_says() {
    let mut plan = seal_in(QUICK);
    for part in &mut plan.parts {
        if let Kind::Overload(overload) = &mut part.kind {
            overload.reset = Reset::Automatic;
        }
    }
    for formula in
        ["never held(FC1.tripped, 300ms)", "never (once(FC1.tripped, 100ms) and held(not FC1.tripped, 50ms))"]
    {
        let (report, played) = asked(&plan, &["FC1"], &[formula]);
        let Answer::Broken(path) = &report.answer else { panic!("{formula}: {report:?}") };
        let hot = |record: &Record| if let Record::Heat { hot, .. } = record { Some(*hot) } else { None };
        let heat: Vec<bool> = path.records.iter().filter_map(hot).collect();
        let acts: Vec<String> = path.acts.iter().map(|(_, act)| act.to_string()).collect();
        assert_eq!(acts[..2], ["power on", "trip FC1"], "{formula}");
        assert_eq!(heat, [true, false][..acts.len() - 1], "{formula}: {acts:?}");
        assert_eq!(played, Some(Replay::Reproduced), "{formula}: {path}");
    }
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

/// What has held itself and lost its hold does not hold itself again: by hand, 13-14 that is open for good lets it go for good, but one
/// that opens now and then lets it hold again. With usual delays it may be open for a quantum of 10 ms and the armature, which takes up
/// to 15 ms to let go, has not moved when it is closed again: nothing is pressed. A quick armature is out by then, after 3 ms at most, and
/// is pressed in once more. Power on and the strike are acts too.
#[test]
fn a_holding_contact_that_opens_now_and_then() {
    const AGAIN: &str = "never (held(QA1.coil and not SF2.pressed, 20ms) and once(fell(QA1.coil) and \
                         prev(held(QA1.coil and not SF2.pressed, 20ms))))";
    let [constant, intermittent] =
        ["QA1 13-14 stuck open", "QA1 13-14 stuck open intermittent"].map(|line| Fault::parse(line).unwrap());
    let strike = "inject QA1 13-14 stuck open intermittent";
    let once = vec!["power on", "press SF2", "release SF2", strike];
    let twice = [once.clone(), vec!["press SF2", "release SF2"]].concat();
    for (delays, expected) in [(ArmatureDelays::default(), once), (QUICK, twice)] {
        let plan = seal_in(delays);
        let (report, _) = asked_with(&plan, Some(&constant), &["SF2"], &[AGAIN]);
        assert_eq!(report.answer, Answer::Proven);
        let (report, played) = asked_with(&plan, Some(&intermittent), &["SF2"], &[AGAIN]);
        let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
        let acts: Vec<String> = path.acts.iter().map(|(_, act)| act.to_string()).collect();
        assert_eq!(acts, expected, "{path}");
        let records: Vec<String> = path.records.iter().map(ToString::to_string).collect();
        let faults = records.iter().filter(|record| record.contains("the fault"));
        let faults: Vec<&str> = faults.map(|record| record.rsplit_once(' ').unwrap().1).collect();
        assert_eq!(faults[..2], ["there", "away"], "{records:?}");
        assert_eq!(played, Some(Replay::Reproduced));
    }
}

/// By hand, behind the transformer of 529 ohm at 6 % (32 ohm): held in, the coil has 230² / 8 = 6612 ohm at 0.3, that is 1984 + 6308j;
/// 8250 ohm in 13-14 leave it 6612 / |1984 + 8250 + (6308 + 32)j| = 0.55 of its voltage, between drop-out at 0.5 and pick-up. Out, it
/// has 230² / 70 = 756 ohm at 0.75, that is 567 + 500j; 308 ohm in 13-14 of the button leave it 756 / |567 + 308 + (500 + 32)j| = 0.74.
/// The resistance of the windings is left out. A sound starter has its coil at full voltage or none.
#[test]
fn voltages_inside_a_tolerance_band_are_told() {
    let plan = seal_in(ArmatureDelays::default());
    let met = |fault: Option<&str>| {
        let fault = fault.map(|line| Fault::parse(line).unwrap());
        let required = ["never (QA1.closed and not SF2.pressed and QA1.21-22)"];
        let (report, _) = asked_with(&plan, fault.as_ref(), &["SF2"], &required);
        report.marginal.into_iter().map(|one| (one.part, one.band, one.least, one.most)).collect::<Vec<_>>()
    };
    assert_eq!(met(None), []);
    for (fault, band, by_hand) in
        [("QA1 13-14 dirty 8250", Band::DropOut, 550), ("SF2 13-14 dirty 308", Band::PickUp, 740)]
    {
        let met = met(Some(fault));
        let [(part, in_band, least, most)] = met.as_slice() else { panic!("{fault}: {met:?}") };
        assert_eq!((part.as_str(), *in_band), ("QA1", band));
        assert!(by_hand - 10 <= *least && *most <= by_hand + 10, "{fault}: {least} to {most}");
    }
}
