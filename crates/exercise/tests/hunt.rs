//! A job of fault finding, from the report to the marks: what is hidden acts and is told nowhere, and is gone by the right repair only.

use sealin_core::{BenchAct, Fault, Measurement, Repair};
use sealin_exercise::attempt::{Act, Attempt};
use sealin_exercise::beside::Evidence;
use sealin_exercise::fold::UnsafeAct;
use sealin_exercise::grade::grade;
use sealin_exercise::hunt::{Diagnosis, Heard};
use sealin_exercise::scenario::{Scenario, seal};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use sealin_proof::suspects::{Finding, Suspect, Suspects, Told};
use std::rc::Rc;

const OPEN: &str = r#"
format = "sealin scenario"
version = 1
id = "find-it"
title = "Find it"
site = "Copper Reach lock"
machine = "Paddle gear PG-1"
level = 2
minutes = 45
sheets = ["brief"]
language = "en"
symbols = "IEC 60617"
region = "400 V 50 Hz"
pass_marks = 60
as_built = "paddle-closed-loop"
brief = "Find it."
cautions = []

[fault_finding]
report = "It does not raise."
tools = ["volts", "ohms", "swap", "remake", "terminate"]
how = "HOW"
look_costs = 3

[fault_finding.marks]
part = 20
fault = 20
repaired = 40
shown = 20

[[fault_finding.shown]]
text = "It raises"
when = "QA1.closed and MA1.turning"

[[fault_finding.hidden]]
fault = "conductor C06 open"
difficulty = 1

[[fault_finding.hidden]]
fault = "QA2 coil open"
difficulty = 2
"#;

fn scenario(text: &str) -> Rc<Scenario> {
    Rc::new(Scenario::parse(text).unwrap_or_else(|all| panic!("{all:?}")))
}

fn session(how: &str) -> Session {
    Session::new(scenario(&OPEN.replace("HOW", how)), 0).unwrap()
}

fn act(s: &mut Session, line: &str) {
    s.bench_act(BenchAct::parse(line).unwrap()).unwrap();
}

/// Switched on, and a start button pressed for half a second; whether the contactor is in two seconds later.
fn starts(s: &mut Session, button: &str, contactor: &str) -> bool {
    act(s, "power on");
    s.advance(3_000);
    act(s, &format!("press {button}"));
    s.advance(500);
    act(s, &format!("release {button}"));
    s.advance(2_000);
    let is_in = s.bench().signal(&format!("{contactor}.closed")).unwrap();
    act(s, "press SF1");
    s.advance(500);
    act(s, "release SF1");
    s.advance(500);
    is_in
}

fn repair(s: &mut Session, line: &str) {
    s.repair(Repair::parse(line).unwrap()).unwrap();
}

fn isolated(s: &mut Session, line: &str) {
    act(s, "power off");
    s.advance(2_000);
    repair(s, line);
}

fn diagnose(s: &mut Session, fault: &str) {
    s.diagnose(Diagnosis { fault: Fault::parse(fault).unwrap(), evidence: Vec::new() }).unwrap();
}

fn earned(s: &Session, id: &str) -> i32 {
    let marks = grade(s.scenario(), &s.attempt()).unwrap().marks;
    let line = marks.beside.iter().find(|line| line.id == id);
    line.unwrap_or_else(|| panic!("no line {id}")).earned
}

/// Marks by hand: two faults, one found, put right and shown, the other not: half of each, and the looks cost 3 marks each.
#[test]
fn from_the_report_to_the_marks() {
    let mut s = session("together");
    assert!(s.is_sealed() && s.bench().plan().faults.is_empty());
    assert!(!starts(&mut s, "SF2", "QA1") && !starts(&mut s, "SF3", "QA2"));
    s.look().unwrap();
    // A part that is sound is swapped in vain, and what is broken is put right whatever was said of it.
    isolated(&mut s, "swap QA1");
    assert!(!starts(&mut s, "SF2", "QA1"));
    isolated(&mut s, "remake C06");
    assert!(starts(&mut s, "SF2", "QA1") && !starts(&mut s, "SF3", "QA2"));
    diagnose(&mut s, "QA2 21-22 stuck open");
    diagnose(&mut s, "conductor C06 loose 2");
    for id in ["part", "fault", "repaired", "shown"] {
        assert_eq!(earned(&s, id), 0, "{id} before it is handed in");
    }
    assert_eq!(s.fold().hunt.was_wrong().count(), 0);
    s.hand_in().unwrap();
    let wrong: Vec<(String, bool)> =
        s.fold().hunt.was_wrong().map(|(fault, cured)| (fault.to_string(), cured)).collect();
    assert_eq!(wrong, [("conductor C06 open".to_string(), true), ("QA2 coil open".to_string(), false)]);
    // Both parts were named, neither fault; one is gone; one of one condition was seen.
    let marks: Vec<i32> =
        ["part", "fault", "repaired", "shown", "look"].iter().map(|id| earned(&s, id)).collect();
    assert_eq!(marks, [20, 0, 20, 20, -3]);
    // What is left is a fault like any other now.
    assert_eq!(
        s.bench().plan().faults.iter().map(ToString::to_string).collect::<Vec<_>>(),
        ["QA2 coil open"]
    );
    assert!(!s.is_sealed() && !starts(&mut s, "SF3", "QA2"));
    act(&mut s, "clear all");
    assert!(starts(&mut s, "SF3", "QA2"));
    let attempt = Attempt::parse(&s.export().unwrap().to_json()).unwrap();
    let again = Session::open(s.scenario().clone(), attempt).unwrap();
    assert_eq!(again.fold().hunt, s.fold().hunt);
}

