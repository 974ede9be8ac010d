//! The proof against an outside model checker: the same bench, its program and its requirements as Promela, judged by Spin.
//!
//! Every wrong design is made by rule from the reference; twenty usually, more by `SEALIN_DESIGNS=200`. What the scenarios ask is judged of
//! a short job usually; `SEALIN_JUDGE=300000` takes every scenario and reference (`SEALIN_ONLY` one), each question of up to so many states.

use sealin_core::Design;
use sealin_exercise::project::Project;
use sealin_exercise::proving::Task;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use sealin_judge::{Case, Export, export, export_ticks};
use sealin_proof::explore::{Answer, Question, Report, default_free, explore};
use sealin_tests::asked::{ASKED, MOST_STATES, Posed, names, verdicts};
use sealin_tests::checker::{Checker, Judgement, TABLES};
use sealin_tests::generate::{Random, asked_works};
use sealin_tests::wrong::slips;
use std::path::{Path, PathBuf};

#[path = "../../crates/proof/tests/support/seal_in.rs"]
mod seal_in;
#[path = "../../crates/proof/tests/support/mod.rs"]
mod support;

const PADDLE: &str = "paddle-closed-loop";

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join("judge").join(name)
}

fn scenario() -> Scenario {
    Scenario::parse(shipped::get(PADDLE).unwrap()).unwrap()
}

fn reference(scenario: &Scenario) -> Project {
    shipped::reference(PADDLE).unwrap().work(scenario).unwrap()
}

/// What the exploration says, in the words of the outside judge.
fn told(report: &Report) -> Judgement {
    match &report.answer {
        Answer::Proven | Answer::NeverExercised => Judgement::Kept,
        Answer::Broken(_) => Judgement::Broken,
        other => panic!("{other:?}"),
    }
}

/// Judges all cases by both; gives the names of those that are broken. States are compared where all of them were met.
fn agree(name: &str, cases: &[Case]) -> Vec<String> {
    let checker = Checker::new(&folder(name), &export(cases, TABLES).unwrap(), false);
    let mut broken = Vec::new();
    for (number, case) in cases.iter().enumerate() {
        let (report, outside) = (case.report(), checker.judge(number));
        let name = format!("{} (number {number} of {name})", case.name());
        assert_eq!(told(report), outside.judgement, "{name}");
        match outside.judgement {
            Judgement::Kept => assert_eq!(report.states, outside.states, "{name}"),
            _ => broken.push(case.name().to_string()),
        }
    }
    broken
}

fn case(posed: &Posed) -> Result<Case<'_>, String> {
    Case::explored(posed.name.as_str(), posed.question())
}

/// The given program and the reference of the paddle gear, by every formula; the benches without requirements by what does harm.
/// With all that moves the other jobs have more states than the outside judge takes in seconds.
#[test]
fn the_outside_judge_says_the_same_of_every_scenario_and_reference() {
    let mut posed: Vec<Posed> = Vec::new();
    let paddle = scenario();
    for (name, project) in [("given", Project::given(&paddle)), ("reference", reference(&paddle))] {
        let plan = project.plan_of_sheet(&paddle).unwrap();
        let every = ASKED.iter().enumerate();
        posed.extend(every.map(|(k, asked)| Posed::new(format!("{name}, {k}"), plan.clone(), *asked)));
    }
    let all = shipped::all().map(|(id, text)| (id, Scenario::parse(text).unwrap()));
    for (id, scenario) in all.filter(|(_, scenario)| scenario.requirements.is_empty()) {
        let plan = Project::given(&scenario).plan_of_sheet(&scenario).unwrap();
        let free = default_free(&Design::build(&plan).unwrap());
        posed.push(Posed { name: id.to_string(), plan, required: Vec::new(), assumed: Vec::new(), free });
    }
    let cases: Vec<Case> = posed.iter().map(|posed| case(posed).unwrap()).collect();
    let broken = agree("every", &cases);
    println!("of {} are broken: {broken:?}", cases.len());
    // By hand: the bit of the given program holds itself while the overload has tripped; the reference never has both bits.
    let is_broken = |name: &str| broken.iter().any(|other| other == name);
    assert!(is_broken("given, 6") && !is_broken("reference, 4"), "{broken:?}");
}

/// What each scenario asks to be proven, in its own words, of the bench as it is given and of its reference. A question that the
/// exploration refuses, or does not come to an end with, has nothing to be compared with, and is counted.
#[test]
fn the_outside_judge_says_the_same_of_what_the_scenarios_ask() {
    /// Usually: states at most, and the job.
    const USUAL: (u64, &str) = (12_000, "gate-commons");
    /// States of all cases of a model: the tables of a large one fill it.
    const TOGETHER: u64 = 40_000;
    let long: Option<u64> = std::env::var("SEALIN_JUDGE").ok().and_then(|n| n.parse().ok());
    let (mut judged, mut refused, mut broken) = (0, Vec::new(), Vec::new());
    for (work, plan, tasks) in asked_works() {
        if long.is_none() && !work.starts_with(USUAL.1) {
            continue;
        }
        let max_states = long.unwrap_or(USUAL.0);
        let tasks: Vec<Task> = tasks.into_iter().map(|task| Task { max_states, ..task }).collect();
        let (mut cases, mut states) = (Vec::new(), 0);
        for (k, task) in tasks.iter().enumerate() {
            let name = format!("{work}, {}", task.name());
            match Case::explored(name.as_str(), task.question(&plan, None)) {
                Ok(case) => {
                    println!("{name}: {} states", case.report().states);
                    states += case.report().states;
                    cases.push(case);
                }
                Err(why) => refused.push(format!("{name}: {why}")),
            }
            if !cases.is_empty() && (states > TOGETHER || k + 1 == tasks.len()) {
                broken.extend(agree(&format!("shipped, {work}"), &cases));
                judged += cases.len();
                (cases, states) = (Vec::new(), 0);
            }
        }
    }
    refused.iter().for_each(|why| println!("not judged: {why}"));
    println!("{judged} judged, {} not; broken: {broken:?}", refused.len());
    assert!(judged > 0, "{refused:?}");
    if long.is_none() {
        // By hand: no common is joined in the panel that is given, so that CALL lights nothing; the reference keeps what is asked.
        assert_eq!(broken, ["gate-commons, given, R5-1", "gate-commons, given, R6-1"]);
    }
}

