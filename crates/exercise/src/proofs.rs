//! What the proofs of a work came to, requirement by requirement, and what follows from it for the marks.

use crate::project::Project;
use crate::proving::{HARM, Task, tasks};
use crate::scenario::Scenario;
use sealin_core::canon::Hash;
use sealin_proof::explore::{Answer, Explorer, Progress, Replay};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// What a proof came to; of several parts of a requirement the last of this order counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum ProofVerdict {
    /// Every state was explored, and nothing breaks.
    Proven,
    /// A formula or a device is outside of what can be explored.
    NotProvable,
    /// The limit of states was reached, or that of what is tried in one quantum.
    Undecided,
    /// It breaks, but not on the whole bench.
    NotReproduced,
    /// Stopped.
    NotComputed,
    /// Nothing breaks, but what the requirement speaks of never came to be.
    NeverExercised,
    /// It breaks, on the whole bench too.
    Broken,
}

/// Who decides about the marks of a requirement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decision {
    /// The proof: they are earned.
    Earned,
    /// The proof: they are lost.
    Lost,
    /// The scenario's scripts.
    Scripts,
    /// Nobody yet: they are neither earned nor lost.
    Open,
}

impl ProofVerdict {
    /// What an answer means, with what the whole bench made of a counterexample.
    pub fn of(answer: &Answer, replay: Option<&Replay>) -> ProofVerdict {
        match (answer, replay) {
            (Answer::Proven, _) => ProofVerdict::Proven,
            (Answer::NeverExercised, _) => ProofVerdict::NeverExercised,
            (Answer::Broken(_), Some(Replay::NotReproduced(_))) => ProofVerdict::NotReproduced,
            (Answer::Broken(_), _) => ProofVerdict::Broken,
            (Answer::Undecided, _) => ProofVerdict::Undecided,
            (Answer::NotProvable(_), _) => ProofVerdict::NotProvable,
            (Answer::NotComputed, _) => ProofVerdict::NotComputed,
        }
    }

    /// Who decides about the marks.
    pub fn decides(self) -> Decision {
        match self {
            ProofVerdict::Proven => Decision::Earned,
            ProofVerdict::NeverExercised | ProofVerdict::Broken => Decision::Lost,
            ProofVerdict::NotReproduced | ProofVerdict::Undecided | ProofVerdict::NotProvable => {
                Decision::Scripts
            }
            ProofVerdict::NotComputed => Decision::Open,
        }
    }

    /// In words, as wherever a verdict is told.
    pub fn words(self) -> &'static str {
        match self {
            ProofVerdict::Proven => "proven",
            ProofVerdict::NeverExercised => "proven, never exercised",
            ProofVerdict::Broken => "broken",
            ProofVerdict::NotReproduced => "not reproduced",
            ProofVerdict::Undecided => "undecided",
            ProofVerdict::NotProvable => "not provable",
            ProofVerdict::NotComputed => "not computed here",
        }
    }
}

impl fmt::Display for ProofVerdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// Outcomes of the proofs of one work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proofs {
    /// [`Project::design_hash`] of the work that they are of.
    work: Hash,
    /// By id of the requirement.
    outcomes: BTreeMap<String, ProofVerdict>,
}

impl Proofs {
    /// Of a work of which these are known, by id of the requirement.
    pub fn new(work: Hash, outcomes: impl IntoIterator<Item = (String, ProofVerdict)>) -> Proofs {
        Proofs { work, outcomes: outcomes.into_iter().collect() }
    }

    /// Whether they are of exactly this work.
    pub fn are_of(&self, scenario: &Scenario, project: &Project) -> bool {
        self.work == project.design_hash(scenario)
    }

    /// What the proof of a requirement came to; none if it has no formulas.
    pub fn of(&self, id: &str) -> Option<ProofVerdict> {
        self.outcomes.get(id).copied()
    }
}

/// Proves every requirement with formulas of a work. `progress` is told which and how far, and says whether to go on; what is not
/// explored then is not computed. Where a requirement gives no limit of states, `max_states` holds, or the usual one.
///
/// # Errors
/// Why the program of the sheet cannot be read.
pub fn prove(
    scenario: &Scenario,
    project: &Project,
    max_states: Option<u64>,
    progress: &mut dyn FnMut(&Task, Progress) -> bool,
) -> Result<Proofs, String> {
    let plan = project.plan_of_sheet(scenario).map_err(|problems| {
        problems.first().map_or_else(String::new, |problem| format!("the program cannot be read: {problem}"))
    })?;
    let (mut outcomes, mut goes_on) = (BTreeMap::new(), true);
    for task in tasks(scenario, max_states).iter().filter(|task| task.id != HARM) {
        let known: &mut ProofVerdict = outcomes.entry(task.id.clone()).or_insert(ProofVerdict::Proven);
        let mut explorer = Explorer::new(&task.question(&plan, None));
        // Without a fault it is seen whether the requirement was ever put to the test.
        for fault in std::iter::once(None).chain(task.faults.iter().map(Some)) {
            if known.decides() == Decision::Lost {
                break;
            }
            let (report, replay) = explorer.ask(fault, &mut |now| {
                goes_on = goes_on && progress(task, now);
                goes_on
            });
            *known = (*known).max(ProofVerdict::of(&report.answer, replay.as_ref()));
        }
    }
    Ok(Proofs::new(project.design_hash(scenario), outcomes))
}
