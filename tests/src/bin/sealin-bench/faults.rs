//! The fault table of the paddle gear's reference.

use super::Finding;
use super::proof::reference;
use sealin_core::Fault;
use sealin_proof::explore::{Explorer, Question, Report, ask};
use sealin_proof::expr::parse_requirement;
use std::time::Instant;

/// Nothing starts but by a press of RAISE.
const RESTART: &str =
    "never (rose(QA1.closed) and prev(held(not QA1.closed, 20ms)) and not once(SF2.pressed, 200ms))";

/// Every so many faults are explored from the start too, as that takes long.
const ANEW: usize = 16;

/// Seconds a fault, every one that fits the reference, with what is the same without a fault explored once; the baseline explores
/// some of them from the start, one by one. Both must come to the same.
pub fn fault_table() -> Finding {
    let plan = reference();
    let faults = Fault::catalogue(&plan.parts, &plan.conductors);
    let required = [parse_requirement(RESTART).expect("it reads")];
    let free = ["SF2".to_string()];
    let question = Question::new(&plan, &required, &free);
    let start = Instant::now();
    let mut explorer = Explorer::new(&question);
    let all: Vec<Report> = faults.iter().map(|f| explorer.ask(Some(f), &mut |_| true).0).collect();
    let value = start.elapsed().as_secs_f64() / faults.len() as f64;
    let some: Vec<usize> = (0..faults.len()).step_by(ANEW).collect();
    let start = Instant::now();
    for &k in &some {
        let (report, _) = ask(&Question { fault: Some(&faults[k]), ..question.clone() }, &mut |_| true);
        assert!(report.answer == all[k].answer && report.states == all[k].states, "{} differs", faults[k]);
    }
    let baseline = start.elapsed().as_secs_f64() / some.len() as f64;
    Finding { value, unit: "s/fault", baseline: Some(("one-by-one", baseline)), also: Vec::new() }
}
