//! What is to be proven, as the commands are told it.

use sealin_exercise::proving::{self, Task};
use sealin_exercise::scenario::Scenario;
use sealin_proof::explore::DEFAULT_MAX_STATES;
use sealin_proof::expr::{Verdict, parse_requirement};

/// Options that say what is to be proven.
#[derive(clap::Args)]
pub struct Wanted {
    /// Only this requirement of the scenario, or this part of it, as R2-1; may be given several times.
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

impl Wanted {
    /// What is to be proven: what the scenario asks to be, or what is asked here.
    pub fn tasks(&self, scenario: &Scenario) -> Result<Vec<Task>, String> {
        if !self.formula.is_empty() {
            let read = |all: &[String]| -> Result<Vec<Verdict>, String> {
                all.iter().map(|f| parse_requirement(f).map_err(|e| format!("`{f}`: {e}"))).collect()
            };
            return Ok(vec![Task {
                id: "formula".to_string(),
                part: 0,
                text: self.formula.join("; "),
                required: read(&self.formula)?,
                assumed: read(&self.assume)?,
                free: self.free.clone(),
                faults: Vec::new(),
                max_states: self.max_states,
            }]);
        }
        let mut tasks = proving::tasks(scenario, Some(self.max_states));
        if let Some(id) = self.requirement.iter().find(|id| tasks.iter().all(|task| !task.is(id))) {
            let ids: Vec<String> = tasks.iter().map(Task::name).collect();
            return Err(format!("`{id}` has no formula to be proven; there is: {}", ids.join(", ")));
        }
        tasks.retain(|task| self.requirement.is_empty() || self.requirement.iter().any(|id| task.is(id)));
        Ok(tasks)
    }
}
