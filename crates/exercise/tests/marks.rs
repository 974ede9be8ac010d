//! Marks beside the requirements, on a hard-wired contactor that holds itself: tests/hard-wired. All expectations are worked out by
//! hand from its marks: R1 7 (in part, three trials), R2 4 (a must), R3 2 (a bonus); P1 3; wiring 4, time 2 within 10 min, safe work
//! 6; H1 costs 2, H2 costs 30; 16 of 26 for a pass.

use sealin_core::{BenchAct, Conductor, Insulation, Terminal};
use sealin_exercise::attempt::{Act, Attempt, Change, Entry};
use sealin_exercise::beside::{Evidence, Kind, Line};
use sealin_exercise::fold::fold;
use sealin_exercise::grade::grade;
use sealin_exercise::marking::{Marks, mark};
use sealin_exercise::predictions::{kept, right, right_answers};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::rc::Rc;

const SCENARIO: &str = include_str!("hard-wired/scenario.toml");
const WIRES: &str = include_str!("hard-wired/reference.wires.toml");

/// A minute of bench time, ms.
const MINUTE: u64 = 60_000;

fn given() -> Session {
    Session::new(Rc::new(Scenario::parse(SCENARIO).unwrap()), 0).unwrap()
}

/// The reference's wires, each as `change` makes it, or left out.
fn wired_with(change: impl Fn(Conductor) -> Option<Conductor>) -> Session {
    let mut session = given();
    for wire in parse_wires(WIRES).unwrap().into_iter().filter_map(change) {
        session.change(Change::Add(wire)).unwrap();
    }
    session
}

fn wired() -> Session {
    wired_with(Some)
}

fn marks(session: &Session) -> Marks {
    grade(session.scenario(), &session.export().unwrap()).unwrap().marks
}

fn line<'m>(marks: &'m Marks, id: &str) -> &'m Line {
    marks.beside.iter().find(|l| l.id == id).unwrap_or_else(|| panic!("a line {id}"))
}

fn earned(marks: &Marks, ids: &[&str]) -> Vec<i32> {
    ids.iter().map(|id| line(marks, id).earned).collect()
}

const CRAFT: [&str; 3] = ["wiring", "time", "safe work"];

fn switch_on(session: &mut Session) {
    session.bench_act(BenchAct::Power(true)).unwrap();
    session.advance(1000);
}

/// 7 + 4, the bonus of 2 on top, 3 for the prediction, 4 + 2 + 6 for craft: 28 of 26.
#[test]
fn all_that_can_be_earned() {
    let mut session = wired();
    assert_eq!(session.predict("P1", 2), Ok(true));
    switch_on(&mut session);
    let marks = marks(&session);
    assert_eq!((marks.earned, marks.of, marks.passed), (28, 26, true));
    assert_eq!((marks.required_earned(), earned(&marks, &CRAFT)), (11, vec![4, 2, 6]));
    let kinds: Vec<Kind> = marks.beside.iter().map(|l| l.kind).collect();
    let hint = Kind::Hint;
    assert_eq!(
        kinds,
        [Kind::Prediction, Kind::Wiring, Kind::Time, Kind::SafeWork, hint, hint],
        "no line without marks"
    );
    let answered = &line(&marks, "P1").reasons[0];
    assert!(answered.text.contains("It stays out."), "{answered:?}");
    assert_eq!(answered.at, Evidence::Entry { entry: 4, tick: 0 });
    assert!(line(&marks, "wiring").reasons.is_empty() && line(&marks, "H1").reasons.is_empty());
    // Of the design alone the requirements count, the bonus with them.
    let design = mark(session.scenario(), session.project(), &mut |_, _| true);
    assert_eq!((design.earned, design.of, design.beside.len()), (13, 11, 0));
}

/// Nothing is wired: R1 stays out at power-up, a third of 7, rounded down: 2 of the 11. Craft earns at most 2/11 of its marks,
/// rounded down: 0 of 4, 0 of 2, 1 of 6.
#[test]
fn neat_work_on_a_machine_that_does_nothing_is_no_work() {
    let marks = marks(&given());
    assert_eq!((marks.lines[0].earned, marks.required_earned()), (2, 2));
    assert_eq!(earned(&marks, &CRAFT), [0, 0, 1]);
    assert_eq!((marks.earned, marks.passed), (3, false));
    let safe = line(&marks, "safe work");
    assert_eq!(safe.of, 6);
    assert!(
        safe.reasons.iter().any(|r| r.at == Evidence::Marks && r.text.contains("at most 1 of 6")),
        "{safe:?}"
    );
    assert!(line(&marks, "P1").reasons[0].text.contains("not answered"));
}

