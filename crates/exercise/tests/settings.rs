//! Settings that a scenario leaves to the learner besides dials: what may be set, what it does, and how it stands in log and files.

use sealin_core::BenchAct;
use sealin_core::part::{Kind, Reset};
use sealin_exercise::attempt::{Act, Attempt, Change};
use sealin_exercise::fold::UnsafeAct;
use sealin_exercise::scenario::{Scenario, parse_wiring};
use sealin_exercise::session::Session;
use sealin_exercise::setting::{Adjustment, Setting};
use sealin_exercise::shipped;
use std::rc::Rc;

const FITTED: Setting = Setting::Interlock(true);
const OFF: Setting = Setting::Interlock(false);
const MANUAL: Setting = Setting::Reset(Reset::Manual);
const AUTOMATIC: Setting = Setting::Reset(Reset::Automatic);

fn session(id: &str) -> Session {
    Session::new(Rc::new(Scenario::parse(shipped::get(id).unwrap()).unwrap()), 0).unwrap()
}

fn set(part: &str, before: Setting, after: Setting) -> Change {
    Change::Set { part: part.to_string(), before, after }
}

fn act(s: &mut Session, line: &str) {
    s.bench_act(BenchAct::parse(line).unwrap()).unwrap();
    s.advance(200);
}

/// The tag of what each contactor is interlocked with, on the bench.
fn partners(s: &Session) -> Vec<Option<String>> {
    let parts = &s.bench().plan().parts;
    let partner = |kind: &Kind| match kind {
        Kind::Contactor(c) => Some(c.interlocked_with.clone()),
        _ => None,
    };
    parts.iter().filter_map(|part| partner(&part.kind)).collect()
}

/// An interlock is one piece between two contactors: both have it, or none. Undone, the work is the one that it was.
#[test]
fn an_interlock_is_fitted_between_two() {
    let mut s = session("condemned-panel");
    let hash = |s: &Session| s.project().design_hash(s.scenario());
    let before = hash(&s);
    assert_eq!(partners(&s), [None, None]);
    s.change(set("QA1", OFF, FITTED)).unwrap();
    assert_eq!(partners(&s), [Some("QA2".to_string()), Some("QA1".to_string())]);
    assert_ne!(hash(&s), before);
    let fitted = s.project().clone();
    s.undo().unwrap();
    assert_eq!((partners(&s), hash(&s)), (vec![None, None], before));
    assert!(s.project().settings.is_empty() && !s.project().same_work(&fitted));
    s.redo().unwrap();
    assert!(s.project().same_work(&fitted));
}

/// By hand: without the interlock both armatures go in; with it the second stays out (requirement R6 of that job).
#[test]
fn it_holds_the_second_armature_back() {
    for (fitted, second_in) in [(false, true), (true, false)] {
        let mut s = session("condemned-panel");
        if fitted {
            s.change(set("QA1", OFF, FITTED)).unwrap();
        }
        act(&mut s, "push QA1");
        act(&mut s, "push QA2");
        let closed = |tag: &str| s.bench().signal(&format!("{tag}.closed"));
        assert_eq!((closed("QA1"), closed("QA2")), (Some(true), Some(second_in)));
    }
}

/// Only what the scenario says, only of the device's own kind, and only from what it is.
#[test]
fn what_is_not_the_learners_is_refused_and_not_written() {
    let mut s = session("condemned-panel");
    for (change, says) in [
        (set("FC1", MANUAL, AUTOMATIC), "`FC1`: \"automatic reset\" is not for the learner"),
        (set("QA2", OFF, FITTED), "`QA2`: \"interlock fitted\" is not for the learner"),
        (set("QA1", OFF, MANUAL), "`QA1`: \"manual reset\" is not for the learner"),
        (set("QA1", FITTED, OFF), "`QA1` is not set to \"interlock fitted\""),
        (set("QA9", OFF, FITTED), "`QA9`"),
    ] {
        let told = s.change(change).unwrap_err();
        assert!(told.contains(says), "{told}");
    }
    let mut paddle = session("paddle-closed-loop");
    assert!(paddle.change(set("FC1", MANUAL, AUTOMATIC)).unwrap_err().contains("not for the learner"));
    assert_eq!((s.acts(), paddle.acts()), (0, 0));
}

/// With the supply on 400 V stand at the contactors, and a hand goes in between them. The reset is chosen from the front.
#[test]
fn fitting_an_interlock_to_live_contactors_is_unsafe() {
    let mut s = session("condemned-panel");
    s.change(set("QA1", OFF, FITTED)).unwrap();
    assert!(s.unsafe_acts().is_empty());
    act(&mut s, "power on");
    s.undo().unwrap();
    let [recorded] = s.unsafe_acts() else { panic!("{:?}", s.unsafe_acts()) };
    let UnsafeAct::LiveFit { part, live } = &recorded.act else { panic!("{:?}", recorded.act) };
    assert!(part == "QA1" && (395_000..=405_000).contains(&live.millivolts), "{live}");
    assert!(recorded.act.to_string().contains("prove dead before a hand goes in"));
    let mut sluice = session("sluice-overload");
    act(&mut sluice, "power on");
    sluice.change(set("FC1", AUTOMATIC, MANUAL)).unwrap();
    assert!(sluice.unsafe_acts().is_empty());
}

