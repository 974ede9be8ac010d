//! What is to be proven, as the commands are told it.

use sealin_core::{Fault, Plan};
use sealin_exercise::scenario::{Formula, Scenario};
use sealin_proof::explore::{DEFAULT_MAX_STATES, Question};
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

/// One thing to be proven.
pub struct Task {
    /// The requirement's id, `harm`, or `formula`.
    pub id: String,
    /// Which part of the requirement, from 1; 0 where it has one only.
    pub part: usize,
    /// What it says.
    pub text: String,
    /// What must hold.
    pub required: Vec<Verdict>,
    assumed: Vec<Verdict>,
    free: Vec<String>,
    /// With which faults, where the command line says nothing.
    pub faults: Vec<Fault>,
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
                part: 0,
                text: self.formula.join("; "),
                required: read(&self.formula)?,
                assumed: read(&self.assume)?,
                free: self.free.clone(),
                faults: Vec::new(),
                max_states: self.max_states,
            }]);
        }
        let mut tasks = vec![Task {
            id: "harm".to_string(),
            part: 0,
            text: "Nothing is short-circuited or destroyed, and no coil is held with its armature blocked."
                .to_string(),
            required: Vec::new(),
            assumed: Vec::new(),
            free: Vec::new(),
            faults: Vec::new(),
            max_states: self.max_states,
        }];
        let verdicts = |all: &[Formula]| all.iter().map(|f| f.verdict.clone()).collect();
        for q in &scenario.requirements {
            let parts = together(&q.formulas);
            let several = parts.len() > 1;
            tasks.extend(parts.into_iter().enumerate().map(|(part, formulas)| Task {
                id: q.id.clone(),
                part: if several { part + 1 } else { 0 },
                text: q.text.clone(),
                required: verdicts(&formulas),
                assumed: verdicts(&q.proof.assume),
                free: q.proof.free.clone(),
                faults: q.proof.faults.clone(),
                max_states: if q.proof.max_states == 0 { self.max_states } else { q.proof.max_states },
            }));
        }
        if let Some(id) = self.requirement.iter().find(|id| tasks.iter().all(|task| !task.is(id))) {
            let ids: Vec<String> = tasks.iter().map(Task::name).collect();
            return Err(format!("`{id}` has no formula to be proven; there is: {}", ids.join(", ")));
        }
        tasks.retain(|task| self.requirement.is_empty() || self.requirement.iter().any(|id| task.is(id)));
        Ok(tasks)
    }
}

/// Formulas that are explored together: those without a time bound, and each other by itself, as ages multiply states.
fn together(formulas: &[Formula]) -> Vec<Vec<Formula>> {
    let (timed, untimed): (Vec<Formula>, Vec<Formula>) =
        formulas.iter().cloned().partition(|f| f.verdict.of.is_timed());
    let first = (!untimed.is_empty()).then_some(untimed);
    first.into_iter().chain(timed.into_iter().map(|f| vec![f])).collect()
}

impl Task {
    /// `never QX0.0; never QX0.1`.
    pub fn formulas(&self) -> String {
        self.required.iter().map(Verdict::to_string).collect::<Vec<_>>().join("; ")
    }

    /// Whether it is what an id or a name means.
    fn is(&self, name: &str) -> bool {
        self.id == name || self.name() == name
    }

    /// The name of the task, or of its part: `R2`, or `R2-1` and `R2-2`.
    pub fn name(&self) -> String {
        if self.part == 0 { self.id.clone() } else { format!("{}-{}", self.id, self.part) }
    }

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