/// Without the holding contact R1 keeps two of three trials, 4 of 7, and R2 is kept: 8 of 11. Craft: 4·8/11, 2·8/11, 6·8/11. With
/// the prediction that is 18 and a pass, without it 15 and none.
#[test]
fn part_of_a_requirement_and_the_share_of_craft() {
    let mut session = wired_with(|c| (c.id != "L4").then_some(c));
    let without = marks(&session);
    assert_eq!(without.lines.iter().map(|l| l.earned).collect::<Vec<_>>(), [4, 4, 0]);
    assert_eq!(earned(&without, &CRAFT), [2, 1, 4]);
    assert_eq!((without.earned, without.passed), (15, false));
    session.predict("P1", 2).unwrap();
    let with = marks(&session);
    assert_eq!((with.earned, with.passed), (18, true));
}

/// The first answer counts on whatever line it was given, and is the only one that is written.
#[test]
fn one_answer_to_a_prediction() {
    let mut session = wired();
    session.advance(100);
    let before = session.acts() as u32 - 1;
    assert_eq!(session.predict("P1", 1), Ok(true));
    let answered = session.acts() as u32 - 1;
    assert_eq!(session.predict("P1", 2), Ok(false));
    session.seek(before, session.tick_after(before)).unwrap();
    assert_eq!(session.predict("P1", 2), Ok(false), "going back takes no answer away");
    assert_eq!(session.conduct().answer("P1").map(|a| (a.answer, a.entry)), Some((1, answered)));
    let wrong = marks(&session);
    assert_eq!(line(&wrong, "P1").earned, 0);
    let reason = &line(&wrong, "P1").reasons[0];
    assert!(
        reason.text.contains("“It comes in and stays in.”") && reason.text.contains("no way to +24 V"),
        "{reason:?}"
    );
    assert_eq!(reason.at, Evidence::Entry { entry: answered, tick: 100 });
    // In a log of another hand the second one does not count, either.
    let mut attempt = session.export().unwrap();
    let at = attempt.entries.last().unwrap().at;
    attempt.entries.truncate(attempt.entries.len() - 1);
    let again = Act::Predict { prediction: "P1".into(), answer: 2 };
    attempt.entries.push(Entry { at, wall_ms: None, act: again });
    assert_eq!(line(&grade(session.scenario(), &attempt).unwrap().marks, "P1").earned, 0);
}

#[test]
fn what_the_scenario_does_not_have_is_refused_and_not_written() {
    let mut session = given();
    assert!(session.predict("P2", 1).unwrap_err().contains("no prediction `P2`"));
    assert!(session.predict("P1", 3).unwrap_err().contains("answers 1 to 2"));
    assert!(session.predict("P1", 0).unwrap_err().contains("no answer 0"));
    assert!(session.open_hint("H3").unwrap_err().contains("no hint `H3`"));
    assert_eq!(session.acts(), 0);
    // A log that says so cannot be followed.
    for act in [Act::Predict { prediction: "P1".into(), answer: 3 }, Act::Hint { hint: "P1".into() }] {
        let mut attempt = session.attempt();
        attempt.entries.push(Entry { at: 0, wall_ms: None, act });
        assert_eq!(fold(session.scenario(), &attempt).unwrap_err().entry, 0);
    }
}

/// 25 without the prediction; H1 costs 2 once; with H2, which costs 30, nothing is left, and nothing less than nothing.
#[test]
fn hints_cost_and_marks_never_fall_under_none() {
    let mut session = wired();
    assert_eq!(marks(&session).earned, 25);
    assert_eq!(session.open_hint("H1"), Ok(true));
    assert_eq!(session.open_hint("H1"), Ok(false));
    let one = marks(&session);
    assert_eq!((one.earned, line(&one, "H1").earned, line(&one, "H1").of), (23, -2, 0));
    assert_eq!(line(&one, "H1").reasons[0].at, Evidence::Entry { entry: 4, tick: 0 });
    session.open_hint("H2").unwrap();
    let none = marks(&session);
    assert_eq!((none.earned, none.passed), (0, false));
    assert_eq!(none.required_earned(), 11, "what the machine does is not touched");
}

/// A number missing, a colour of another circuit, a cross-section of no circuit here: a mark each, with the conductor. All four
/// conductors wrong in two ways are eight marks, of which four are there.
#[test]
fn wiring_loses_a_mark_for_each_thing() {
    let three = wired_with(|mut c| {
        match c.id.as_str() {
            "L1" => c.section_mm2_x100 = 250,
            "L3" => c.colour = Insulation::Red,
            "L4" => c.number.clear(),
            _ => {}
        }
        Some(c)
    });
    let marks_of = marks(&three);
    let wiring = line(&marks_of, "wiring");
    assert_eq!(wiring.earned, 1, "{wiring:#?}");
    let of = |id: &str| {
        let at = Evidence::Conductor(id.to_string());
        wiring.reasons.iter().find(|r| r.at == at).unwrap_or_else(|| panic!("{id}: {wiring:#?}")).text.clone()
    };
    assert!(of("L1").contains("has 2.5 mm²") && of("L1").contains("0.75 mm²"), "{}", of("L1"));
    assert!(of("L3").contains("is red; a DC control circuit is dark blue"), "{}", of("L3"));
    assert!(of("L4").contains("QA1:14 to QA1:A1") && of("L4").contains("no number"), "{}", of("L4"));
    let all = wired_with(|c| Some(Conductor { colour: Insulation::Red, number: String::new(), ..c }));
    let none = marks(&all);
    assert_eq!((line(&none, "wiring").earned, line(&none, "wiring").reasons.len()), (0, 8));
}

