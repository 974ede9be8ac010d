//! Inclusion: whatever the whole bench does, the proof knows it. Runs are generated from seeds, and every quantum of them must be in
//! the explored relation, with every monitor in the same state.
//!
//! A few thousand quanta of some jobs usually; `SEALIN_INCLUSION=1000000` follows so many of every scenario and of its reference, or of
//! those of one job with `SEALIN_ONLY=ID`, or of one work with `SEALIN_ONLY="ID, reference"`.

#[path = "../../crates/proof/tests/support/latched.rs"]
mod latched;
#[path = "../../crates/proof/tests/support/seal_in.rs"]
mod seal_in;
#[path = "../../crates/proof/tests/support/mod.rs"]
mod support;

use sealin_core::part::{Actuator, Kind};
use sealin_core::{BenchAct, Fault, Plan};
use sealin_exercise::proving::Task;
use sealin_proof::explore::{Answer, Explorer, Question};
use sealin_proof::expr::{Verdict, parse_requirement};
use sealin_tests::asked::MOST_STATES;
use sealin_tests::generate::{asked_works, shipped_works};
use sealin_tests::runs::{End, Known, follow};
use std::collections::BTreeMap;

/// Quanta of a run: power is on and the controller runs after 200 of the paddle gear.
const RUN: u64 = 1_000;

/// Bytes that what an explorer knows may take before it is begun anew, so that memory stays bounded.
const MOST_BYTES: usize = 1 << 30;

/// Quanta that are followed of a work usually; in the long mode it is told how far it is after every so many.
const USUAL: u64 = 20_000;
const STEP: u64 = 50_000;

/// Jobs that are followed usually: by a program and by wires alone, with and without a timer, and with a machine that actuates position switches.
const USUALLY: [&str; 4] = ["paddle-closed-loop", "conveyor-seal-in", "free-bench", "yard-crane-hoist"];

fn quanta() -> u64 {
    std::env::var("SEALIN_INCLUSION").ok().and_then(|n| n.parse().ok()).unwrap_or(USUAL)
}

/// How the runs of a plan ended.
#[derive(Debug, Default)]
struct Count {
    quanta: u64,
    runs: u64,
    struck: u64,
    draws: u64,
    crossings: u64,
    ends: BTreeMap<String, u64>,
    /// Tasks of which too much is to be tried.
    given_up: Vec<String>,
}

/// Follows runs of every task in turn, a third of them without a fault, the others with each fault of the catalogue in turn.
fn runs_of(name: &str, plan: &Plan, tasks: &[Task], quanta: u64) -> Count {
    let all = Fault::catalogue(&plan.parts, &plan.conductors);
    // One that changes what a proof takes as given is refused, and so never explored.
    let stay = all.iter().filter(|fault| fault.mode.is_explored() && !fault.is_intermittent());
    // Beside each the same as one that comes and goes.
    let faults: Vec<Fault> =
        stay.flat_map(|fault| [Some(fault.clone()), fault.intermittent()]).flatten().collect();
    let mut count = Count::default();
    let mut open: Vec<&Task> = tasks.iter().collect();
    // What one that is given up leaves is done by the others.
    while count.quanta < quanta && !open.is_empty() {
        let mut behind = open.len() as u64;
        open.retain(|task| {
            let until = count.quanta + quanta.saturating_sub(count.quanta) / behind;
            behind -= 1;
            let through = task_until(name, (plan, task), &faults, until, &mut count);
            if !through {
                count.given_up.push(task.name());
            }
            through
        });
    }
    println!("{name}: {count:?}");
    assert!(count.quanta >= quanta, "every task is given up: {count:?}");
    count
}

/// Follows runs of a task until there are so many quanta. False: without a fault it comes to where there is too much to try, and is given up.
fn task_until(
    name: &str,
    (plan, task): (&Plan, &Task),
    faults: &[Fault],
    until: u64,
    count: &mut Count,
) -> bool {
    let question = task.question(plan, None);
    let anew = || Explorer::new(&question);
    let mut explorer = anew();
    while count.quanta < until {
        let (seed, before) = (count.runs, count.quanta);
        let fault = (seed % 3 != 0).then(|| &faults[(seed - seed / 3) as usize % faults.len()]);
        let known = runs_on(count, &mut explorer, &question, fault, (name, task, seed));
        if known.end == End::TooMany && fault.is_none() {
            return false;
        }
        // After too many ways too: what such a fault had to have in the plant stays there.
        if known.bytes > MOST_BYTES || known.end == End::TooMany {
            explorer = anew();
        }
        if quanta() > USUAL && count.quanta / STEP != before / STEP {
            println!("{name}, {}: {} quanta, {} MB", task.name(), count.quanta, known.bytes >> 20);
        }
    }
    true
}

fn runs_on(
    count: &mut Count,
    explorer: &mut Explorer,
    question: &Question,
    fault: Option<&Fault>,
    (name, task, seed): (&str, &Task, u64),
) -> Known {
    let known = follow(explorer, question, fault, seed, RUN)
        .unwrap_or_else(|why| panic!("{name}, {}: {why}", task.name()));
    count.runs += 1;
    count.quanta += known.quanta;
    count.struck += u64::from(known.struck);
    count.draws += known.draws;
    count.crossings += known.crossings;
    *count.ends.entry(format!("{:?}", known.end)).or_default() += 1;
    known
}

