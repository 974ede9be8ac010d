//! A job's mutants marked, and those that keep all marks held against the reference.

use super::job::{Job, Marked};
use super::listed::{self, Listed};
use super::same::{Bounds, Same, same};
use super::{Mutant, Mutants, crew, proven};
use std::collections::BTreeMap;

/// What became of a mutant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// No program or bench can be made of it; it does not count as a mutant.
    Refused,
    /// Loses marks.
    Killed,
    /// Keeps all trials, and loses marks where proofs decide.
    KilledByProof,
    /// The reference in other words.
    Equivalent,
    /// Keeps all marks, and is not the reference or not known to be.
    Survived {
        /// How it shows; or, if it is not known whether it can, why not.
        how: Result<String, String>,
        /// Why it may, if that is written down.
        listed: Option<Listed>,
    },
}

/// A job and what became of its mutants.
pub struct Found {
    /// Id of the job.
    pub id: String,
    /// Each mutant that was looked at by its name.
    pub outcomes: Vec<(String, Outcome)>,
    /// What is wrong with the list of survivors.
    pub wrong: Vec<String>,
}

/// What is done.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// Most mutants of a job.
    pub most: usize,
    /// Which, if there are more.
    pub seed: u64,
    /// How far survivors are looked into.
    pub bounds: Bounds,
}

/// Marks a job's mutants. `tell` is told how far it is.
///
/// # Errors
/// Why the job or its list cannot be read, or that its reference breaks a trial.
pub fn run(id: &str, options: &Options, tell: &(dyn Fn(&str) + Sync)) -> Result<Found, String> {
    let job = Job::open(id)?;
    if job.marked(&job.reference) != Marked::Keeps {
        return Err(format!("the reference of `{id}` does not earn all marks of its requirements"));
    }
    let mutants = Mutants::of(&job);
    let listed = listed::read(id)?;
    let chosen = mutants.sample(options.most, options.seed);
    let refused = mutants.refused.len();
    tell(&format!("{id}: {} of {} mutants, {refused} refused", chosen.len(), mutants.all.len()));
    let marked = crew::each(
        &chosen,
        |mutant| job.marked(&mutant.work),
        |done| {
            if done % 100 == 0 {
                tell(&format!("{id}: {done} marked"));
            }
        },
    );
    let keeps: Vec<&Mutant> =
        chosen.iter().zip(&marked).filter(|(_, m)| **m == Marked::Keeps).map(|(m, _)| *m).collect();
    tell(&format!("{id}: {} keep all marks", keeps.len()));
    let kept = crew::each(
        &keeps,
        |mutant| {
            let found = survivor(&job, mutant, options.bounds, &listed);
            tell(&format!("{id}: {}: {found:?}", mutant.name));
            found
        },
        |_| (),
    );
    let mut kept = kept.into_iter();
    let mut outcomes: Vec<(String, Outcome)> = chosen
        .iter()
        .zip(marked)
        .map(|(mutant, marked)| {
            let outcome = match marked {
                Marked::Refused(_) => Outcome::Refused,
                Marked::Loses => Outcome::Killed,
                Marked::Keeps => kept.next().expect("one for each that keeps its marks"),
            };
            (mutant.name.clone(), outcome)
        })
        .collect();
    outcomes.extend(mutants.refused.iter().map(|name| (name.clone(), Outcome::Refused)));
    let mut wrong = listed::check(&job, &mutants, &listed);
    let loses = |outcome: &Outcome| matches!(outcome, Outcome::Killed | Outcome::KilledByProof);
    let needless = outcomes.iter().filter(|(name, outcome)| loses(outcome) && listed.contains_key(name));
    wrong.extend(needless.map(|(name, _)| format!("{id}: `{name}` loses marks")));
    Ok(Found { id: id.to_string(), outcomes, wrong })
}

fn survivor(job: &Job, mutant: &Mutant, bounds: Bounds, listed: &BTreeMap<String, Listed>) -> Outcome {
    let listed = listed.get(&mutant.name).cloned();
    let how = match same(job, mutant, bounds) {
        Same::Yes => return Outcome::Equivalent,
        Same::No(how) => Ok(how),
        Same::Unknown(why) => Err(why),
    };
    if proven::loses(job, &mutant.work, bounds.states) {
        Outcome::KilledByProof
    } else {
        Outcome::Survived { how, listed }
    }
}
