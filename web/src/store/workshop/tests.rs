//! The workshop on the shipped job, without a browser.

use super::*;
use crate::store::checks::{CheckEvent, Marked, Marks};
use crate::store::fixture::{sealed, workshop};
use crate::store::pace::Speed;
use crate::store::{ScreenAct, Sheet};

fn power_up(workshop: &mut Workshop) {
    workshop.carry_out(Command::Act(BenchAct::Power(true))).unwrap();
    workshop.carry_out(Command::Step(2_000)).unwrap();
}

/// A clock on which every reading takes a tenth of a millisecond.
fn clock() -> impl Fn() -> f64 {
    let now = std::cell::Cell::new(0.0);
    move || {
        now.set(now.get() + 0.1);
        now.get()
    }
}

#[test]
fn a_click_on_a_button_is_long_enough_to_hold_the_contactor() {
    let mut workshop = workshop();
    power_up(&mut workshop);
    workshop.carry_out(Command::Pause(false)).unwrap();
    workshop.carry_out(Command::Hold("SF2".into())).unwrap();
    workshop.carry_out(Command::LetGo("SF2".into())).unwrap();
    for _ in 0..30 {
        workshop.run(16.0, 1_000.0, &clock());
    }
    assert!(!workshop.signal("SF2.pressed"));
    assert!(workshop.signal("QA1.closed"), "raise holds after a press of 120 ms");
    let log: Vec<String> = workshop
        .session()
        .entries_from(0)
        .iter()
        .filter_map(|entry| match &entry.act {
            Act::Bench(act) => Some(act.to_string()),
            _ => None,
        })
        .collect();
    assert_eq!(log, ["power on", "press SF2", "release SF2"]);
}

/// The conveyor is wired by hand: its job opens neither program nor fault finding, nor the fault table that belongs to it.
#[test]
fn a_sheet_that_the_job_does_without_is_not_turned_to() {
    let conveyor = sealin_exercise::shipped::get("conveyor-seal-in").unwrap();
    let session = Session::new(Rc::new(Scenario::parse(conveyor).unwrap()), 1).unwrap();
    let mut workshop = workshop();
    workshop.carry_out(Command::Screen(ScreenAct::GoTo(Sheet::Program))).unwrap();
    workshop.carry_out(Command::Open(Rc::new(session.attempt()))).unwrap();
    assert_eq!(workshop.screen().sheet, Sheet::Brief);
    let open = Sheet::ALL.into_iter().filter(|&sheet| {
        workshop.carry_out(Command::Screen(ScreenAct::GoTo(sheet))).unwrap();
        workshop.screen().sheet == sheet
    });
    let expected = [Sheet::Brief, Sheet::Wiring, Sheet::Circuit, Sheet::Commissioning, Sheet::SignOff];
    assert_eq!(open.collect::<Vec<_>>(), expected);
}

#[test]
fn pressing_twice_is_one_press() {
    let mut workshop = workshop();
    power_up(&mut workshop);
    workshop.carry_out(Command::Hold("SF2".into())).unwrap();
    workshop.carry_out(Command::Hold("SF2".into())).unwrap();
    assert_eq!(workshop.session().acts(), 2);
}

#[test]
fn a_draft_becomes_one_change_after_the_pause_or_before_another_act() {
    let mut workshop = workshop();
    let before = workshop.source().to_string();
    workshop.carry_out(Command::Draft(format!("{before} "))).unwrap();
    workshop.carry_out(Command::Draft(format!("{before}  "))).unwrap();
    assert_eq!(workshop.session().acts(), 0);
    assert!(!workshop.run(700.0, 1.0, &clock()));
    assert!(workshop.run(200.0, 1.0, &clock()), "listeners are told when the draft is taken over");
    assert_eq!(workshop.session().acts(), 1);
    workshop.carry_out(Command::Draft(before.clone())).unwrap();
    workshop.carry_out(Command::Act(BenchAct::Power(true))).unwrap();
    assert_eq!(workshop.session().acts(), 3);
    assert_eq!(workshop.project().source, before);
}

