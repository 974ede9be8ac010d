//! What is to be proven, as the commands are told it.

use sealin_core::{Fault, Plan};
use sealin_exercise::scenario::Scenario;
use sealin_proof::explore::{DEFAULT_MAX_STATES, Question};
use sealin_proof::expr::{Verdict, parse_requirement};

/// Options that say what is to be proven.
#[derive(clap::Args)]
pub struct Wanted {
    /// Only this requirement of the scenario; may be given several times.
    #[arg(long, value_name = "ID")]
    requirement: Vec<String>,
    /// A formula to be proven in place of the scenario's: `never (QA1.closed and QA2.closed)`.
    #[arg(long, value_name = "FORMULA", conflicts_with = "requirement")]
    formula: Vec<String>,
    /// With --formula: what is taken for granted of what moves.
    #[arg(long, value_name = "FORMULA", requires = "formula")]
    assume: Vec<String>,
    /// With --formula: what moves by itself, as SF1, FC1 (trip and reset), FC1.stop, FC4 (open and close), power. Without it
    /// every button, every overload and the supply.
    #[arg(long, value_name = "NAME", requires = "formula", value_delimiter = ',')]
    free: Vec<String>,
    /// Most states that are explored.
    #[arg(long, value_name = "N", default_value_t = DEFAULT_MAX_STATES)]
    max_states: u64,
}

/// One thing to be proven.
pub struct Task {
    /// The requirement's id, `harm`, or `formula`.
    pub id: String,
    /// What it says.
    pub text: String,
    required: Vec<Verdict>,
    assumed: Vec<Verdict>,
    free: Vec<String>,
    /// Most states.
    pub max_states: u64,
}

impl Wanted {
    /// What is to be proven: the scenario's requirements that have formulas, and that nothing is damaged; or what is asked.
    pub fn tasks(&self, scenario: &Scenario) -> Result<Vec<Task>, String> {
        if !self.formula.is_empty() {
            let read = |all: &[String]| -> Result<Vec<Verdict>, String> {
                all.iter().map(|f| parse_requirement(f).map_err(|e| format!("`{f}`: {e}"))).collect()
            };
            return Ok(vec![Task {
                id: "formula".to_string(),
                text: self.formula.join("; "),
                required: read(&self.formula)?,
                assumed: read(&self.assume)?,
                free: self.free.clone(),
                max_states: self.max_states,
            }]);
        }
        let mut tasks = vec![Task {
            id: "harm".to_string(),
            text: "Nothing is short-circuited or destroyed, and no coil is held with its armature blocked."
                .to_string(),
            required: Vec::new(),
            assumed: Vec::new(),
            free: Vec::new(),
            max_states: self.max_states,
        }];
        let verdicts =
            |all: &[sealin_exercise::scenario::Formula]| all.iter().map(|f| f.verdict.clone()).collect();
        tasks.extend(scenario.requirements.iter().filter(|q| !q.formulas.is_empty()).map(|q| Task {
            id: q.id.clone(),
            text: q.text.clone(),
            required: verdicts(&q.formulas),
            assumed: verdicts(&q.proof.assume),
            free: q.proof.free.clone(),
            max_states: if q.proof.max_states == 0 { self.max_states } else { q.proof.max_states },
        }));
        if let Some(id) = self.requirement.iter().find(|id| tasks.iter().all(|task| task.id != **id)) {
            let ids: Vec<&str> = tasks.iter().map(|task| task.id.as_str()).collect();
            return Err(format!("`{id}` has no formula to be proven; there is: {}", ids.join(", ")));
        }
        tasks.retain(|task| self.requirement.is_empty() || self.requirement.contains(&task.id));
        Ok(tasks)
    }
}

impl Task {
    /// The question of this task on a bench, with a fault that may strike.
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
