//! The suspects of the main job after a reading.

use super::{Finding, median};
use sealin_core::instruments::Function;
use sealin_core::{Bench, BenchAct, Fault, Measurement, Terminal};
use sealin_proof::suspects::{Finding as Found, Suspect, Suspects, Told, readings};
use sealin_tests::coach::main_job;
use std::time::Instant;

/// Suspects that are followed.
const MOST: usize = 1_000;

/// Milliseconds from a reading to the list of what is left, with a thousand suspects followed, everything known, and a reading that nearly
/// all of them explain; the baseline measures it on every bench anew. Both must leave the same.
pub fn after_a_reading() -> Finding {
    let plan = main_job();
    let mut faults: Vec<Fault> = Vec::new();
    let mut before: Option<(Suspect, bool)> = None;
    let mut count = 0;
    for fault in Fault::catalogue(&plan.parts, &plan.conductors) {
        let own = Some((Suspect::of(&fault), fault.is_intermittent()));
        count += usize::from(own != before);
        if count > MOST {
            break;
        }
        before = own;
        faults.push(fault);
    }
    let mut suspects = Suspects::new(&plan, &faults).expect("the catalogue fits its job");
    let mut real = Bench::new(plan.clone()).expect("the job builds");
    let mut tick = 0;
    for (act, ticks) in [("power on", 3_000), ("press SF2", 600)] {
        let act = BenchAct::parse(act).expect("an act");
        real.act(act.clone()).expect("it fits");
        suspects.tell(Told::Act(tick, act)).expect("it fits");
        tick += ticks;
    }
    real.run_until(tick, &mut |_, _, _| {});
    suspects.tell(Told::Run(tick)).expect("it comes after");
    let plain = {
        let start = Instant::now();
        suspects.catch_up().expect("the catalogue builds");
        (suspects.clone(), start.elapsed().as_secs_f64() * 1000.0)
    };
    suspects.offer(readings(&plan, true)).expect("places of this job");
    let start = Instant::now();
    suspects.catch_up().expect("the catalogue builds");
    let looked = start.elapsed().as_secs_f64() * 1000.0;
    let start = Instant::now();
    assert!(!suspects.best(1).is_empty(), "something is worth reading");
    let ranked = start.elapsed().as_secs_f64() * 1000.0;
    let (from, to) = (Terminal::new("KF1", "I0"), Terminal::new("TB1", "-"));
    let reading = Measurement::Between { function: Function::VoltsDc, from, to };
    let shown = real.measure(&reading).expect("terminals of this job").shown;
    let found = |of: &Suspects| {
        let mut of = of.clone();
        let start = Instant::now();
        of.tell(Told::Found(Found::Reading(reading.clone(), shown))).expect("a place of this job");
        of.catch_up().expect("nothing is built");
        let left: Vec<Suspect> = of.left().chain(of.left_coming_and_going()).cloned().collect();
        (start.elapsed().as_secs_f64() * 1000.0, left)
    };
    let left = found(&suspects).1;
    assert!(left == found(&plain.0).1, "both must leave the same");
    let all = suspects.left().count() + suspects.left_coming_and_going().count();
    let also = vec![
        ("suspects", all as f64),
        ("left", left.len() as f64),
        ("benches", suspects.progress().benches as f64),
        ("caught_up_ms", plain.1),
        ("looked_at_ms", looked),
        ("ranked_ms", ranked),
    ];
    let value = median(|| found(&suspects).0);
    Finding { value, unit: "ms", baseline: Some(("measured-anew", median(|| found(&plain.0).0))), also }
}
