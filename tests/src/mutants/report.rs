//! What became of all mutants, counted by job.

use super::listed::Listed;
use super::run::{Found, Outcome};
use std::fmt::Write as _;

/// Of the mutants that are not equivalent at least so many in a hundred must lose marks.
pub const LEAST_KILLED_PER_CENT: usize = 95;

/// Mutants of a job, or of all, by what became of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Without those that were refused.
    pub mutants: usize,
    /// Not readable; not counted in `mutants`.
    pub refused: usize,
    /// Lose marks by the trials or for craft.
    pub killed: usize,
    /// Keep all trials, and lose marks where proofs decide.
    pub by_proof: usize,
    /// The reference in other words.
    pub equivalent: usize,
    /// Survived, and the brief allows it.
    pub allowed: usize,
    /// Survived, and cannot be observed in the declared environment.
    pub unobservable: usize,
    /// Survived and not listed, though it is known how it shows.
    pub unlisted: usize,
    /// Survived and not listed, and not known to be equivalent.
    pub undecided: usize,
}

impl Counts {
    /// Of one job.
    pub fn of(found: &Found) -> Counts {
        let mut counts = Counts::default();
        for (_, outcome) in &found.outcomes {
            let count = match outcome {
                Outcome::Refused => &mut counts.refused,
                Outcome::Killed => &mut counts.killed,
                Outcome::KilledByProof => &mut counts.by_proof,
                Outcome::Equivalent => &mut counts.equivalent,
                Outcome::Survived { listed: Some(Listed::Allowed(_)), .. } => &mut counts.allowed,
                Outcome::Survived { listed: Some(Listed::Unobservable(_)), .. } => &mut counts.unobservable,
                Outcome::Survived { listed: None, how: Ok(_) } => &mut counts.unlisted,
                Outcome::Survived { listed: None, how: Err(_) } => &mut counts.undecided,
            };
            *count += 1;
        }
        counts.mutants = found.outcomes.len() - counts.refused;
        counts
    }

    /// Of several together.
    pub fn sum(all: &[Counts]) -> Counts {
        let sum = |of: fn(&Counts) -> usize| all.iter().map(of).sum();
        Counts {
            mutants: sum(|c| c.mutants),
            refused: sum(|c| c.refused),
            killed: sum(|c| c.killed),
            by_proof: sum(|c| c.by_proof),
            equivalent: sum(|c| c.equivalent),
            allowed: sum(|c| c.allowed),
            unobservable: sum(|c| c.unobservable),
            unlisted: sum(|c| c.unlisted),
            undecided: sum(|c| c.undecided),
        }
    }

    /// All that keep their marks without being equivalent.
    pub fn survived(&self) -> usize {
        self.allowed + self.unobservable + self.unlisted + self.undecided
    }

    /// Of those that are not equivalent, how many in a hundred lose marks: without a proof, and with it. Of none all do.
    pub fn killed_per_cent(&self) -> [f64; 2] {
        let of = self.mutants - self.equivalent;
        [self.killed, self.killed + self.by_proof]
            .map(|lose| if of == 0 { 100.0 } else { 100.0 * lose as f64 / of as f64 })
    }

    /// Whether enough lose marks, by a trial, for craft or by a proof, and whatever keeps them is listed.
    pub fn are_good(&self) -> bool {
        let lose = self.killed + self.by_proof;
        self.unlisted + self.undecided == 0
            && lose * 100 >= (self.mutants - self.equivalent) * LEAST_KILLED_PER_CENT
    }

    fn columns(&self) -> [(&'static str, usize); 10] {
        [
            ("mutants", self.mutants),
            ("refused", self.refused),
            ("killed", self.killed),
            ("by_proof", self.by_proof),
            ("equivalent", self.equivalent),
            ("survived", self.survived()),
            ("allowed", self.allowed),
            ("unobservable", self.unobservable),
            ("unlisted", self.unlisted),
            ("undecided", self.undecided),
        ]
    }
}

/// A table with a line a job and one of all; then what is not in order.
pub fn table(all: &[Found]) -> String {
    let counts: Vec<Counts> = all.iter().map(Counts::of).collect();
    let mut told = format!("{:22}", "job");
    for (name, _) in Counts::default().columns() {
        let _ = write!(told, " {name:>12}");
    }
    let _ = writeln!(told, " {:>12} {:>12}", "killed %", "with proof %");
    let together = ("all", Counts::sum(&counts));
    for (id, counts) in all.iter().map(|found| found.id.as_str()).zip(counts).chain([together]) {
        let _ = write!(told, "{id:22}");
        for (_, count) in counts.columns() {
            let _ = write!(told, " {count:12}");
        }
        let [killed, with_proof] = counts.killed_per_cent();
        let _ = writeln!(told, " {killed:12.1} {with_proof:12.1}");
    }
    for found in all {
        for (name, outcome) in &found.outcomes {
            if let Outcome::Survived { how, listed: None } = outcome {
                let how =
                    how.as_ref().map_or_else(|why| format!("not decided: {why}"), |_| "differs".to_string());
                let _ = writeln!(told, "unlisted: {}: {name}: {how}", found.id);
            }
        }
        found.wrong.iter().for_each(|wrong| told.push_str(&format!("list: {wrong}\n")));
    }
    told
}

/// The same as a line of JSON a job, and one of all.
pub fn json(all: &[Found]) -> String {
    let counts: Vec<Counts> = all.iter().map(Counts::of).collect();
    let together = ("all", Counts::sum(&counts));
    let mut told = String::new();
    for (id, counts) in all.iter().map(|found| found.id.as_str()).zip(counts).chain([together]) {
        let _ = write!(told, "{{\"job\":\"{id}\"");
        for (name, count) in counts.columns() {
            let _ = write!(told, ",\"{name}\":{count}");
        }
        let [killed, with_proof] = counts.killed_per_cent();
        let _ = writeln!(
            told,
            ",\"killed_per_cent\":{killed:.2},\"killed_per_cent_with_proof\":{with_proof:.2}}}"
        );
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(killed: usize, allowed: usize, undecided: usize) -> Counts {
        // Twenty that are the reference in other words, which count for nothing.
        let mutants = killed + allowed + undecided + 20;
        Counts { mutants, killed, equivalent: 20, allowed, undecided, ..Counts::default() }
    }

    #[test]
    fn ninety_five_of_a_hundred_and_each_survivor_listed() {
        assert!(counts(95, 5, 0).are_good());
        assert!(!counts(94, 6, 0).are_good());
        assert!(!counts(99, 0, 1).are_good());
        assert_eq!(counts(95, 5, 0).killed_per_cent(), [95.0, 95.0]);
        let by_proof = Counts { by_proof: 5, allowed: 0, ..counts(95, 5, 0) };
        assert_eq!(by_proof.killed_per_cent(), [95.0, 100.0]);
        assert_eq!(Counts::sum(&[counts(95, 5, 0), counts(99, 0, 1)]).survived(), 6);
    }
}