#[test]
fn undo_takes_back_the_draft_that_was_just_typed() {
    let mut workshop = workshop();
    let before = workshop.source().to_string();
    workshop.carry_out(Command::Draft(format!("{before}\n(* note *)"))).unwrap();
    workshop.carry_out(Command::Undo).unwrap();
    assert_eq!(workshop.source(), before);
    assert!(workshop.carry_out(Command::Undo).is_err());
}

#[test]
fn a_file_that_cannot_be_followed_leaves_the_work_untouched() {
    let mut workshop = workshop();
    power_up(&mut workshop);
    let (tick, acts, epoch) = (workshop.session().tick(), workshop.session().acts(), workshop.epoch());
    let mut strange = workshop.session().attempt();
    let act = Act::Bench(BenchAct::Press("SF9".into()));
    strange.entries.push(Entry { at: 2_500, wall_ms: None, act });
    let error = workshop.carry_out(Command::Open(Rc::new(strange))).unwrap_err();
    assert!(error.contains("SF9"), "{error}");
    let mut other = workshop.session().attempt();
    other.head.content_hash = [0; 32];
    assert!(workshop.carry_out(Command::Open(Rc::new(other))).is_err());
    assert_eq!((workshop.session().tick(), workshop.session().acts(), workshop.epoch()), (tick, acts, epoch));
}

#[test]
fn a_file_that_can_be_followed_takes_the_place_of_the_work() {
    let mut workshop = workshop();
    power_up(&mut workshop);
    let saved = Attempt::parse(&workshop.export().unwrap().text).unwrap();
    let hashes = workshop.hashes();
    workshop.carry_out(Command::StartOver { seed: 2, started: String::new() }).unwrap();
    assert_eq!(workshop.session().tick(), 0);
    workshop.carry_out(Command::Open(Rc::new(saved))).unwrap();
    assert_eq!(workshop.hashes(), hashes);
    assert_eq!(workshop.epoch(), 2);
    assert!(!workshop.notice().unwrap().refused);
}

#[test]
fn a_second_tab_only_looks() {
    let mut workshop = workshop();
    workshop.carry_out(Command::Saved(Saved::Elsewhere)).unwrap();
    assert!(workshop.carry_out(Command::Act(BenchAct::Power(true))).is_err());
    assert!(workshop.carry_out(Command::Hold("SF2".into())).is_err());
    assert_eq!(workshop.session().acts(), 0);
}

#[test]
fn marks_are_stale_once_the_work_has_changed() {
    let mut workshop = workshop();
    let marks = Marks {
        lines: Vec::new(),
        earned: 0,
        of: 100,
        beside: Vec::new(),
        passed: false,
        errors: Vec::new(),
    };
    let marked = Rc::new(Marked { marks, project: workshop.project().clone() });
    workshop.carry_out(Command::Checks(CheckEvent::Started)).unwrap();
    let job = workshop.checks().job;
    workshop.carry_out(Command::Checks(CheckEvent::Done { job, marked })).unwrap();
    assert!(!workshop.checks_stale());
    power_up(&mut workshop);
    assert!(!workshop.checks_stale(), "working the machine is no change of the work");
    workshop.carry_out(Command::Draft(format!("{} ", workshop.source()))).unwrap();
    assert!(workshop.checks_stale());
}

#[test]
fn going_back_stands_still_and_leaves_no_hand_on_a_button() {
    let mut workshop = workshop();
    power_up(&mut workshop);
    workshop.carry_out(Command::Hold("SF2".into())).unwrap();
    workshop.carry_out(Command::Step(500)).unwrap();
    workshop.carry_out(Command::LetGo("SF2".into())).unwrap();
    workshop.carry_out(Command::Step(1_000)).unwrap();
    workshop.carry_out(Command::Seek(2_300)).unwrap();
    assert!(workshop.pace().paused);
    assert_eq!(workshop.session().tick(), 2_300);
    assert!(workshop.signal("SF2.pressed"));
    workshop.carry_out(Command::Step(10)).unwrap();
    assert!(!workshop.signal("SF2.pressed"), "nobody holds it on the new line");
    assert!(workshop.carry_out(Command::Seek(9_999)).is_err());
}

