//! The checks: whether they are running, and the marks with the evidence behind each.

use super::model::Project;
pub use sealin_exercise::beside::{Evidence, Kind as BesideKind, Line as BesideLine, Reason};
pub use sealin_exercise::marking::{Failure, TrialResult};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Marks with the evidence behind each.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Marks {
    /// One line a requirement, in order.
    pub lines: Vec<MarkLine>,
    /// Marks beside the requirements.
    pub beside: Vec<BesideLine>,
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

impl MarkLine {
    /// All marks of the line are earned; where there are none, every trial was kept.
    pub fn kept(&self) -> bool {
        if self.of > 0 { self.earned == self.of } else { self.trials.iter().all(|trial| trial.kept) }
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

/// A requirement that was tried by itself, and the work that it was tried on.
#[derive(Debug, PartialEq)]
pub struct Tried {
    /// How it went.
    pub line: MarkLine,
    /// The work.
    pub project: Rc<Project>,
}

/// How far a run is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Progress {
    /// So many are done.
    pub done: u32,
    /// So many there are; none before that is known.
    pub of: u32,
    /// They are benches of what was suspected, to find out what readings were worth, and no trials.
    pub benches: bool,
}

/// Where the checks stand.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Checks {
    /// Number of the run; answers to an earlier one are dropped.
    pub job: u32,
    /// How far they are, while they run.
    pub running: Option<Progress>,
    /// The last marks.
    pub marked: Option<Rc<Marked>>,
    /// Requirements tried by themselves, by id.
    pub tried: BTreeMap<String, Rc<Tried>>,
    /// The one that is being tried by itself: its id, trials done, trials in all.
    pub trying: Option<(String, usize, usize)>,
    /// Id of the one that was tried last.
    pub last: Option<String>,
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
        /// How far.
        progress: Progress,
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
    /// A trial of one requirement begins: its id, trials done, trials in all.
    Trying(String, usize, usize),
    /// All trials of one requirement are done.
    Tried(Rc<Tried>),
    /// The work was changed while one requirement was tried.
    TryDropped,
}

impl Checks {
    /// The result of a requirement for the work as it is: tried by itself, or with all. None where the work has changed since.
    pub fn result(&self, id: &str, now: &Project) -> Option<&MarkLine> {
        if let Some(tried) = self.tried.get(id).filter(|tried| tried.project.same_work(now)) {
            return Some(&tried.line);
        }
        let marked = self.marked.as_ref().filter(|marked| marked.project.same_work(now))?;
        marked.marks.lines.iter().find(|line| line.id == id)
    }

    /// The checks after an event.
    pub fn reduce(&self, event: CheckEvent) -> Checks {
        let mut next = self.clone();
        match event {
            CheckEvent::Started => {
                next.job += 1;
                next.running = Some(Progress::default());
            }
            CheckEvent::Progress { job, progress } if job == self.job && self.running.is_some() => {
                next.running = Some(progress);
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
            CheckEvent::Trying(id, done, of) => next.trying = Some((id, done, of)),
            CheckEvent::Tried(tried) => {
                next.trying = None;
                next.last = Some(tried.line.id.clone());
                next.tried.insert(tried.line.id.clone(), tried);
            }
            CheckEvent::TryDropped => next.trying = None,
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
        let far = |done, of| Progress { done, of, benches: false };
        let late = again.reduce(CheckEvent::Progress { job: first, progress: far(9, 10) });
        assert_eq!(late.running, Some(Progress::default()));
        let fresh = again.reduce(CheckEvent::Progress { job: again.job, progress: far(1, 10) });
        assert_eq!(fresh.running, Some(far(1, 10)));
    }

    /// A result holds for the work that it was tried on, and for no other.
    #[test]
    fn one_requirement_by_itself_has_its_result_until_the_work_changes() {
        let scenario = crate::store::fixture::workshop().scenario().clone();
        let project = Project { source: "q := a;".into(), ..Project::given(&scenario) };
        let line = MarkLine {
            id: "R3".into(),
            text: String::new(),
            earned: 5,
            of: 5,
            must: false,
            trials: Vec::new(),
        };
        let tried = Rc::new(Tried { line: line.clone(), project: Rc::new(project.clone()) });
        let checks =
            Checks::default().reduce(CheckEvent::Trying("R3".into(), 0, 2)).reduce(CheckEvent::Tried(tried));
        assert_eq!((checks.trying.clone(), checks.last.as_deref()), (None, Some("R3")));
        assert_eq!(checks.result("R3", &project), Some(&line));
        assert_eq!(checks.result("R4", &project), None);
        let changed = Project { source: "q := not a;".into(), ..project };
        assert_eq!(checks.result("R3", &changed), None);
    }

    #[test]
    fn nothing_arrives_once_a_run_is_over() {
        let over = Checks::default().reduce(CheckEvent::Started).reduce(CheckEvent::Dropped);
        let late = over.reduce(CheckEvent::Progress {
            job: over.job,
            progress: Progress { done: 1, of: 2, benches: false },
        });
        assert_eq!(late, over);
    }
}
