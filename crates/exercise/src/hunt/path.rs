//! The coach's own way to a hidden fault, for the one beside the learner's.

use crate::project::Project;
use crate::scenario::{Scenario, Tool};
use sealin_core::instruments::Shown;
use sealin_core::{Bench, BenchAct, Fault, Measurement, Plan};
use sealin_proof::suspects::{Answers, Path, Rehearsal, Way};

/// The coach on a job of fault finding: everything that can be suspected rehearsed once, by the usual operation and with the readings that
/// the job allows.
#[derive(Debug)]
pub struct Coach {
    plan: Plan,
    rehearsal: Rehearsal,
}

/// A machine at fault, as the coach may work and ask it.
struct Machine(Bench);

impl Answers for Machine {
    fn act(&mut self, act: &BenchAct) {
        // What the machine refuses is left.
        let _ = self.0.act(act.clone());
    }

    fn run_until(&mut self, tick: u64) {
        self.0.run_until(tick, &mut |_, _, _| {});
    }

    fn measure(&mut self, what: &Measurement) -> Shown {
        self.0.take_reading(what).map_or(Shown::Refused, |(measured, _)| measured.shown)
    }

    fn seen(&mut self, signal: &str) -> bool {
        self.0.signal(signal).unwrap_or(false)
    }
}

impl Coach {
    /// Begins to rehearse a job.
    ///
    /// # Errors
    /// That it is no job of fault finding, or why there is no bench.
    pub fn new(scenario: &Scenario) -> Result<Coach, String> {
        let finding = scenario.fault_finding.as_ref().ok_or("this is no job of fault finding")?;
        let plan = Project::given(scenario).plan(scenario);
        let mut faults = Fault::catalogue(&plan.parts, &plan.conductors);
        if let Some(program) = &plan.program {
            faults.extend(plan.parts.iter().flat_map(|part| Fault::of_program(part, program)));
        }
        // One that comes and goes is not told apart by readings at one time.
        faults.retain(|fault| !fault.is_intermittent());
        let allowed = |what: &Measurement| Tool::of_reading(what).is_none_or(|tool| finding.allows(tool));
        let way = Way::usual(&plan, allowed);
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
        self.rehearsal.path(&mut Machine(bench))
    }
}