/// Designs with a learner's slips. Where one cannot be explored there is nothing to compare: the next one is taken.
#[test]
fn the_outside_judge_says_the_same_of_wrong_designs() {
    /// Cases of one model: as many as there is room for in a state.
    const TOGETHER: usize = 20;
    let count: usize = std::env::var("SEALIN_DESIGNS").ok().and_then(|n| n.parse().ok()).unwrap_or(TOGETHER);
    let scenario = scenario();
    let right = reference(&scenario).plan_of_sheet(&scenario).unwrap();
    let made: Vec<String> =
        parse_wires(shipped::reference(PADDLE).unwrap().wires).unwrap().into_iter().map(|c| c.id).collect();
    let (mut posed, mut seed, mut broken) = (
        (0..).map(|seed| {
            let plan = slips(&right, &made, &mut Random::new(seed));
            Posed::new(format!("slips of seed {seed}"), plan, ASKED[seed as usize % ASKED.len()])
        }),
        0,
        0,
    );
    for first in (0..count).step_by(TOGETHER) {
        let wanted = TOGETHER.min(count - first);
        let posed: Vec<Posed> = posed.by_ref().take(2 * wanted).filter(|posed| posed.plan != right).collect();
        seed += 2 * wanted;
        let cases: Vec<Case> = posed.iter().filter_map(|posed| case(posed).ok()).take(wanted).collect();
        assert_eq!(cases.len(), wanted, "too few designs can be explored");
        broken += agree(&format!("slips-{first}"), &cases).len();
    }
    println!("{broken} of {count} wrong designs are broken, by {seed} seeds");
    // The comparison must have had something to compare: some of both kinds.
    assert!(broken * 10 >= count && broken < count, "{broken} of {count}");
}

/// A hard-wired contactor that holds itself, with nothing shared but its network: devices, delays and bounces written anew.
#[test]
fn the_outside_judge_says_the_same_of_a_bench_tick_by_tick() {
    use Judgement::{Broken, Kept};
    // By hand: stop wins; released, it holds itself; nothing starts it but its button; a trip takes it out, but one shorter than
    // the drop-out goes unnoticed; nor does the supply start it, whose return finds the holding contact open.
    let cases: [(&[&str], &str, Judgement); 6] = [
        (&["SF1", "SF2"], "never (QA1.closed and held(SF1.pressed, 20ms))", Kept),
        (&["SF1", "SF2"], "never (QA1.closed and not SF2.pressed)", Broken),
        (&["SF2"], "never (rose(QA1.coil) and not once(SF2.pressed, 20ms))", Kept),
        (&["SF2", "FC1"], "never (QA1.closed and held(FC1.tripped, 20ms))", Kept),
        (&["SF2", "FC1"], "never (fell(FC1.tripped) and QA1.closed)", Broken),
        (
            &["SF2", "power", "FC1.stop"],
            "never (rose(QA1.coil) and not once(SF2.pressed, 30ms) and prev(held(not QA1.closed, 10ms)))",
            Kept,
        ),
    ];
    let plan = seal_in::seal_in(seal_in::QUICK);
    for (number, (free, formula, by_hand)) in cases.into_iter().enumerate() {
        let (free, required) = (names(free), verdicts(&[formula]));
        let question = Question { max_states: MOST_STATES, ..Question::new(&plan, &required, &free) };
        let written = export_ticks(&question, TABLES).unwrap();
        let outside = Checker::new(&folder(&format!("ticks-{number}")), &written, false).judge(0);
        let here = told(&explore(&question, &mut |_| true));
        assert_eq!((here, outside.judgement), (by_hand, by_hand), "{formula}");
    }
}

/// A program of which one sign was changed, and a bound that ends a scan later, are noticed.
#[test]
fn a_small_difference_is_noticed() {
    let scenario = scenario();
    let plan = reference(&scenario).plan_of_sheet(&scenario).unwrap();
    let posed = Posed::new("reference".to_string(), plan, ASKED[5]);
    let case = case(&posed).unwrap();
    let (report, written) = (case.report().clone(), export(&[case], TABLES).unwrap());
    let same = |name: &str, model: String| {
        let tables = written.tables.clone();
        let judged = Checker::new(&folder(name), &Export { model, tables }, false).judge(0);
        (judged.judgement, judged.states) == (told(&report), report.states)
    };
    assert!(same("as-it-is", written.model.clone()));
    // The answer of the contactor no longer asked for in the hold: `QA1_out AND QA1_in`.
    let (hold, bound) = ("(v6_QA1_out && v3_QA1_in)", "= 21\n");
    for (name, from, to) in [("sign", hold, "(v6_QA1_out || v3_QA1_in)"), ("bound", bound, "= 22\n")] {
        assert_eq!(written.model.matches(from).count(), 1, "{}", written.model);
        assert!(!same(name, written.model.replace(from, to)), "{name}");
    }
}
