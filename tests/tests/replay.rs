//! Replay: what the proof says is broken, the whole bench breaks, through the same states, at the same tick.
//!
//! Of the scenarios that ship and of their references every counterexample; of wrong designs, made by rule from the reference,
//! 99 of 100, and the rest are listed. A few designs usually; `SEALIN_REPLAY=1000` makes so many, with more faults and states;
//! `SEALIN_ONLY=ID` then asks one job's of what ships.

use sealin_core::{Fault, Plan};
use sealin_exercise::proving::Task;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use sealin_proof::explore::{Answer, Explorer, Replay};
use sealin_tests::asked::{ASKED, MOST_STATES, Posed};
use sealin_tests::generate::{Random, asked_works};
use sealin_tests::wrong::slips;

/// Wrong designs that are made; none said: the usual few.
fn designs() -> Option<usize> {
    std::env::var("SEALIN_REPLAY").ok().and_then(|n| n.parse().ok())
}

/// Counterexamples, and those that the whole bench plays otherwise.
#[derive(Default)]
struct Count {
    asked: usize,
    broken: usize,
    otherwise: Vec<String>,
}

impl Count {
    fn ask(&mut self, name: &str, explorer: &mut Explorer, fault: Option<&Fault>) {
        let (report, played) = explorer.ask(fault, &mut |_| true);
        let Answer::Broken(path) = &report.answer else {
            self.asked += usize::from(!matches!(report.answer, Answer::NotProvable(_)));
            return;
        };
        self.asked += 1;
        self.broken += 1;
        if let Some(Replay::NotReproduced(why)) = played {
            let fault = fault.map_or(String::new(), |fault| format!(", {fault}"));
            self.otherwise.push(format!("{name}{fault}: {why}; {:?} after\n{path}", path.broken));
        }
    }
}

/// Every requirement without a fault and with its own faults; in the long mode with faults of the catalogue too, each in turn.
fn shipped_work(name: &str, plan: &Plan, tasks: &[Task], count: &mut Count) {
    /// Faults of the catalogue that every requirement is asked with in the long mode.
    const FAULTS: usize = 8;
    let catalogue = Fault::catalogue(&plan.parts, &plan.conductors);
    for (k, task) in tasks.iter().enumerate() {
        let max_states = if designs().is_some() { MOST_STATES } else { 20_000 };
        let task = Task { max_states, ..task.clone() };
        let mut explorer = Explorer::new(&task.question(plan, None));
        let mut faults = vec![None];
        faults.extend(task.faults.iter().cloned().map(Some));
        if designs().is_some() {
            faults.extend((0..FAULTS).map(|n| Some(catalogue[(k * FAULTS + n) % catalogue.len()].clone())));
        }
        for fault in &faults {
            count.ask(&format!("{name}, {}", task.name()), &mut explorer, fault.as_ref());
        }
    }
}

/// All of them.
#[test]
fn every_counterexample_of_a_scenario_or_reference_is_played_again() {
    let mut count = Count::default();
    for (name, plan, tasks) in asked_works() {
        // The others in the long mode.
        let usual = ["paddle-closed-loop", "yard-crane-hoist, given"];
        if designs().is_none() && !usual.iter().any(|job| name.starts_with(job)) {
            continue;
        }
        println!("{name}: {} broken before", count.broken);
        shipped_work(&name, &plan, &tasks, &mut count);
    }
    println!(
        "{} questions, {} broken, {} played otherwise",
        count.asked,
        count.broken,
        count.otherwise.len()
    );
    assert!(count.otherwise.is_empty(), "{}", count.otherwise.join("\n"));
    // The open loop that the main job hands over breaks what it is to be cured of; one job alone may keep everything.
    let least = if std::env::var_os("SEALIN_ONLY").is_some() { 0 } else { 5 };
    assert!(count.broken >= least && count.asked > 0, "{} of {}", count.broken, count.asked);
}

/// 99 of 100.
#[test]
fn counterexamples_of_wrong_designs_are_played_again() {
    const PADDLE: &str = "paddle-closed-loop";
    const USUAL: usize = 2 * ASKED.len();
    let scenario = Scenario::parse(shipped::get(PADDLE).unwrap()).unwrap();
    let reference = shipped::reference(PADDLE).unwrap();
    let right = reference.work(&scenario).unwrap().plan_of_sheet(&scenario).unwrap();
    let made: Vec<String> = parse_wires(reference.wires).unwrap().into_iter().map(|c| c.id).collect();
    let mut count = Count::default();
    let mut seed = 0;
    while count.asked < designs().unwrap_or(USUAL) {
        let plan = slips(&right, &made, &mut Random::new(seed));
        let posed = Posed::new(format!("slips of seed {seed}"), plan, ASKED[seed as usize % ASKED.len()]);
        seed += 1;
        if posed.plan != right {
            count.ask(&posed.name, &mut Explorer::new(&posed.question()), None);
        }
    }
    let otherwise = count.otherwise.len();
    println!("{} wrong designs, {} broken, {otherwise} played otherwise", count.asked, count.broken);
    count.otherwise.iter().for_each(|design| println!("{design}"));
    assert!(otherwise * 100 <= count.broken, "{otherwise} of {} are played otherwise", count.broken);
    assert!(
        count.broken * 10 >= count.asked,
        "{} of {} are broken: too few to say anything",
        count.broken,
        count.asked
    );
}
