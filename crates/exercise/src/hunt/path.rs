//! The coach's own way to a hidden fault, for the one beside the learner's.

use crate::project::Project;
use crate::scenario::Scenario;
use sealin_core::{Bench, Fault, Plan};
use sealin_proof::suspects::{Path, Rehearsal, Way};

/// The coach on a job of fault finding: everything that can be suspected rehearsed once, by the usual operation and with the readings that
/// the job allows.
#[derive(Debug)]
pub struct Coach {
    plan: Plan,
    rehearsal: Rehearsal,
}

impl Coach {
    /// Begins to rehearse a job.
    ///
    /// # Errors
    /// That it is no job of fault finding, or why there is no bench.
    pub fn new(scenario: &Scenario) -> Result<Coach, String> {
        let finding = scenario.fault_finding.as_ref().ok_or("this is no job of fault finding")?;
        let plan = Project::given(scenario).plan(scenario);
        let mut faults = Fault::of_plan(&plan);
        // One that comes and goes is not told apart by readings at one time.
        faults.retain(|fault| !fault.is_intermittent());
        let way = Way::usual(&plan, |what| finding.allows_reading(what));
        let rehearsal = Rehearsal::new(&plan, &faults, way).map_err(|e| e.to_string())?;
        Ok(Coach { plan, rehearsal })
    }

    /// Does so many pieces of work at most: how many benches are behind, of how many. It is through when none is.
    ///
    /// # Errors
    /// Why a bench cannot be built.
    pub fn advance(&mut self, pieces: usize) -> Result<(usize, usize), String> {
        let progress = self.rehearsal.advance(pieces)?;
        Ok((progress.behind, progress.benches))
    }

    /// The way to this fault.
    ///
    /// # Errors
    /// Why there is no bench with it.
    ///
    /// # Panics
    /// If the coach is not through.
    pub fn path(&self, fault: &Fault) -> Result<Path, String> {
        let mut bench = Bench::new(self.plan.clone()).map_err(|e| e.to_string())?;
        bench.hide([fault.clone()].into()).map_err(|e| e.to_string())?;
        self.rehearsal.path(&mut bench)
    }
}
