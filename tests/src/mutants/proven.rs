//! Marks that a proof takes away where the trials of a requirement are kept.

use super::job::Job;
use sealin_exercise::project::Project;
use sealin_exercise::proofs::{Decision, ProofVerdict};
use sealin_exercise::proving::{HARM, Task, tasks};
use sealin_proof::explore::Explorer;

/// Whether the proof of some requirement of this work, of up to so many states and without a fault, takes its marks.
pub fn loses(job: &Job, work: &Project, max_states: u64) -> bool {
    let plan = work.plan_of_sheet(&job.scenario).expect("it was marked, so it reads");
    tasks(&job.scenario, None).into_iter().filter(|task| task.id != HARM).any(|task| {
        let task = Task { max_states, ..task };
        let (report, replay) = Explorer::new(&task.question(&plan, None)).ask(None, &mut |_| true);
        ProofVerdict::of(&report.answer, replay.as_ref()).decides() == Decision::Lost
    })
}
