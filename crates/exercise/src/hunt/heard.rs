//! What is told to the coach of an attempt, entry by entry: acts, what instruments showed, what eyes saw of a machine at rest, repairs.
//!
//! Here the bench at fault is worked, so that readings are what they were; what goes out of here tells of it by these findings only.

use crate::attempt::{Act, Entry};
use crate::fold::Fold;
use crate::scenario::Scenario;
use sealin_core::{BenchAct, BuildError, Fault, Measurement, Plan, Repair, Restart};
use sealin_proof::suspects::{Finding, Told, readings};
use std::rc::Rc;

/// What is to be seen must have stood still for so long, ms (own choice): long for an armature, short for a person who looks.
const AT_REST_MS: u64 = 500;

/// An attempt as it is told on.
#[derive(Clone, Debug)]
pub struct Heard {
    scenario: Rc<Scenario>,
    fold: Fold,
    /// Names of the signals that are in sight.
    in_sight: Vec<String>,
    /// What was seen last, in their order.
    seen: Option<Vec<bool>>,
}

impl Heard {
    /// At the start of an attempt on a job, dealt out for its seed.
    ///
    /// # Errors
    /// Why it has no bench.
    pub fn new(scenario: &Rc<Scenario>) -> Result<Heard, BuildError> {
        let fold = Fold::new(Rc::clone(scenario))?;
        let in_sight = fold.bench.design.in_sight().map(|signal| signal.name.clone()).collect();
        Ok(Heard { scenario: Rc::clone(scenario), fold, in_sight, seen: None })
    }

    /// The machine as it is drawn, and what can be wrong with it.
    pub fn suspected(&self) -> (Plan, Vec<Fault>) {
        let plan = self.fold.bench.plan();
        (plan.clone(), Fault::of_plan(plan))
    }

    /// The readings that this job allows as the machine stands: live ones while it is switched on, ohms else.
    pub fn offered(&self) -> Vec<Measurement> {
        let live = self.fold.bench.state.supplies.iter().any(|on| *on);
        let allowed = |what: &Measurement| {
            self.scenario.fault_finding.as_ref().is_none_or(|finding| finding.allows_reading(what))
        };
        readings(self.fold.bench.plan(), live).into_iter().filter(allowed).collect()
    }

    /// Takes the next entry, and tells what it says.
    ///
    /// # Errors
    /// Why it cannot be followed.
    pub fn take(&mut self, entry: &Entry) -> Result<Vec<Told>, String> {
        let mut told = self.run_to(entry.at);
        let before = self.fold.readings.len();
        self.fold.take(entry)?;
        match &entry.act {
            Act::Bench(act) => told.push(Told::Act(entry.at, act.clone())),
            Act::Measure(what) => {
                let taken = self.fold.readings.get(before);
                told.extend(taken.map(|t| Told::Found(Finding::Reading(what.clone(), t.measured.shown))));
            }
            Act::Repair(repair) => {
                told.push(Told::PutRight(repair.clone()));
                // What the bench does by it beside; one that refuses it did so there, too.
                let beside = match repair {
                    Repair::Swap(tag) => Some(BenchAct::Replace(tag.clone())),
                    Repair::Reload(tag) => Some(BenchAct::Restart(tag.clone(), Restart::Cold)),
                    _ => None,
                };
                told.extend(beside.map(|act| Told::Act(entry.at, act)));
            }
            _ => {}
        }
        if self.fold.bench.tick() > entry.at {
            told.extend(self.stands());
        }
        Ok(told)
    }

    /// Runs on to a tick, and tells what is to be seen there of a machine that has come to rest.
    pub fn run_to(&mut self, tick: u64) -> Vec<Told> {
        if tick <= self.fold.bench.tick() {
            return Vec::new();
        }
        self.fold.run_to(tick);
        self.stands()
    }

    /// The bench has run up to where it is now; what is to be seen there, if it is at rest.
    fn stands(&mut self) -> Vec<Told> {
        let tick = self.fold.bench.tick();
        let mut told = vec![Told::Run(tick)];
        if self.is_at_rest(tick) {
            let bench = &self.fold.bench;
            let now: Vec<bool> =
                self.in_sight.iter().map(|name| bench.signal(name).unwrap_or(false)).collect();
            if self.seen.as_ref() != Some(&now) {
                let found = self.in_sight.iter().zip(&now);
                told.extend(found.map(|(name, on)| Told::Found(Finding::Seen(name.clone(), *on))));
                self.seen = Some(now);
            }
        }
        told
    }

    /// Nothing that is in sight has changed for [`AT_REST_MS`].
    fn is_at_rest(&self, tick: u64) -> bool {
        let trace = &self.fold.trace;
        let since = tick.saturating_sub(AT_REST_MS);
        let mut late = trace.changes().iter().rev().take_while(|change| change.tick >= since);
        tick >= AT_REST_MS
            && !late.any(|change| self.in_sight.iter().any(|name| trace.number(name) == Some(change.name)))
    }
}
