//! Unsafe acts: what counts as one, and that going back erases none. Each expectation is reasoned beside its test.

use sealin_core::{BenchAct, Conductor, Insulation, Terminal};
use sealin_exercise::attempt::{Act, Change};
use sealin_exercise::fold::{UnsafeAct, fold};
use sealin_exercise::grade::grade;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use sealin_exercise::unsafe_acts::of_all_lines;
use std::rc::Rc;

fn session() -> Session {
    let text = shipped::get("paddle-closed-loop").unwrap();
    Session::new(Rc::new(Scenario::parse(text).unwrap()), 0).unwrap()
}

fn act(s: &mut Session, line: &str) {
    s.bench_act(BenchAct::parse(line).unwrap()).unwrap();
    s.advance(100);
}

fn add(s: &mut Session, from: &str, to: &str) {
    let conductor = Conductor {
        id: s.next_conductor_id(),
        from: Terminal::parse(from).unwrap(),
        to: Terminal::parse(to).unwrap(),
        section_mm2_x100: 75,
        colour: Insulation::DarkBlue,
        number: String::new(),
    };
    s.change(Change::Add(conductor)).unwrap();
    s.advance(100);
}

fn entries(s: &Session) -> Vec<u32> {
    s.unsafe_acts().iter().map(|r| r.entry).collect()
}

/// QA1 with the supply on: its line side is live, 400 V between two poles, above 231 V to earth. Behind the open main
/// switch nothing of it is: TA1 is dead, and 24 V are no danger. The main switch's own line side stays live, so a fuse
/// disconnector before which nothing is open counts as well.
#[test]
fn replacing_a_live_part_is_unsafe_and_says_why() {
    let mut s = session();
    act(&mut s, "replace QA1");
    assert_eq!(entries(&s), [] as [u32; 0], "the supply is off");
    act(&mut s, "power on");
    act(&mut s, "replace QA1");
    assert_eq!(entries(&s), [2]);
    let said = s.unsafe_acts()[0].act.to_string();
    assert!(said.starts_with("QA1 replaced while live: 400 V stand between QA1:"), "{said}");
    assert!(said.contains("Isolate, lock off and prove dead"), "{said}");
    act(&mut s, "open QB1");
    act(&mut s, "lock QB1");
    act(&mut s, "replace QA1");
    act(&mut s, "replace KF1");
    assert_eq!(entries(&s), [2]);
}

/// 24 V at the controller are no danger, 230 V at the common of its relay outputs are.
#[test]
fn extra_low_voltage_is_no_danger() {
    let mut s = session();
    act(&mut s, "power on");
    act(&mut s, "open FC4");
    act(&mut s, "replace KF1");
    assert_eq!(entries(&s), [] as [u32; 0], "{:?}", s.unsafe_acts());
    act(&mut s, "close FC4");
    act(&mut s, "replace KF1");
    let UnsafeAct::LiveReplace { part, live } = &s.unsafe_acts()[0].act else { panic!() };
    assert!(part == "KF1" && (225_000..=235_000).contains(&live.millivolts), "{live}");
}

/// Two lines with an unsafe act each, and one on the trunk before they part: three in all, each once, though the last line
/// has only two. Marking says so, and a session that is opened again knows.
#[test]
fn going_back_erases_none_and_counts_none_twice() {
    let mut s = session();
    act(&mut s, "power on");
    act(&mut s, "replace QA1");
    let trunk = s.acts() as u32 - 1;
    act(&mut s, "replace QA2");
    let first = s.acts() as u32 - 1;
    s.seek(trunk, s.tick_after(trunk)).unwrap();
    s.advance(100);
    add(&mut s, "KF1:I4", "XD4:1");
    let last = s.acts() as u32 - 1;
    assert_eq!(entries(&s), [trunk, first, last]);
    let attempt = s.export().unwrap();
    assert_eq!(fold(s.scenario(), &attempt).unwrap().unsafe_acts.len(), 2, "the last line alone");
    assert_eq!(of_all_lines(s.scenario(), &attempt).unwrap(), s.unsafe_acts());
    let report = grade(s.scenario(), &attempt).unwrap();
    assert_eq!(report.unsafe_acts, s.unsafe_acts());
    assert!(
        report.remarks().iter().any(|r| r.contains("replaced while live") && r.ends_with(", and 2 more"))
    );
    let opened = Session::open(Rc::clone(s.scenario()), attempt).unwrap();
    assert_eq!(opened.unsafe_acts(), s.unsafe_acts());
}

/// A seek forwards is refused on whatever line it stands.
#[test]
fn a_line_that_cannot_be_followed_is_told() {
    let mut s = session();
    act(&mut s, "power on");
    act(&mut s, "open QB1");
    s.seek(0, s.tick_after(0)).unwrap();
    act(&mut s, "open FC2");
    let mut attempt = s.export().unwrap();
    let seek = attempt.entries.iter().position(|e| matches!(e.act, Act::Seek { .. })).unwrap();
    // The entry before the seek, on the line that was left, lies before its own predecessor.
    attempt.entries[seek - 1].at = 0;
    let error = of_all_lines(s.scenario(), &attempt).unwrap_err();
    assert_eq!(error.entry, seek - 1, "{error}");
}
