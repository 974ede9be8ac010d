//! Whether a mutant is the reference in other words: whatever the job's controls, supplies and overloads do, it shows the same.

mod bisimulation;
mod inputs;
mod merged;
mod nodes;

use super::job::Job;
use super::{Half, Mutant};
use sealin_core::{Design, Plan};
use sealin_exercise::project::Project;
use sealin_proof::explore::{Answer, Question, default_free, explore};
use sealin_proof::expr::{Verdict, parse_requirement};

/// What was found out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Same {
    /// It always shows the same.
    Yes,
    /// It can show something else, and how soon.
    No(String),
    /// Not known, and why.
    Unknown(String),
}

/// Bounds of what is looked into.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// Scans of both programs on free inputs.
    pub scans: u64,
    /// States of an exploration.
    pub states: u64,
}

/// Holds a mutant against the reference.
///
/// Of programs: first with all inputs free, then, as inputs are not, on the bench. Of wirings: first by what their conductors join, then
/// by the steps that the benches take beside the reference's program.
pub fn same(job: &Job, mutant: &Mutant, bounds: Bounds) -> Same {
    let plan = |work: &Project| work.plan_of_sheet(&job.scenario).expect("it was marked, so it reads");
    let (reference, other) = (plan(&job.reference), plan(&mutant.work));
    match mutant.of {
        Half::Program => programs(&reference, &other, bounds),
        Half::Wiring if nodes::same(&reference, &other) => Same::Yes,
        Half::Wiring => bisimulation::same(&reference, &other, bounds.states),
    }
}

fn programs(reference: &Plan, other: &Plan, bounds: Bounds) -> Same {
    let (Some(one), Some(two)) = (&reference.program, &other.program) else {
        return Same::Unknown("there is no program".to_string());
    };
    let both = merged::merged(one, two);
    if inputs::never_differs(&both, scan_ms(reference), bounds.scans) == Some(true) {
        return Same::Yes;
    }
    let plan = Plan { program: Some(both), ..reference.clone() };
    let free = match Design::build(&plan) {
        Ok(design) => default_free(&design),
        Err(why) => return Same::Unknown(why.to_string()),
    };
    let required: [Verdict; 1] =
        [parse_requirement(&format!("never {}", merged::DIFFERS)).expect("a formula of one name reads")];
    let question = Question { max_states: bounds.states, ..Question::new(&plan, &required, &free) };
    match explore(&question, &mut |_| true).answer {
        Answer::Proven | Answer::NeverExercised => Same::Yes,
        Answer::Broken(path) => Same::No(path.to_string()),
        Answer::Undecided => Same::Unknown(format!("more than {} states", bounds.states)),
        Answer::NotProvable(why) => Same::Unknown(why),
        Answer::NotComputed => unreachable!("nobody stops it"),
    }
}

fn scan_ms(plan: &Plan) -> u32 {
    let scan = plan.parts.iter().find_map(|part| match &part.kind {
        sealin_core::part::Kind::Controller(controller) => Some(u32::from(controller.scan_ms)),
        _ => None,
    });
    scan.expect("a program has a controller")
}
