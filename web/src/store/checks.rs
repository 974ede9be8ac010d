//! The checks: whether they are running, and the marks with the evidence behind each.

use super::model::Project;
use serde::{Deserialize, Serialize};
use std::rc::Rc;

/// Marks with the evidence behind each.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Marks {
    /// One line a requirement, in order.
    pub lines: Vec<MarkLine>,
    /// Marks earned.
    pub earned: u32,
    /// Marks possible.
    pub of: u32,
    /// Enough marks, and every must kept.
    pub passed: bool,
    /// Why nothing could be tried.
    pub errors: Vec<String>,
}

/// Marks of one requirement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MarkLine {
    /// Id of the requirement.
    pub id: String,
    /// What it says.
    pub text: String,
    /// Marks earned.
    pub earned: u32,
    /// Marks possible.
    pub of: u32,
    /// Without it there is no pass.
    pub must: bool,
    /// Its trials.
    pub trials: Vec<TrialResult>,
}

/// How one trial ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TrialResult {
    /// What it tried.
    pub name: String,
    /// Whether it was kept.
    pub kept: bool,
    /// Where it broke.
    pub failure: Option<Failure>,
}

/// Where and how a trial broke.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Failure {
    /// Line of the script.
    pub line: u32,
    /// The step, as it was written.
    pub step: String,
    /// What was expected.
    pub expected: String,
    /// What was seen.
    pub seen: String,
    /// When, ms from the start of the trial.
    pub tick: u64,
}

impl MarkLine {
    /// All marks of the line are earned.
    pub fn kept(&self) -> bool {
        self.earned == self.of
    }
}

/// Marks, and the work that they are for.
#[derive(Clone, Debug, PartialEq)]
pub struct Marked {
    /// The marks.
    pub marks: Marks,
    /// The work that was marked.
    pub project: Project,
}

/// Where the checks stand.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Checks {
    /// Number of the run; answers to an earlier one are dropped.
    pub job: u32,
    /// Trials done and trials in all, while the checks run.
    pub running: Option<(u32, u32)>,
    /// The last marks.
    pub marked: Option<Rc<Marked>>,
}

/// What happens to the checks.
#[derive(Clone, Debug)]
pub enum CheckEvent {
    /// A run begins.
    Started,
    /// A run has come so far.
    Progress {
        /// Number of the run.
        job: u32,
        /// Trials done.
        done: u32,
        /// Trials in all.
        of: u32,
    },
    /// A run has ended with marks.
    Done {
        /// Number of the run.
        job: u32,
        /// What was marked, and its marks.
        marked: Rc<Marked>,
    },
    /// The run is over without marks: stopped, or for an earlier design.
    Dropped,
}

impl Checks {
    /// The checks after an event.
    pub fn reduce(&self, event: CheckEvent) -> Checks {
        let mut next = self.clone();
        match event {
            CheckEvent::Started => {
                next.job += 1;
                next.running = Some((0, 0));
            }
            CheckEvent::Progress { job, done, of } if job == self.job && self.running.is_some() => {
                next.running = Some((done, of));
            }
            CheckEvent::Done { job, marked } if job == self.job && self.running.is_some() => {
                next.running = None;
                next.marked = Some(marked);
            }
            CheckEvent::Dropped => {
                next.job += 1;
                next.running = None;
            }
            CheckEvent::Progress { .. } | CheckEvent::Done { .. } => {}
        }
        next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_to_an_earlier_run_are_dropped() {
        let running = Checks::default().reduce(CheckEvent::Started);
        let first = running.job;
        let again = running.reduce(CheckEvent::Dropped).reduce(CheckEvent::Started);
        let late = again.reduce(CheckEvent::Progress { job: first, done: 9, of: 10 });
        assert_eq!(late.running, Some((0, 0)));
        let fresh = again.reduce(CheckEvent::Progress { job: again.job, done: 1, of: 10 });
        assert_eq!(fresh.running, Some((1, 10)));
    }

    #[test]
    fn nothing_arrives_once_a_run_is_over() {
        let over = Checks::default().reduce(CheckEvent::Started).reduce(CheckEvent::Dropped);
        let late = over.reduce(CheckEvent::Progress { job: over.job, done: 1, of: 2 });
        assert_eq!(late, over);
    }
}
