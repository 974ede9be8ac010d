//! What a scenario asks to be proven: each of its requirements that has formulas, and that nothing comes to harm.

use crate::scenario::{Formula, Scenario};
use sealin_core::{Fault, Plan};
use sealin_proof::explore::{DEFAULT_MAX_STATES, Question};
use sealin_proof::expr::Verdict;

/// Id of the task that every scenario has: nothing comes to harm.
pub const HARM: &str = "harm";

/// One thing to be proven.
#[derive(Clone, Debug)]
pub struct Task {
    /// Id of the requirement, or [`HARM`].
    pub id: String,
    /// What it says.
    pub text: String,
    /// What must hold; empty: only that nothing is damaged.
    pub required: Vec<Verdict>,
    /// What may be taken for granted of what moves.
    pub assumed: Vec<Verdict>,
    /// What moves by itself; empty: whatever can.
    pub free: Vec<String>,
    /// Most states.
    pub max_states: u64,
}

impl Task {
    /// The question on a bench with its program, with a fault that may strike or none.
    pub fn question<'q>(&'q self, plan: &'q Plan, fault: Option<&'q Fault>) -> Question<'q> {
        Question {
            plan,
            required: &self.required,
            assumed: &self.assumed,
            free: (!self.free.is_empty()).then_some(&self.free[..]),
            fault,
            max_states: self.max_states,
        }
    }
}

/// What is to be proven of a scenario: its requirements in their order, then that nothing comes to harm, which has the most states.
/// Where a requirement gives no limit of states, `max_states` holds, or the usual one.
pub fn tasks(scenario: &Scenario, max_states: Option<u64>) -> Vec<Task> {
    let most = max_states.unwrap_or(DEFAULT_MAX_STATES);
    let verdicts = |all: &[Formula]| all.iter().map(|formula| formula.verdict.clone()).collect();
    let harm = Task {
        id: HARM.to_string(),
        text: "Nothing is short-circuited or destroyed, and no coil is held with its armature blocked."
            .to_string(),
        required: Vec::new(),
        assumed: Vec::new(),
        free: Vec::new(),
        max_states: most,
    };
    let asked = scenario.requirements.iter().filter(|requirement| !requirement.formulas.is_empty());
    let asked = asked.map(|requirement| Task {
        id: requirement.id.clone(),
        text: requirement.text.clone(),
        required: verdicts(&requirement.formulas),
        assumed: verdicts(&requirement.proof.assume),
        free: requirement.proof.free.clone(),
        max_states: if requirement.proof.max_states == 0 { most } else { requirement.proof.max_states },
    });
    asked.chain([harm]).collect()
}
