//! The sequence of the first steps on the shipped job, without a browser.

use super::*;
use crate::store::fixture::{act, workshop};
use crate::store::model::{Change, Conductor};
use crate::store::{Command, ScreenAct, Sheet, Workshop};

fn shown(w: &Workshop) -> Option<&'static str> {
    w.hints().shown(&w.scenario().id).map(|shown| shown.step.key)
}

fn hint(w: &mut Workshop, act: HintAct) {
    w.carry_out(Command::Hints(act)).unwrap();
}

fn turn(w: &mut Workshop, sheet: Sheet) {
    w.carry_out(Command::Screen(ScreenAct::GoTo(sheet))).unwrap();
}

fn wire(w: &mut Workshop) {
    let terminal = |text: &str| Terminal::parse(text).unwrap();
    let reel = w.scenario().new_conductor;
    let conductor = Conductor {
        id: w.session().next_conductor_id(),
        from: terminal("QA1:14"),
        to: terminal("KF1:I4"),
        section_mm2_x100: reel.section_mm2_x100,
        colour: reel.colour,
        number: "213".into(),
    };
    w.carry_out(Command::Change(Change::Add(conductor))).unwrap();
}

fn write(w: &mut Workshop) {
    let text = w.source().replace("END_PROGRAM", "QA2_out := SF3_in;\nEND_PROGRAM");
    w.carry_out(Command::Draft(text)).unwrap();
    w.carry_out(Command::KeepDraft).unwrap();
}

/// Nothing is shown before it is asked for; then each step goes when its deed is done, and the next one comes.
#[test]
fn from_the_first_wire_to_the_first_press() {
    let mut w = workshop();
    assert_eq!(shown(&w), None);
    hint(&mut w, HintAct::Start);
    assert_eq!(shown(&w), Some("take"));
    turn(&mut w, Sheet::Wiring);
    let chosen = Thing::Terminal(Terminal::new("QA1", "14"));
    w.carry_out(Command::Screen(ScreenAct::Select(Some(chosen)))).unwrap();
    assert_eq!(shown(&w), Some("end"));
    wire(&mut w);
    assert_eq!(shown(&w), Some("rung"));
    write(&mut w);
    assert_eq!(shown(&w), Some("transfer"));
    w.carry_out(Command::Transfer { cold: true }).unwrap();
    assert_eq!(shown(&w), Some("supply"));
    act(&mut w, "power on");
    assert_eq!(shown(&w), Some("press"));
    turn(&mut w, Sheet::Commissioning);
    w.carry_out(Command::Hold("SF2".into())).unwrap();
    assert_eq!(shown(&w), Some("next"));
    assert!(w.hints().on());
    turn(&mut w, Sheet::Brief);
    assert_eq!(shown(&w), None);
    assert!(!w.hints().on(), "with the last step the course is over");
}

/// A conductor that is dragged or typed is taken and ended at once; what is done before its turn is not asked for.
#[test]
fn what_has_been_done_is_not_asked_for() {
    let mut w = workshop();
    wire(&mut w);
    act(&mut w, "power on");
    write(&mut w);
    hint(&mut w, HintAct::Start);
    assert_eq!(shown(&w), Some("transfer"));
    w.carry_out(Command::Transfer { cold: false }).unwrap();
    assert_eq!(shown(&w), Some("press"));
    // Another attempt, in which nothing has been done: from the beginning.
    w.carry_out(Command::StartOver { seed: 2, started: String::new() }).unwrap();
    assert_eq!(shown(&w), Some("take"));
}

#[test]
fn put_away_singly_for_good_and_called_back() {
    let mut w = workshop();
    hint(&mut w, HintAct::Start);
    hint(&mut w, HintAct::PutAway);
    assert_eq!(shown(&w), Some("end"));
    let words = w.hints().words();
    // A later visit.
    let mut w = workshop();
    hint(&mut w, HintAct::Remember(words));
    assert_eq!(shown(&w), Some("end"));
    hint(&mut w, HintAct::Stop);
    assert_eq!(shown(&w), None);
    let words = w.hints().words();
    let mut w = workshop();
    hint(&mut w, HintAct::Remember(words));
    assert_eq!(shown(&w), None);
    hint(&mut w, HintAct::Start);
    assert_eq!(shown(&w), Some("take"));
    // The seventh stands on the commissioning sheet, and is left already.
    for _ in 0..6 {
        assert!(w.hints().on());
        hint(&mut w, HintAct::PutAway);
    }
    assert!(!w.hints().on());
}

/// What a browser may have kept of another edition is no step, and nothing comes of it.
#[test]
fn words_that_are_not_known_are_passed_over() {
    let mut w = workshop();
    hint(&mut w, HintAct::Remember("on  gone take".into()));
    assert_eq!(shown(&w), Some("end"));
    hint(&mut w, HintAct::Remember(String::new()));
    assert_eq!(shown(&w), None);
}