#[test]
fn a_slow_machine_runs_slower_and_not_later_and_later() {
    let mut workshop = workshop();
    power_up(&mut workshop);
    workshop.carry_out(Command::Speed(Speed(10_000))).unwrap();
    let before = workshop.session().tick();
    // Half a millisecond is over after a few readings of the clock; 16,000 ticks are due.
    workshop.run(16.0, 0.5, &clock());
    let ran = workshop.session().tick() - before;
    assert!(ran > 0 && ran < 16_000, "{ran}");
    assert_eq!(workshop.checks().running, None);
}

/// What was done is said until the next sheet or the next act; what was refused, until it is put away.
#[test]
fn a_message_goes_when_a_person_goes_on() {
    let say = |refused| Command::Notice(Notice { refused, text: "said".into() });
    for go_on in [Command::Screen(ScreenAct::GoTo(Sheet::Wiring)), Command::Act(BenchAct::Power(true))] {
        let mut workshop = workshop();
        workshop.carry_out(say(false)).unwrap();
        workshop.carry_out(Command::Screen(ScreenAct::Select(None))).unwrap();
        assert!(workshop.notice().is_some(), "choosing is looking");
        workshop.carry_out(go_on.clone()).unwrap();
        assert_eq!(workshop.notice(), None);
        workshop.carry_out(say(true)).unwrap();
        let _ = workshop.carry_out(go_on);
        assert!(workshop.notice().is_some());
    }
}

/// What only an instrument tells is not told, Why? is silent, and a reading is; after the handing in all is open.
#[test]
fn a_sealed_job_shows_what_is_in_sight_only() {
    let mut w = sealed();
    power_up(&mut w);
    w.carry_out(Command::Act(BenchAct::Press("SF2".into()))).unwrap();
    w.carry_out(Command::Step(1_000)).unwrap();
    // The button, the light of its input and that of the output are to be seen, the armature too.
    for (name, seen) in [
        ("SF2.pressed", Some(true)),
        ("KF1.IX0.1", Some(true)),
        ("QA1.closed", Some(false)),
        ("QA1.coil", None),
        ("FC1.95-96", None),
        ("fresh", None),
        ("XD0.on", None),
    ] {
        assert_eq!(w.seen(name), seen, "{name}");
    }
    assert_eq!(w.coil_volts("QA1"), None);
    assert!(w.faults().is_empty());
    w.carry_out(Command::Why(WhyAct::Open)).unwrap();
    assert_eq!(*w.why(), Why::Sealed);
    let what = Measurement::parse("volts AC", &["KF1:Q0".into(), "XD3:2".into()]).unwrap();
    w.carry_out(Command::Measure(what)).unwrap();
    assert_eq!(w.session().fold().readings.len(), 1);
    w.carry_out(Command::HandIn).unwrap();
    assert!(w.seen("QA1.coil").is_some() && w.coil_volts("QA1").is_some());
    assert_eq!(w.faults().iter().map(ToString::to_string).collect::<Vec<_>>(), ["conductor C06 open"]);
    w.carry_out(Command::Why(WhyAct::Open)).unwrap();
    assert_eq!(*w.why(), Why::Open);
}

/// A hand in a live part is told of at once.
#[test]
fn a_live_repair_is_told_at_once() {
    let mut w = sealed();
    power_up(&mut w);
    w.carry_out(Command::Repair(Repair::Remake("C06".into()))).unwrap();
    let notice = w.notice().expect("230 V stand at the coil circuit's terminals");
    assert!(notice.refused && notice.text.contains("while live"), "{}", notice.text);
}