/// What was seen before a repair shows nothing after it.
#[test]
fn shown_counts_from_the_last_repair() {
    let mut s = session("together");
    isolated(&mut s, "remake C06");
    assert!(starts(&mut s, "SF2", "QA1"));
    isolated(&mut s, "terminate QA1:A1");
    s.hand_in().unwrap();
    assert_eq!(earned(&s, "shown"), 0);
}

/// The last diagnoses count, as many as things were wrong.
#[test]
fn guesses_do_not_count() {
    let mut s = session("together");
    for fault in ["QA2 coil open", "conductor C06 open", "SF1 11-12 stuck open", "SF2 13-14 stuck open"] {
        diagnose(&mut s, fault);
    }
    s.hand_in().unwrap();
    assert_eq!((earned(&s, "part"), earned(&s, "fault"), earned(&s, "repaired")), (0, 0, 0));
}

#[test]
fn one_after_the_other() {
    let mut s = session("in turn");
    assert!(!starts(&mut s, "SF2", "QA1") && starts(&mut s, "SF3", "QA2"));
    isolated(&mut s, "terminate KF1:Q0");
    assert!(starts(&mut s, "SF2", "QA1") && !starts(&mut s, "SF3", "QA2"));
    isolated(&mut s, "swap QA2");
    assert!(starts(&mut s, "SF2", "QA1") && starts(&mut s, "SF3", "QA2"));
    diagnose(&mut s, "conductor C06 open");
    diagnose(&mut s, "QA2 coil open");
    s.hand_in().unwrap();
    let marks: Vec<i32> = ["part", "fault", "repaired", "shown"].iter().map(|id| earned(&s, id)).collect();
    assert_eq!(marks, [20, 20, 40, 20]);
}

/// Each seed has one of the two, always the same one, and both are drawn.
#[test]
fn drawn_by_the_seed() {
    let scenario = scenario(&OPEN.replace("HOW", "drawn"));
    let raises = |seed: u64| {
        let mut s = Session::new(scenario.clone(), seed).unwrap();
        let (up, down) = (starts(&mut s, "SF2", "QA1"), starts(&mut s, "SF3", "QA2"));
        assert_ne!(up, down, "{seed}");
        up
    };
    let all: Vec<bool> = (0..8).map(raises).collect();
    assert!(all.contains(&true) && all.contains(&false), "{all:?}");
    assert_eq!(raises(3), all[3]);
    let hard =
        Scenario::parse(&OPEN.replace("HOW", "drawn").replace("look_costs", "difficulty = 2\nlook_costs"));
    let hard = Rc::new(hard.unwrap());
    for seed in 0..4 {
        assert!(!starts(&mut Session::new(hard.clone(), seed).unwrap(), "SF3", "QA2"), "{seed}");
    }
}

#[test]
fn what_is_not_for_such_a_job_is_refused() {
    let mut s = session("together");
    let clamp = Measurement::Clamp { conductor: "C06".to_string() };
    assert!(s.measure(clamp.clone()).unwrap_err().contains("without `clamp`"));
    assert!(s.repair(Repair::parse("adjust FC1").unwrap()).unwrap_err().contains("without `adjust`"));
    assert!(s.repair(Repair::parse("swap QA9").unwrap()).unwrap_err().contains("no part `QA9`"));
    for line in ["inject QA1 coil open", "clear all", "replace QA1"] {
        let refused = s.bench_act(BenchAct::parse(line).unwrap()).unwrap_err();
        assert!(refused.contains("in a job of fault finding"), "{line}: {refused}");
    }
    assert!(s.set_source("").unwrap_err().contains("the drawing stays"));
    assert!(s.transfer(true).unwrap_err()[0].message.contains("loaded as a repair"));
    act(&mut s, "power on");
    assert!(s.seek(0, 0).is_err());
    let wrong = Diagnosis { fault: Fault::parse("QA9 coil open").unwrap(), evidence: Vec::new() };
    assert!(s.diagnose(wrong).unwrap_err().contains("QA9"));
    s.hand_in().unwrap();
    assert!(s.hand_in().unwrap_err().contains("has been handed in"));
    assert!(s.look().unwrap_err().contains("has been handed in"));
    assert!(s.measure(clamp).is_ok(), "afterwards everything may be measured");
    let plain = Scenario::parse(shipped::get("paddle-closed-loop").unwrap()).unwrap();
    let mut other = Session::new(Rc::new(plain), 0).unwrap();
    assert!(other.hand_in().unwrap_err().contains("no job of fault finding"));
}

