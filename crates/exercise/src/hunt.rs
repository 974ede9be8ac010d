//! The search for a fault: what is hidden in the machine at a moment, what was diagnosed and put right, and what was seen since.
//!
//! What is hidden is known to the fold and to the marks alone. Nothing public tells it before the work is handed in.

mod evidence;
mod heard;
mod narrowed;
mod path;

use crate::scenario::{How, Scenario};
pub use evidence::Said;
pub(crate) use evidence::readings;
pub use heard::Heard;
pub use narrowed::{Narrowed, Read};
pub use path::Coach;
use sealin_core::{Bench, Conductor, Fault, Repair};
use sealin_proof::Formula;
use sealin_proof::suspects::Suspect;
use std::collections::{BTreeSet, VecDeque};

/// Bench time that writing a diagnosis down costs, ticks (typical).
pub const DIAGNOSIS_TICKS: u64 = 30_000;

/// Most readings that are given as evidence.
pub const MOST_EVIDENCE: usize = 20;

/// Most diagnoses and repairs of an attempt, each: what comes after them is refused.
const MOST: usize = 200;

/// What is taken to be wrong, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnosis {
    /// The fault. Its value and whether it comes and goes do not count.
    pub fault: Fault,
    /// Numbers of the entries whose readings speak for it.
    pub evidence: Vec<u32>,
}

/// What is wrong with the machine that no drawing says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hidden {
    there: BTreeSet<Fault>,
    to_come: VecDeque<Fault>,
}

impl Hidden {
    /// What is hidden at the start of a job.
    pub(crate) fn of(scenario: &Scenario) -> Hidden {
        let mut all: VecDeque<Fault> = scenario.hidden().into();
        let at_once = match scenario.fault_finding.as_ref().map(|finding| finding.how) {
            Some(How::InTurn) => 1.min(all.len()),
            _ => all.len(),
        };
        let there = all.drain(..at_once).collect();
        Hidden { there, to_come: all }
    }

    /// What is in the machine now.
    pub(crate) fn there(&self) -> &BTreeSet<Fault> {
        &self.there
    }

    /// Puts right what a repair puts right, and gives it.
    fn put_right(&mut self, repair: &Repair, drawn: &[Conductor]) -> Vec<Fault> {
        let cured: Vec<Fault> = self.there.iter().filter(|f| repair.cures(f, drawn)).cloned().collect();
        self.there.retain(|fault| !cured.contains(fault));
        if self.there.is_empty() {
            self.there.extend(self.to_come.pop_front());
        }
        cured
    }
}

/// How far the search has come.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hunt {
    /// Diagnoses in order, each with its tick.
    pub diagnoses: Vec<(u64, Diagnosis)>,
    /// Repairs in order, each with its tick.
    pub repairs: Vec<(u64, Repair)>,
    /// Tick at which the work was handed in.
    pub handed_in: Option<u64>,
    /// For each condition of the job: the tick at which it was seen first after the last repair, for as long as the job asks.
    pub shown: Vec<Option<u64>>,
    /// For each: for how many ticks it must be so, and since when it is.
    watched: Vec<(u64, Option<u64>)>,
    /// What was put right, in order.
    cured: Vec<Fault>,
    /// What was still wrong when the work was handed in.
    left: Vec<Fault>,
}

impl Hunt {
    /// At the start of a job.
    pub(crate) fn of(scenario: &Scenario) -> Hunt {
        let conditions = scenario.fault_finding.iter().flat_map(|finding| &finding.shown);
        let watched: Vec<_> = conditions.map(|shown| (u64::from(shown.for_ms), None)).collect();
        Hunt { shown: vec![None; watched.len()], watched, ..Hunt::default() }
    }

    /// Whether a job of fault finding is still going on: then nobody is told what is wrong.
    pub fn goes_on(&self, scenario: &Scenario) -> bool {
        scenario.fault_finding.is_some() && self.handed_in.is_none()
    }

    /// What was wrong: told when the work was handed in, before that nothing.
    pub fn was_wrong(&self) -> impl Iterator<Item = (&Fault, bool)> {
        let told = self.handed_in.is_some();
        let cured = self.cured.iter().map(|fault| (fault, true));
        cured.chain(self.left.iter().map(|fault| (fault, false))).filter(move |_| told)
    }

    /// The last diagnosis of each of what was wrong, where one names its part: with whether it names the fault too. Of the diagnoses
    /// the last so many count as things were wrong.
    pub(crate) fn judged(&self) -> Vec<(&Fault, Option<(&Diagnosis, bool)>)> {
        let wrong: Vec<&Fault> = self.was_wrong().map(|(fault, _)| fault).collect();
        let counted = &self.diagnoses[self.diagnoses.len().saturating_sub(wrong.len())..];
        let named = |fault: &Fault| {
            let of_part = counted.iter().map(|(_, d)| d).filter(|d| same_subject(&d.fault, fault));
            of_part.map(|d| (d, Suspect::of(&d.fault) == Suspect::of(fault))).max_by_key(|(_, right)| *right)
        };
        wrong.into_iter().map(|fault| (fault, named(fault))).collect()
    }

    pub(crate) fn diagnose(&mut self, tick: u64, diagnosis: &Diagnosis) -> Result<(), String> {
        if self.diagnoses.len() >= MOST {
            return Err(format!("at most {MOST} diagnoses are written down"));
        }
        if diagnosis.evidence.len() > MOST_EVIDENCE {
            return Err(format!("at most {MOST_EVIDENCE} readings are given as evidence"));
        }
        self.diagnoses.push((tick, diagnosis.clone()));
        Ok(())
    }

    /// A repair is done. What was seen before it shows nothing any more.
    pub(crate) fn repair(
        &mut self,
        tick: u64,
        repair: &Repair,
        drawn: &[Conductor],
        hidden: &mut Hidden,
    ) -> Result<(), String> {
        if self.repairs.len() >= MOST {
            return Err(format!("at most {MOST} repairs are done"));
        }
        self.repairs.push((tick, repair.clone()));
        self.cured.extend(hidden.put_right(repair, drawn));
        self.shown.fill(None);
        self.watched.iter_mut().for_each(|(_, since)| *since = None);
        Ok(())
    }

    /// The work is handed in: what is left is hidden no more.
    pub(crate) fn hand_in(&mut self, tick: u64, hidden: Hidden) {
        self.handed_in = Some(tick);
        self.left = hidden.there.into_iter().chain(hidden.to_come).collect();
    }

    /// Looks at the machine after a tick in which something changed. `conditions` are those of the job.
    pub(crate) fn look(&mut self, bench: &Bench, tick: u64, conditions: &[Formula]) {
        self.settle(tick);
        for ((_, since), condition) in self.watched.iter_mut().zip(conditions) {
            let is_so = condition.step(&mut condition.memory(), tick, &|n| bench.state.signal(n));
            *since = is_so.then(|| since.unwrap_or(tick));
        }
        self.settle(tick);
    }

    /// Nothing has changed since the last look: what has been so for long enough by this tick is seen. What comes after the work was
    /// handed in does not count.
    pub(crate) fn settle(&mut self, tick: u64) {
        if self.handed_in.is_some() {
            return;
        }
        for (seen, (ticks, since)) in self.shown.iter_mut().zip(&self.watched) {
            let at = since.map(|since| since + ticks).filter(|at| *at <= tick);
            *seen = seen.or(at);
        }
    }
}

/// A conductor may be named by a terminal, too; a hidden one is named by its id.
fn same_subject(a: &Fault, b: &Fault) -> bool {
    a.subject == b.subject && a.mode.is_of_conductor() == b.mode.is_of_conductor()
}