/// 10 min are given: all at 10 min, 2·(20 - 15)/10 = 1 at 15, 2·(20 - 12)/10 = 1.6, so 1, at 12, none at 20 and after.
#[test]
fn time_is_earned_straight_between_once_and_twice_the_minutes() {
    for (ms, expected) in [
        (10 * MINUTE, 2),
        (10 * MINUTE + 1, 1),
        (12 * MINUTE, 1),
        (15 * MINUTE, 1),
        (15 * MINUTE + 1, 0),
        (20 * MINUTE, 0),
        (60 * MINUTE, 0),
    ] {
        let mut session = wired();
        session.advance(ms);
        let marks = marks(&session);
        assert_eq!(line(&marks, "time").earned, expected, "{ms} ms");
    }
    // Over all lines: eight minutes twice are sixteen, 2·(20 - 16)/10 = 0.8.
    let mut session = wired();
    let start = session.acts() as u32 - 1;
    session.advance(8 * MINUTE);
    session.seek(start, 0).unwrap();
    session.advance(8 * MINUTE);
    assert_eq!(session.conduct().bench_ms, 16 * MINUTE);
    let marks = marks(&session);
    assert_eq!(line(&marks, "time").earned, 0);
    assert!(line(&marks, "time").reasons[0].text.contains("16 min 0 s"), "{:?}", line(&marks, "time"));
}

/// Two marks for each conductor changed under voltage: 6 - 2, with the first on a line that was left 6 - 4, and never under 0.
#[test]
fn safe_work_loses_two_marks_for_each_unsafe_act_on_all_lines() {
    let spare = |session: &mut Session| {
        let (id, t) = (session.next_conductor_id(), |text| Terminal::parse(text).unwrap());
        let (from, to) = (t("XE1:3"), t("XE1:4"));
        let number = "PE".to_string();
        let wire = Conductor { id, from, to, section_mm2_x100: 150, colour: Insulation::GreenYellow, number };
        session.change(Change::Add(wire)).unwrap();
        session.advance(100);
    };
    let safe = |session: &Session| {
        let marks = marks(session);
        (line(&marks, "safe work").earned, line(&marks, "safe work").reasons.len())
    };
    let mut session = wired();
    switch_on(&mut session);
    assert_eq!(safe(&session), (6, 0));
    let trunk = session.acts() as u32 - 1;
    spare(&mut session);
    assert_eq!(safe(&session), (4, 1));
    session.seek(trunk, 1000).unwrap();
    assert_eq!(safe(&session), (4, 1), "the line was left, the act stays");
    spare(&mut session);
    assert_eq!(safe(&session), (2, 2));
    session.undo().unwrap();
    spare(&mut session);
    assert_eq!(safe(&session), (0, 4), "taking it back under voltage is one, too");
    let last = marks(&session);
    let first = &line(&last, "safe work").reasons[0];
    assert_eq!(first.at, Evidence::Entry { entry: trunk + 1, tick: 1000 });
    assert!(first.text.contains("changed with the supply on"), "{first:?}");
}

/// The reference of the paddle gear has nothing to remark on; a variable in no rung is one remark. Of 120 marks 8 are for answers,
/// of which none was given; the others are 100 for the requirements, 3 each for wiring and program and 6 for safe work.
#[test]
fn a_program_loses_a_mark_for_each_remark() {
    let id = "paddle-closed-loop";
    let scenario = Scenario::parse(shipped::get(id).unwrap()).unwrap();
    let reference = shipped::reference(id).unwrap().work(&scenario).unwrap();
    let requirements = mark(&scenario, &reference, &mut |_, _| true);
    for unused in [0, 1, 5] {
        let names: String = (0..unused).map(|n| format!("    spare_{n} : BOOL;\n")).collect();
        let source = reference.source.replacen("END_VAR", &format!("{names}END_VAR"), 1);
        let work = Project { source, ..reference.clone() };
        // A variable in no rung changes nothing that the machine does.
        let marks = requirements.clone().with_conduct(&scenario, &work, &Default::default());
        let program = line(&marks, "program");
        assert_eq!(program.earned, 3 - unused.min(3), "{program:#?}");
        assert_eq!(program.reasons.len(), unused as usize);
        if unused > 0 {
            assert_eq!(program.reasons[0].at, Evidence::Variable("spare_0".to_string()));
        }
        assert_eq!((marks.earned, marks.of), (112 - unused.min(3) as u32, 120));
    }
}