/// A hand in a part that carries 230 V to earth; from the front, or switched off, nothing of the kind.
#[test]
fn live_repairs_are_unsafe() {
    let mut s = session("together");
    act(&mut s, "power on");
    s.advance(3_000);
    repair(&mut s, "terminate QA1:1");
    let told = |s: &Session| -> Vec<String> {
        s.unsafe_acts()
            .iter()
            .filter(|r| matches!(r.act, UnsafeAct::LiveRepair { .. }))
            .map(|r| r.act.to_string())
            .collect()
    };
    assert_eq!(told(&s).len(), 1);
    assert!(told(&s)[0].starts_with("terminate QA1:1 while live: 400 V"), "{:?}", told(&s));
    isolated(&mut s, "swap QA1");
    assert_eq!(told(&s).len(), 1);
}

/// A sealed file does the same and tells nothing; it belongs to its job.
#[test]
fn sealed() {
    let open = OPEN.replace("HOW", "together");
    let sealed = seal(&open).unwrap();
    for word in ["C06", "coil", "hidden", "difficulty"] {
        assert!(!sealed.contains(word), "{word}");
    }
    let (a, b) = (scenario(&open), scenario(&sealed));
    assert_ne!(a.content_hash(), b.content_hash());
    let run = |scenario: Rc<Scenario>| {
        let mut s = Session::new(scenario, 0).unwrap();
        starts(&mut s, "SF2", "QA1");
        starts(&mut s, "SF3", "QA2");
        s.trace().exact_hash()
    };
    assert_eq!(run(a), run(b));
    assert!(seal(&sealed).unwrap_err().contains("sealed already"));
    let other = sealed.replace("id = \"find-it\"", "id = \"find-that\"");
    let problems = Scenario::parse(&other).unwrap_err();
    assert!(problems[0].message.contains("belongs to another job"), "{problems:?}");
}

/// Everything that is costs its bench time.
#[test]
fn what_is_done_costs_time() {
    let mut s = session("together");
    let at = s.tick();
    repair(&mut s, "swap QA1");
    assert_eq!(s.tick() - at, 600_000);
    diagnose(&mut s, "QA2 coil open");
    assert_eq!(s.tick() - at, 630_000);
    let written: Vec<bool> =
        s.entries_from(0).iter().map(|e| matches!(e.act, Act::Repair(_) | Act::Diagnose(_))).collect();
    assert_eq!(written, [true, true]);
}

/// What is told of an attempt leaves what is wrong among the suspects, and the others that would have shown otherwise are ruled out:
/// with C06 open QA1 does not come in by its button, with the coil of QA2 open it does, and 230 V between KF1:Q0 and QA2:21 are what
/// only a break between them shows, or a screw there that is loose beyond all measure.
#[test]
fn what_is_told_of_an_attempt_keeps_what_is_wrong() {
    let mut s = session("in turn");
    assert!(!starts(&mut s, "SF2", "QA1"));
    act(&mut s, "press SF2");
    s.advance(1_000);
    let across = ["KF1:Q0".to_string(), "QA2:21".to_string()];
    let found = s.measure(Measurement::parse("volts AC", &across).unwrap()).unwrap();
    let mut heard = Heard::new(s.scenario()).unwrap();
    let (plan, all) = heard.suspected();
    assert!(plan.faults.is_empty() && all.contains(&Fault::parse("conductor C06 open").unwrap()));
    let lines = [
        "conductor C06 open",
        "QA2 coil open",
        "QA1 coil open",
        "SF2 13-14 stuck open",
        "conductor C06 loose 20",
    ];
    let faults = lines.map(|line| Fault::parse(line).unwrap());
    let mut suspects = Suspects::new(&plan, &faults).unwrap();
    let mut count = 0;
    for entry in s.entries_from(0) {
        for told in heard.take(entry).unwrap() {
            count += usize::from(matches!(told, Told::Found(Finding::Reading(..))));
            suspects.tell(told).unwrap();
        }
    }
    assert_eq!(count, 1, "{found:?}");
    suspects.catch_up().unwrap();
    let left: Vec<&Suspect> = suspects.left().collect();
    assert_eq!(left, [&Suspect::of(&faults[0]), &Suspect::of(&faults[4])]);
}