/// The test slide of a cold relay: on automatic reset it is back within 0.1 s (a step of heat), on manual it waits for a push.
#[test]
fn a_relay_on_manual_reset_waits_for_a_person() {
    for (after, tripped) in [(AUTOMATIC, false), (MANUAL, true)] {
        let mut s = session("sluice-overload");
        if after != AUTOMATIC {
            s.change(set("FC1", AUTOMATIC, after)).unwrap();
        }
        act(&mut s, "trip FC1");
        assert_eq!(s.bench().signal("FC1.tripped"), Some(tripped), "{}", after.word());
    }
}

/// What was set is in the file and its chain, and there again when it is opened; a file of version 4 has no such change.
#[test]
fn settings_are_in_the_file() {
    let mut s = session("sluice-overload");
    s.change(set("FC1", AUTOMATIC, MANUAL)).unwrap();
    let json = s.export().unwrap().to_json();
    let attempt = Attempt::parse(&json).unwrap();
    assert_eq!(attempt.chain_holds(), Some(true));
    assert!(
        matches!(&attempt.entries[0].act, Act::Design(change) if *change == set("FC1", AUTOMATIC, MANUAL))
    );
    let opened = Session::open(Rc::clone(s.scenario()), attempt).unwrap();
    assert_eq!(opened.project(), s.project());
    let other = json.replacen("\"before\": \"automatic reset\"", "\"before\": \"manual reset\"", 1);
    assert_eq!(Attempt::parse(&other).unwrap().chain_holds(), Some(false));
    let unknown = json.replacen("\"after\": \"manual reset\"", "\"after\": \"remote reset\"", 1);
    assert!(Attempt::parse(&unknown).unwrap_err().message.contains("`remote reset`: one of manual reset"));
    let older = json.replacen("\"version\": 6", "\"version\": 4", 1);
    assert!(Attempt::parse(&older).unwrap_err().message.contains("version 5"));
}

/// The row counts in the content hash; what cannot be set, and what stands there twice, is told.
#[test]
fn the_scenario_says_what_may_be_set() {
    let of = |id: &str, row: &str, rows: &str| {
        let text = shipped::get(id).unwrap();
        assert_eq!(text.matches(row).count(), 1);
        Scenario::parse(&text.replacen(row, rows, 1))
    };
    let reset = "settings = [[\"FC1\", \"reset\"]]";
    let sluice = |rows: &str| of("sluice-overload", reset, rows).unwrap();
    let both = sluice("settings = [[\"FC1\", \"reset\"], [\"QA1\", \"interlock\", \"QA2\"]]");
    assert_eq!(both.adjustments["QA1"], Adjustment::Interlock("QA2".to_string()));
    let hashes = [sluice(""), sluice(reset), both].map(|s| s.content_hash());
    assert!(hashes[0] != hashes[1] && hashes[1] != hashes[2] && hashes[0] != hashes[2]);
    let row = "settings = [[\"QA1\", \"interlock\", \"QA2\"]]";
    let with = |rows: &str| of("condemned-panel", row, rows);
    for (rows, says) in [
        ("settings = [[\"QA1\", \"reset\"]]", "an overload of the devices above"),
        ("settings = [[\"QA1\", \"interlock\", \"FC1\"]]", "two contactors of the devices above"),
        ("settings = [[\"QA1\", \"interlock\", \"QA1\"]]", "two contactors of the devices above"),
        ("settings = [[\"QA1\", \"interlock\"]]", "a row such as"),
        ("settings = [[\"FC1\", \"dial\"]]", "a row such as"),
        ("settings = [[\"FC1\", \"reset\"], [\"FC1\", \"reset\"]]", "`FC1` stands in two rows"),
        (
            "settings = [[\"QA1\", \"interlock\", \"QA2\"], [\"QA2\", \"interlock\", \"QA1\"]]",
            "`QA2` stands in two rows",
        ),
    ] {
        let problems = with(rows).unwrap_err();
        assert!(problems[0].message.contains(says), "{rows}: {problems:#?}");
    }
}

/// A file of wires names the device and the word; what the scenario does not leave to the learner does not fit.
#[test]
fn a_file_of_wires_sets_devices() {
    let file = |part: &str, to: &str| {
        format!("format = \"sealin wires\"\nversion = 1\n[[setting]]\npart = \"{part}\"\nto = \"{to}\"\n")
    };
    let s = session("condemned-panel");
    let changes = |text: &str| parse_wiring(text).unwrap().changes(s.scenario(), s.project());
    assert_eq!(changes(&file("QA1", "interlock fitted")), Ok(vec![set("QA1", OFF, FITTED)]));
    assert_eq!(changes(&file("QA1", "no interlock")), Ok(vec![]), "it is so already");
    assert!(changes(&file("FC1", "manual reset")).unwrap_err().contains("`FC1` has nothing"));
    let problems = parse_wiring(&file("QA1", "fitted")).unwrap_err();
    assert!(problems[0].message.contains("one of manual reset"), "{problems:#?}");
}