/// Exactly one answer must be kept by the bench; else nobody's answer is right, and the line says whose fault that is.
#[test]
fn the_bench_answers_a_prediction() {
    let scenario = Scenario::parse(SCENARIO).unwrap();
    let p = &scenario.predictions[0];
    assert_eq!(kept(&scenario, p).unwrap(), [false, true]);
    assert_eq!(*right_answers(&scenario), [Ok(2)]);
    let both = "expect not QA1.closed for 500ms\"\n\n[[hint]]";
    for (new, says) in [
        ("expect SF2.pressed\"\n\n[[hint]]", "Ok(2)"),
        ("expect QA1.closed\"\n\n[[hint]]", "none of the answers"),
    ] {
        let edited = Scenario::parse(&SCENARIO.replacen(both, new, 1)).unwrap();
        let told = format!("{:?}", right(&edited, &edited.predictions[0]));
        assert!(told.contains(says), "{told}");
    }
    let twice = SCENARIO.replacen("expect QA1.closed within 500ms\"", "expect SF2.pressed\"", 1);
    let twice = Rc::new(Scenario::parse(&twice).unwrap());
    assert!(right(&twice, &twice.predictions[0]).unwrap_err().contains("answers 1 and 2"));
    let mut session = Session::new(Rc::clone(&twice), 0).unwrap();
    session.predict("P1", 2).unwrap();
    let marks = grade(&twice, &session.export().unwrap()).unwrap().marks;
    assert_eq!(line(&marks, "P1").earned, 0);
    assert!(line(&marks, "P1").reasons[0].text.contains("exactly one is expected"));
}

/// What was answered and opened is in the file, in the chain, and there again when it is opened.
#[test]
fn answers_and_hints_are_in_the_file() {
    let mut session = wired();
    session.predict("P1", 2).unwrap();
    session.advance(500);
    session.open_hint("H1").unwrap();
    let json = session.export().unwrap().to_json();
    let attempt = Attempt::parse(&json).unwrap();
    assert_eq!(attempt.chain_holds(), Some(true));
    let mut opened = Session::open(Rc::clone(session.scenario()), attempt).unwrap();
    assert_eq!(opened.conduct(), session.conduct());
    assert_eq!(opened.predict("P1", 1), Ok(false));
    for (old, new) in [("\"answer\": 2", "\"answer\": 1"), ("\"hint\": \"H1\"", "\"hint\": \"H2\"")] {
        assert_eq!(json.matches(old).count(), 1, "{old}");
        assert_eq!(Attempt::parse(&json.replace(old, new)).unwrap().chain_holds(), Some(false), "{old}");
    }
    let older = json.replacen("\"version\": 6", "\"version\": 3", 1);
    assert!(Attempt::parse(&older).unwrap_err().message.contains("version 4"));
}

/// Every job that ships, done as its reference has it: the questions answered rightly first, no hint, all work done before the supply
/// is switched on. Exactly one answer of each prediction is right, and neither a fitter nor a teacher has anything to say.
#[test]
fn what_ships_can_earn_all_of_its_marks() {
    let mut jobs = 0;
    for (id, text) in shipped::all() {
        let Some(reference) = shipped::reference(id) else { continue };
        let scenario = Rc::new(Scenario::parse(text).unwrap());
        let mut session = Session::new(Rc::clone(&scenario), 0).unwrap();
        for (p, right) in scenario.predictions.iter().zip(right_answers(&scenario).iter()) {
            let right = right.clone().unwrap_or_else(|why| panic!("{id} {}: {why}", p.id));
            session.predict(&p.id, right).unwrap();
        }
        let program = (!scenario.is_hard_wired()).then_some(reference.program);
        session.do_work(&reference.wires(&scenario).unwrap(), program).unwrap();
        switch_on(&mut session);
        let marks = marks(&session);
        let lost: Vec<_> = marks.beside.iter().filter(|l| l.earned < l.of as i32).collect();
        assert!(lost.is_empty(), "{id}: {lost:#?}");
        let bonus: u32 = scenario.requirements.iter().filter(|r| r.bonus).map(|r| r.marks).sum();
        assert_eq!(
            (marks.earned, marks.of, marks.passed),
            (scenario.total_marks() + bonus, scenario.total_marks(), true),
            "{id}"
        );
        jobs += 1;
    }
    assert!(jobs >= 12, "{jobs} jobs");
}