/// By hand: with the light of Q0 on there are 230 V across the break, where a sound machine has none; 230 V at the transformer are on
/// both. Where one reading is enough, seven cost nothing; of fourteen there are twice as many as cost nothing, which earns none.
#[test]
fn evidence_is_what_a_sound_machine_does_not_show() {
    let text = OPEN.replace("HOW", "in turn").replace("part = 20", "part = 20\nevidence = 10\nreadings = 7");
    let text = text.replace("look_costs = 3", "look_costs = 3\nneeded_readings = 1");
    let run = |evidence: &dyn Fn(u32) -> Vec<u32>, more: usize| {
        let mut s = Session::new(scenario(&text), 0).unwrap();
        act(&mut s, "power on");
        s.advance(3_000);
        act(&mut s, "press SF2");
        s.advance(1_000);
        let first = s.acts() as u32;
        let mut measure = |at: [&str; 2]| {
            let at = at.map(str::to_string);
            s.measure(Measurement::parse("volts AC", &at).unwrap()).unwrap();
        };
        measure(["KF1:Q0", "QA2:21"]);
        measure(["TA1:2U", "TA1:2V"]);
        (0..more).for_each(|_| measure(["KF1:Q0", "QA2:21"]));
        let fault = Fault::parse("conductor C06 loose 1").unwrap();
        s.diagnose(Diagnosis { fault, evidence: evidence(first) }).unwrap();
        s.hand_in().unwrap();
        (earned(&s, "evidence"), earned(&s, "readings"))
    };
    // Two things were wrong, one of which had not come yet: half.
    assert_eq!(run(&|first| vec![first], 5), (5, 7));
    assert_eq!(run(&|first| vec![first + 1], 12), (0, 0));
    assert_eq!(run(&|_| Vec::new(), 6), (0, 6));
}

/// The one fault of the jobs here, with the worth of readings marked: one suspect is all that a good search would leave.
fn marked_by_worth() -> String {
    let one = OPEN.replace("\n[[fault_finding.hidden]]\nfault = \"QA2 coil open\"\ndifficulty = 2\n", "");
    let text = one.replace("HOW", "drawn").replace("part = 20", "part = 20\nworth = 8");
    text.replace("look_costs = 3", "look_costs = 3\nsuspects_left = 1")
}

/// By hand: across the break stand 230 V, which takes a break between KF1:Q0 and QA2:21: the conductor is broken, or loose beyond all
/// measure, and nothing else is there but its ends, so that four whole suspects are left at most, two doublings of one. A phase that feeds
/// nothing but the motor tells nothing of why QA1 does not come in: what eyes leave is left, far more than sixteen. What is read after a
/// repair came too late.
#[test]
fn readings_are_worth_what_they_rule_out() {
    let text = marked_by_worth();
    let run = |readings: &[[&str; 2]], repaired_first: bool| {
        let mut s = Session::new(scenario(&text), 0).unwrap();
        act(&mut s, "power on");
        s.advance(3_000);
        act(&mut s, "press SF2");
        s.advance(1_000);
        act(&mut s, "release SF2");
        s.advance(1_000);
        if repaired_first {
            repair(&mut s, "swap FC1");
        }
        act(&mut s, "press SF2");
        s.advance(1_000);
        for at in readings {
            s.measure(Measurement::parse("volts AC", &at.map(str::to_string)).unwrap()).unwrap();
        }
        s.hand_in().unwrap();
        let marks = grade(s.scenario(), &s.attempt()).unwrap().marks;
        let line = marks.beside.into_iter().find(|line| line.id == "worth").unwrap();
        (line.earned, line.reasons)
    };
    let (across, elsewhere) = (["KF1:Q0", "QA2:21"], ["XD0:L3", "XD0:PE"]);
    let (earned, reasons) = run(&[across], false);
    assert!((4..=8).contains(&earned), "{reasons:?}");
    assert!(matches!(reasons[1].at, Evidence::Entry { entry: 4, tick: 6_000 }), "{reasons:?}");
    let (earned, reasons) = run(&[elsewhere], false);
    assert!(earned == 0 && reasons[1].text.contains(": ruled out 0,"), "{reasons:?}");
    let (earned, reasons) = run(&[across], true);
    assert!(earned == 0 && reasons.len() == 1, "{reasons:?}");
}
