//! Single edits of the references of what ships, and what the marks make of them: a wrong design must lose marks.
//!
//! Deterministic: all edits there are, one after the other by place, or so many of them, spread evenly. A mutant that keeps all marks is
//! held against the reference ([`same`]); what is not the same stands in `tests/cases/mutants/ID.toml` with the reason ([`listed`]).

pub mod crew;
pub mod job;
pub mod listed;
pub mod program;
pub mod proven;
pub mod report;
pub mod run;
mod rung;
pub mod same;
pub mod wires;

use crate::mutate::Dice;
use job::Job;
use sealin_core::canon::Hash;
use sealin_core::part::Kind;
use sealin_exercise::attempt::Change;
use sealin_exercise::project::Project;
use sealin_ladder::{Address, Area};
use std::collections::BTreeSet;

/// A reference with one edit.
#[derive(Clone, Debug)]
pub struct Mutant {
    /// What was done, and where: `rung 4, contact 2 SF1_in: opposite`, `L3: missing`. No two of a job have the same.
    pub name: String,
    /// What was edited.
    pub of: Half,
    /// The work as edited.
    pub work: Project,
}

/// What is edited of a work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    /// The program.
    Program,
    /// Conductors or dials.
    Wiring,
}

/// All single edits of a job's reference.
#[derive(Clone, Debug)]
pub struct Mutants {
    /// Each design once, none of them that of the reference.
    pub all: Vec<Mutant>,
    /// Names of those whose program cannot be read.
    pub refused: Vec<String>,
}

impl Mutants {
    /// Of this job.
    pub fn of(job: &Job) -> Mutants {
        let mut met: BTreeSet<Hash> = BTreeSet::from([job.reference.design_hash(&job.scenario)]);
        let mut mutants = Mutants { all: Vec::new(), refused: Vec::new() };
        for mutant in edited_programs(job).into_iter().chain(edited_wirings(job)) {
            if mutant.of == Half::Program && sealin_ladder::parse(&mutant.work.source).is_err() {
                mutants.refused.push(mutant.name);
            } else if met.insert(mutant.work.design_hash(&job.scenario)) {
                mutants.all.push(mutant);
            }
        }
        mutants
    }

    /// So many of them at most, in their order: one of each stretch, if there are more, by lot.
    pub fn sample(&self, most: usize, seed: u64) -> Vec<&Mutant> {
        let all = self.all.len();
        if all <= most {
            return self.all.iter().collect();
        }
        let mut dice = Dice::new(seed);
        let start = |k: usize| k * all / most;
        (0..most)
            .map(|k| {
                let stretch = (start(k + 1) - start(k)) as u64;
                &self.all[start(k) + (dice.number() % stretch) as usize]
            })
            .collect()
    }
}

fn edited_programs(job: &Job) -> Vec<Mutant> {
    let Some(reference) = &job.program else { return Vec::new() };
    let edits = program::edits(reference, &channels(job));
    let work = |edited| Project { source: sealin_ladder::print(&edited), ..job.reference.clone() };
    edits.into_iter().map(|(name, edited)| Mutant { name, of: Half::Program, work: work(edited) }).collect()
}

/// Those of the edits that fit: a conductor does not end twice at one terminal.
fn edited_wirings(job: &Job) -> Vec<Mutant> {
    let work = |changes: &[Change]| {
        let mut work = job.reference.clone();
        changes.iter().try_for_each(|change| work.apply(&job.scenario, change)).ok().map(|()| work)
    };
    let edits = wires::edits(&job.scenario, &job.reference);
    let fitting = |(name, changes): (String, Vec<Change>)| {
        work(&changes).map(|work| Mutant { name, of: Half::Wiring, work })
    };
    edits.into_iter().filter_map(fitting).collect()
}

/// The addresses of the controller's channels.
fn channels(job: &Job) -> Vec<Address> {
    let mut all = Vec::new();
    for part in &job.scenario.parts {
        let Kind::Controller(controller) = &part.kind else { continue };
        let inputs = controller.inputs.iter().map(|group| group.channels.len()).sum::<usize>();
        let outputs = controller.outputs.iter().map(|group| group.channels.len()).sum::<usize>();
        for (area, count) in [(Area::Input, inputs), (Area::Output, outputs)] {
            all.extend((0..count as u8).map(|n| Address { area, byte: n / 8, bit: n % 8 }));
        }
    }
    all
}

#[cfg(test)]
mod tests;
