//! The fault table of the paddle gear's reference.

use super::Finding;
use sealin_core::Fault;
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use sealin_proof::explore::{DEFAULT_MAX_STATES, Explorer, Question, Report, ask};
use sealin_proof::expr::parse_requirement;
use std::time::Instant;

const ID: &str = "paddle-closed-loop";

/// Nothing starts but by a press of RAISE.
const RESTART: &str =
    "never (rose(QA1.closed) and prev(held(not QA1.closed, 20ms)) and not once(SF2.pressed, 200ms))";

/// Every so many faults are explored from the start too, as that takes long.
const ANEW: usize = 16;

/// Seconds a fault, every one that fits the reference, with what is the same without a fault explored once; the baseline explores
/// some of them from the start, one by one. Both must come to the same.
pub fn fault_table() -> Finding {
    let scenario = Scenario::parse(shipped::get(ID).expect("it ships")).expect("it reads");
    let reference = shipped::reference(ID).expect("it has one");
    let mut project = Project::given(&scenario);
    project.source = reference.program.to_string();
    for c in parse_wires(reference.wires).expect("they read") {
        project.conductors.insert(c.id.clone(), c);
    }
    let plan = project.plan_of_sheet(&scenario).expect("its program reads");
    let faults = Fault::catalogue(&plan.parts, &plan.conductors);
    let required = [parse_requirement(RESTART).expect("it reads")];
    let free = ["SF2".to_string()];
    let question = Question {
        plan: &plan,
        required: &required,
        assumed: &[],
        free: Some(&free),
        fault: None,
        max_states: DEFAULT_MAX_STATES,
    };
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
