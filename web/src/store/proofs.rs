//! The proofs: how far the exploration is, and what was found out of each requirement.

use super::model::Project;
use crate::diagram::Track;
use sealin_exercise::proofs::ProofVerdict;
use serde::{Deserialize, Serialize};
use std::rc::Rc;

/// How far the exploration of one requirement is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProofProgress {
    /// Name of the task.
    pub id: String,
    /// The fault that may strike.
    pub fault: Option<String>,
    /// States found.
    pub states: u64,
    /// Scans from the start.
    pub scans: u32,
}

/// What was found out of one requirement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProofLine {
    /// Name of the task.
    pub id: String,
    /// What was found out.
    pub finding: ProofVerdict,
    /// Why it is not provable, or what the whole bench does otherwise.
    pub why: Option<String>,
    /// The fault with which it came to that, if it was no proof.
    pub fault: Option<String>,
    /// Faults that were to be looked into, one at a time; none: without a fault.
    pub faults: Vec<String>,
    /// States explored.
    pub states: u64,
    /// Scans that the exploration went deep.
    pub scans: u32,
    /// What moved.
    pub free: Vec<String>,
    /// Voltages that were met inside a tolerance band, each with its part.
    pub marginal: Vec<String>,
    /// The shortest way in which it breaks.
    pub way: Option<Way>,
}

/// A way in which a requirement breaks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Way {
    /// The acts, a line each, with the waits between them.
    pub steps: Vec<String>,
    /// What the environment does, a line each.
    pub records: Vec<String>,
    /// When it breaks, ms from the start.
    pub tick: u64,
    /// What the bench showed on the way.
    pub tracks: Vec<Track>,
}

/// Where the proofs stand.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Proofs {
    /// Number of the run; answers to an earlier one are dropped.
    pub job: u32,
    /// An exploration runs.
    pub running: bool,
    /// How far the requirement is that is being explored.
    pub progress: Option<ProofProgress>,
    /// What was found out, in order.
    pub lines: Vec<Rc<ProofLine>>,
    /// The work that it was found out of.
    pub project: Option<Rc<Project>>,
}

/// What happens to the proofs.
#[derive(Clone, Debug)]
pub enum ProofEvent {
    /// A run begins, on this work.
    Started(Box<Project>),
    /// It has come so far.
    Progress(ProofProgress),
    /// One requirement is done.
    Done(Box<ProofLine>),
    /// The run is over: all done, or stopped.
    Ended,
}

impl Proofs {
    /// The proofs after an event.
    pub fn reduce(&self, event: ProofEvent) -> Proofs {
        match event {
            ProofEvent::Started(project) => Proofs {
                job: self.job + 1,
                running: true,
                project: Some(Rc::from(project)),
                ..Proofs::default()
            },
            ProofEvent::Progress(progress) if self.running => {
                Proofs { progress: Some(progress), ..self.clone() }
            }
            ProofEvent::Done(line) if self.running => {
                let mut next = Proofs { progress: None, ..self.clone() };
                next.lines.push(Rc::from(line));
                next
            }
            ProofEvent::Progress(_) | ProofEvent::Done(_) => self.clone(),
            ProofEvent::Ended => Proofs { job: self.job + 1, running: false, progress: None, ..self.clone() },
        }
    }

    /// What was found out of a requirement of this work; nothing once the work has been changed.
    pub fn line(&self, id: &str, project: &Project) -> Option<&Rc<ProofLine>> {
        self.project.as_ref().filter(|proven| proven.same_work(project))?;
        self.lines.iter().find(|line| line.id == id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::fixture;

    fn line(id: &str) -> Box<ProofLine> {
        Box::new(ProofLine {
            id: id.to_string(),
            finding: ProofVerdict::Proven,
            why: None,
            fault: None,
            faults: Vec::new(),
            states: 1,
            scans: 1,
            free: Vec::new(),
            marginal: Vec::new(),
            way: None,
        })
    }

    #[test]
    fn what_is_done_stays_when_the_run_is_stopped() {
        let project = fixture::workshop().project().clone();
        let stopped = Proofs::default()
            .reduce(ProofEvent::Started(Box::new(project.clone())))
            .reduce(ProofEvent::Done(line("R1")))
            .reduce(ProofEvent::Ended);
        assert!(!stopped.running);
        assert!(stopped.line("R1", &project).is_some());
        assert!(stopped.line("R2", &project).is_none());
        let late = stopped.reduce(ProofEvent::Done(line("R2")));
        assert!(late.line("R2", &project).is_none());
    }

    #[test]
    fn nothing_is_said_of_work_that_has_changed() {
        let project = fixture::workshop().project().clone();
        let done = Proofs::default()
            .reduce(ProofEvent::Started(Box::new(project.clone())))
            .reduce(ProofEvent::Done(line("R1")));
        let changed = Project { source: "PROGRAM other END_PROGRAM".to_string(), ..project };
        assert!(done.line("R1", &changed).is_none());
    }
}
