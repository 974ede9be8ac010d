//! What a scenario asks to be proven: each of its requirements, and that nothing comes to harm.

use crate::scenario::{Formula, Proof, Scenario};
use sealin_core::{Fault, Plan};
use sealin_proof::explore::{DEFAULT_MAX_STATES, Question};
use sealin_proof::expr::Verdict;

/// Id of the task that every scenario has: nothing comes to harm.
pub const HARM: &str = "harm";

const HARM_TEXT: &str =
    "Nothing is short-circuited or destroyed, and no coil is held with its armature blocked.";

/// One thing to be proven.
#[derive(Clone, Debug)]
pub struct Task {
    /// Id of the requirement, [`HARM`], or a word for what a person asks.
    pub id: String,
    /// Which part of the requirement, from 1; 0 where it has one only.
    pub part: usize,
    /// What it says.
    pub text: String,
    /// What must hold; empty: only that nothing is damaged.
    pub required: Vec<Verdict>,
    /// What may be taken for granted of what moves.
    pub assumed: Vec<Verdict>,
    /// What moves by itself; empty: whatever can.
    pub free: Vec<String>,
    /// With which faults, one at a time; empty: without a fault.
    pub faults: Vec<Fault>,
    /// Most states.
    pub max_states: u64,
}

impl Task {
    /// `never QX0.0; never QX0.1`.
    pub fn formulas(&self) -> String {
        self.required.iter().map(Verdict::to_string).collect::<Vec<_>>().join("; ")
    }

    /// Whether it is what an id or a name means.
    pub fn is(&self, name: &str) -> bool {
        self.id == name || self.name() == name
    }

    /// The name of the task, or of its part: `R2`, or `R2-1` and `R2-2`.
    pub fn name(&self) -> String {
        if self.part == 0 { self.id.clone() } else { format!("{}-{}", self.id, self.part) }
    }

    /// What is explored one after the other: each of its faults, which may never strike; without one where it has none.
    pub fn cases(&self) -> Vec<Option<Fault>> {
        if self.faults.is_empty() { vec![None] } else { self.faults.iter().cloned().map(Some).collect() }
    }

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
/// What is left free and the limit of states are those of `[requirement.proof]` and `[harm]`; where they give no limit, `max_states`
/// holds, or the usual one.
pub fn tasks(scenario: &Scenario, max_states: Option<u64>) -> Vec<Task> {
    let most = max_states.unwrap_or(DEFAULT_MAX_STATES);
    let verdicts = |all: &[Formula]| all.iter().map(|formula| formula.verdict.clone()).collect();
    let task = |id: &str, part: usize, text: &str, formulas: &[Formula], proof: &Proof| Task {
        id: id.to_string(),
        part,
        text: text.to_string(),
        required: verdicts(formulas),
        assumed: verdicts(&proof.assume),
        free: proof.free.clone(),
        faults: proof.faults.clone(),
        max_states: if proof.max_states == 0 { most } else { proof.max_states },
    };
    let mut tasks = Vec::new();
    for requirement in &scenario.requirements {
        let parts = together(&requirement.formulas);
        let several = parts.len() > 1;
        tasks.extend(parts.iter().enumerate().map(|(part, formulas)| {
            let number = if several { part + 1 } else { 0 };
            task(&requirement.id, number, &requirement.text, formulas, &requirement.proof)
        }));
    }
    tasks.push(task(HARM, 0, HARM_TEXT, &[], &scenario.harm));
    tasks
}

/// Formulas that are explored together: those without a time bound, and each other by itself, as ages multiply states.
fn together(formulas: &[Formula]) -> Vec<Vec<Formula>> {
    let (timed, untimed): (Vec<Formula>, Vec<Formula>) =
        formulas.iter().cloned().partition(|formula| formula.verdict.of.is_timed());
    let first = (!untimed.is_empty()).then_some(untimed);
    first.into_iter().chain(timed.into_iter().map(|formula| vec![formula])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shipped;

    /// The scenario says what moves in the proof of harm and how far it goes; where it says nothing, whatever can, to the usual limit.
    #[test]
    fn harm_is_explored_as_the_scenario_says() {
        let text = shipped::get("paddle-closed-loop").unwrap();
        let read = |text: &str| Scenario::parse(text).unwrap();
        let harm = |s: &Scenario| tasks(s, Some(7)).into_iter().find(|task| task.is(HARM)).unwrap();
        let plain = read(text);
        assert_eq!((harm(&plain).free.len(), harm(&plain).max_states), (0, 7));
        let said = read(&format!("{text}\n[harm]\nfree = [\"SF1\", \"FC1\"]\nmax_states = 5000\n"));
        let task = harm(&said);
        assert_eq!((task.free, task.max_states), (vec!["SF1".to_string(), "FC1".to_string()], 5000));
        assert!(task.required.is_empty() && task.faults.is_empty());
        assert_ne!(said.content_hash(), plain.content_hash());
    }
}