/// Every scenario that ships: as it is given, and its reference.
#[test]
fn every_quantum_of_the_bench_is_in_the_relation() {
    for (name, plan, tasks) in asked_works() {
        // The other jobs are panels of the same kind; the long mode follows them too.
        if quanta() == USUAL && !USUALLY.iter().any(|job| name.starts_with(job)) {
            continue;
        }
        let count = runs_of(&name, &plan, &tasks, quanta());
        // By far most of it must have been compared, with faults and, where there is a starter, with armatures that travel.
        let nothing_claimed: u64 = ["Outside", "TooMany"].iter().filter_map(|end| count.ends.get(*end)).sum();
        assert!(nothing_claimed * 5 < count.runs, "{count:?}");
        // A panel may be handed over with its start not wired.
        let starter = name.ends_with("reference")
            && plan.parts.iter().any(|part| matches!(part.kind, Kind::Contactor(_)));
        assert!(count.struck * 3 > count.runs && (!starter || count.draws > 0), "{count:?}");
        let switches = plan.parts.iter().any(|part| matches!(part.kind, Kind::PositionSwitch(_)));
        assert!(!switches || count.crossings > 0, "{count:?}");
    }
}

/// A transistor output that a fault holds open has the whole voltage along it, and is in no current limit: nothing would tell the bench
/// when it got into one, as opening and closing changes nothing in the network.
#[test]
fn an_output_that_is_held_open_is_in_no_limit() {
    let (_, plan, tasks) =
        shipped_works().into_iter().find(|(name, ..)| name == "condemned-panel, given").expect("it ships");
    let fault = Fault::parse("KF1 Q0-CQ1 stuck open").expect("a fault of the catalogue");
    let task = tasks.iter().find(|task| task.id == "R3").expect("it asks for a proof");
    let question = task.question(&plan, None);
    let mut explorer = Explorer::new(&question);
    let mut count = Count::default();
    for seed in 220..240 {
        runs_on(&mut count, &mut explorer, &question, Some(&fault), ("held open", task, seed));
    }
    assert!(count.struck > 10, "{count:?}");
}

fn task(required: &[&str], free: &[&str]) -> Task {
    let required: Vec<Verdict> = required.iter().map(|text| parse_requirement(text).unwrap()).collect();
    Task {
        id: "rig".to_string(),
        part: 0,
        text: String::new(),
        required,
        assumed: Vec::new(),
        free: free.iter().map(|name| name.to_string()).collect(),
        faults: Vec::new(),
        max_states: MOST_STATES,
    }
}

/// A hard-wired starter, whose buttons work at every tick of the quantum.
#[test]
fn every_quantum_of_a_hard_wired_starter_is_in_the_relation() {
    let tasks = [
        task(&["never (QA1.closed and held(SF1.pressed, 50ms))"], &["SF1", "SF2", "FC1"]),
        // The latch and its contacts go in one tick, by hand or by heat.
        task(&["never (FC1.tripped and FC1.95-96)"], &["SF2", "FC1"]),
        task(&["never (rose(QA1.coil) and not once(SF2.pressed, 20ms))"], &["SF2", "FC1", "power"]),
        task(&["never (QA1.closed and not SF2.pressed)"], &["SF2", "FC1.stop"]),
        task(&[], &["SF1", "SF2", "power"]),
    ];
    for delays in [Default::default(), seal_in::QUICK] {
        let count = runs_of("hard-wired", &seal_in::seal_in(delays), &tasks, quanta());
        assert!(count.ends.contains_key("Whole") && count.ends.contains_key("Broken"), "{count:?}");
    }
}

/// A selector that stands in its second position, where its contact is closed, before anybody has turned it. By hand: the first scan that
/// sees it latches the output, with no act but power on.
#[test]
fn a_selector_begins_where_it_stands() {
    let mut plan = latched::latched();
    for part in &mut plan.parts {
        if let Kind::Control(control) = &mut part.kind {
            control.actuator = Actuator::Selector { positions: 2, start: 2 };
        }
    }
    let task = task(&["never QX0.0"], &["SF2"]);
    let (report, _) = Explorer::new(&task.question(&plan, None)).ask(None, &mut |_| true);
    let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
    assert_eq!(path.acts, [(0, BenchAct::Power(true))]);
    let count = runs_of("selector", &plan, &[Task { required: Vec::new(), ..task }], quanta());
    assert!(count.draws > 0, "{count:?}");
}

/// By hand: in the first tick two buttons that are wired through may both stay, either be pressed, or both. Where three choices are tried at
/// most that is too much, and nothing is claimed; where as many as are needed, it is broken.
#[test]
fn more_than_is_tried_in_a_quantum_is_undecided() {
    let plan = seal_in::seal_in(seal_in::QUICK);
    let task = task(&["never (QA1.closed and not SF2.pressed)"], &["SF1", "SF2"]);
    let question = task.question(&plan, None);
    let report = Explorer::trying(&question, 3).explore(None, &mut |_| true);
    assert_eq!((report.answer, report.states), (Answer::Undecided, 1));
    let report = Explorer::trying(&question, 1_000_000).explore(None, &mut |_| true);
    assert!(matches!(report.answer, Answer::Broken(_)), "{report:?}");
}
