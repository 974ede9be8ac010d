//! Tables of a scenario about marks beside the requirements: read, counted in the content hash, and a job without a controller.

use sealin_core::BenchAct;
use sealin_core::part::Kind;
use sealin_exercise::attempt::{Attempt, Change};
use sealin_exercise::grade::grade;
use sealin_exercise::marking::{bench, mark};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Craft, Scenario, Tried, parse_wires};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::rc::Rc;

const HARD_WIRED: &str = include_str!("hard-wired/scenario.toml");
const WIRES: &str = include_str!("hard-wired/reference.wires.toml");

fn hard_wired() -> Scenario {
    Scenario::parse(HARD_WIRED).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

fn wired(scenario: &Scenario) -> Project {
    let mut work = Project::given(scenario);
    for wire in parse_wires(WIRES).unwrap() {
        work.apply(scenario, &Change::Add(wire)).unwrap();
    }
    work
}

/// By hand: requirements 7 + 4, the bonus of 2 aside; prediction 3; craft 4 + 2 + 6.
#[test]
fn tables_are_read_and_a_bonus_is_not_in_the_total() {
    let s = hard_wired();
    assert_eq!((s.required_marks(), s.total_marks()), (11, 26));
    let flags: Vec<_> = s.requirements.iter().map(|q| (q.bonus, q.partial)).collect();
    assert_eq!(flags, [(false, true), (false, false), (true, false)]);
    let p = s.prediction("P1").unwrap();
    assert_eq!((p.marks, p.of, p.answers.len(), p.script.steps.len()), (3, Tried::Given, 2, 3));
    assert_eq!(p.answers[1].text, "It stays out.");
    let h = s.hint("H1").unwrap();
    assert_eq!((h.costs, h.requirements.as_str()), (2, "R1"));
    assert_eq!(s.hint("H2").unwrap().requirements, "");
    assert_eq!(s.craft, Craft { wiring: 4, program: 0, time: 2, safe_work: 6 });
    assert!(s.prediction("H1").is_none() && s.hint("P1").is_none());
}

/// Whatever is said in the new tables is meant, and counts; without them the hash is that of before, which the attempts of
/// older versions in tests/cases/attempt carry.
#[test]
fn each_new_key_counts_in_the_content_hash() {
    let hash = |text: &str| Scenario::parse(text).unwrap_or_else(|e| panic!("{e:#?}")).content_hash();
    let base = hash(HARD_WIRED);
    for (old, new) in [
        ("partial = true\n", ""),
        ("bonus = true\n", ""),
        ("marks = 3\nquestion", "marks = 2\nquestion"),
        ("What does QA1 do?", "What happens?"),
        ("wait 2s; press SF2\"\nwhy", "wait 3s; press SF2\"\nwhy"),
        ("Its coil has no way", "The coil has no way"),
        ("It stays out.", "It stays off."),
        ("expect not QA1.closed for 500ms\"", "expect not QA1.closed for 501ms\""),
        ("costs = 30", "costs = 29"),
        ("requirements = \"R1\"", "requirements = \"R2\""),
        ("stands beside the start", "is beside the start"),
        ("safe_work = 6", "safe_work = 4"),
        ("time = 2\nsafe_work = 6", "time = 6\nsafe_work = 2"),
    ] {
        assert_eq!(HARD_WIRED.matches(old).count(), 1, "{old}");
        assert_ne!(base, hash(&HARD_WIRED.replace(old, new)), "{old}");
    }
    // Comments and spacing in a script, and a table that says nothing, mean nothing.
    let spaced = HARD_WIRED.replace("wait 2s; press SF2\"\nwhy", "wait  2s;  press SF2\"\nwhy");
    assert_eq!(base, hash(&spaced));
    let unmarked = shipped::get("free-bench").unwrap();
    assert_eq!(hash(unmarked), hash(&format!("{unmarked}\n[craft]\nwiring = 0\n")));
}

#[test]
fn a_prediction_of_the_reference_is_read_against_it() {
    let plain = shipped::get("paddle-closed-loop").unwrap();
    // FC1_in is a variable of the reference's program only.
    let asked = |of: &str| {
        format!(
            "{plain}\n[[prediction]]\nid = \"P9\"\nmarks = 1\nquestion = \"?\"\nof = \"{of}\"\nsteps = \"power on\"\nwhy = \"-\"\n\
             [[prediction.answer]]\ntext = \"yes\"\nsteps = \"expect FC1_in within 1s\"\n\
             [[prediction.answer]]\ntext = \"no\"\nsteps = \"expect not FC1_in for 1s\"\n"
        )
    };
    assert_eq!(Scenario::parse(&asked("reference")).unwrap().prediction("P9").unwrap().of, Tried::Reference);
    let problems = Scenario::parse(&asked("given")).unwrap_err();
    assert!(problems[0].message.contains("FC1_in"), "{problems:#?}");
}

/// Without a controller there is nothing to be programmed: no text, no transfer, no marks for a program.
#[test]
fn a_job_without_a_controller_needs_no_program() {
    let s = hard_wired();
    assert!(s.is_hard_wired() && !s.parts.iter().any(|p| matches!(p.kind, Kind::Controller(_))));
    assert!(bench(&s, &Project::given(&s)).unwrap().design.program.is_none());
    let change = Change::program("", "PROGRAM p\nEND_PROGRAM\n").unwrap();
    assert!(Project::given(&s).apply(&s, &change).unwrap_err().contains("no program"));
    let mut session = Session::new(Rc::new(s), 0).unwrap();
    assert!(session.transfer(true).unwrap_err()[0].message.contains("no program"));
    assert_eq!(session.acts(), 0, "what is refused is not written");
    let problems = Scenario::parse(&HARD_WIRED.replace("[craft]", "[craft]\nprogram = 3")).unwrap_err();
    assert!(problems[0].message.contains("this job has no program"), "{problems:#?}");
    // With a controller a program must be handed over.
    let plain = shipped::get("paddle-closed-loop").unwrap();
    let cut = format!(
        "{}{}",
        &plain[..plain.find("[program]").unwrap()],
        &plain[plain.find("[matrix]").unwrap()..]
    );
    let problems = Scenario::parse(&cut).unwrap_err();
    assert!(problems[0].message.contains("`program` is missing"), "{problems:#?}");
}

/// R1 holds by 13-14 beside the start button; the untouched start keeps it out at power-up only.
#[test]
fn a_job_without_a_controller_is_marked() {
    let s = Rc::new(hard_wired());
    let marks = mark(&s, &wired(&s), &mut |_, _| true);
    assert_eq!(marks.unfit, None);
    assert!(marks.lines.iter().all(|l| l.trials.iter().all(|t| t.kept)), "{:#?}", marks.lines);
    let kept: Vec<bool> = mark(&s, &Project::given(&s), &mut |_, _| true)
        .lines
        .iter()
        .flat_map(|l| l.trials.iter().map(|t| t.kept).collect::<Vec<_>>())
        .collect();
    assert_eq!(kept, [true, false, false, false, false]);
    let mut session = Session::new(Rc::clone(&s), 0).unwrap();
    for wire in parse_wires(WIRES).unwrap() {
        session.change(Change::Add(wire)).unwrap();
    }
    session.bench_act(BenchAct::parse("power on").unwrap()).unwrap();
    session.advance(2000);
    let attempt = Attempt::parse(&session.export().unwrap().to_json()).unwrap();
    let report = grade(&s, &attempt).unwrap();
    assert_eq!((report.bench_ms, report.chain, report.claim), (2000, Some(true), Some(true)));
}
