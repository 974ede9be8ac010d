//! The work on the benches that are followed, piece by piece.

use super::Suspects;
use super::outcome::Outcome;
use super::told::Followed;
use super::tried::{SOUND, Tried};
use sealin_core::{Bench, BuildError};
use std::rc::Rc;

/// How far the benches are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Benches that are followed.
    pub benches: usize,
    /// Those of them that are not yet as far as what was told, or not yet looked at: 0 when all is known.
    pub behind: usize,
}

impl Suspects {
    /// Does so many pieces of work at most: a bench built, worked on by some seconds, or looked at.
    ///
    /// # Errors
    /// Why a bench cannot be built.
    pub fn advance(&mut self, pieces: usize) -> Result<Progress, BuildError> {
        for _ in 0..pieces {
            if !self.piece()? {
                break;
            }
        }
        Ok(self.progress())
    }

    /// Works until everything is known.
    ///
    /// # Errors
    /// Why a bench cannot be built.
    pub fn catch_up(&mut self) -> Result<(), BuildError> {
        while self.piece()? {}
        Ok(())
    }

    /// How far the benches are.
    pub fn progress(&self) -> Progress {
        let is_behind = |&number: &usize| match &self.followed[number].bench {
            Some(bench) => self.followed[number].done < self.log.len() || !self.is_looked_at(number, bench),
            None => true,
        };
        let behind =
            self.wanted.get(self.next..).map_or(0, |all| all.iter().copied().filter(is_behind).count());
        let judging = usize::from(self.judged < self.found.len());
        Progress { benches: self.wanted.len(), behind: behind.max(judging) }
    }

    /// Whether everything that was found is judged, so that the suspects that are left are known. The benches may still be behind.
    pub fn is_judged(&self) -> bool {
        self.built == self.followed.len() && self.judged == self.found.len()
    }

    /// Finds out which benches are needed still, and lets the others go.
    pub(super) fn want(&mut self) {
        let mut wanted = vec![false; self.followed.len()];
        wanted[SOUND] = true;
        for number in self.tried.iter().flat_map(Tried::needed) {
            wanted[self.stands[number]] = true;
        }
        self.wanted.clear();
        for (number, wanted) in wanted.into_iter().enumerate() {
            if wanted {
                self.wanted.push(number);
            } else {
                self.followed[number].bench = None;
                self.look.forget(number);
            }
        }
        self.next = 0;
    }

    /// Does a piece of work. Returns whether there was any.
    pub(super) fn piece(&mut self) -> Result<bool, BuildError> {
        if self.built < self.followed.len() {
            self.built += 1;
            self.build(self.built - 1)?;
            return Ok(true);
        }
        let until = self.ends.get(self.judged).copied().unwrap_or(self.log.len());
        while let Some(&number) = self.wanted.get(self.next) {
            match &self.followed[number].bench {
                // The sound one comes first: with it the others are compared.
                Some(_) if self.followed[number].done < until => {
                    self.work(number, until)?;
                    return Ok(true);
                }
                Some(bench) if self.judged == self.found.len() && !self.is_looked_at(number, bench) => {
                    self.look.take(number, bench, &self.followed[number].turned);
                    return Ok(true);
                }
                _ => self.next += 1,
            }
        }
        let judging = self.judged < self.found.len();
        if judging {
            self.judge();
        }
        Ok(judging)
    }

    /// Whether what is known of what a bench shows holds.
    fn is_looked_at(&self, number: usize, bench: &Bench) -> bool {
        self.look.holds(number, bench, &self.followed[number].turned)
    }

    /// Works a bench on by a piece.
    fn work(&mut self, number: usize, until: usize) -> Result<(), BuildError> {
        let Suspects { followed, sound, look, log, .. } = self;
        let known = |reading: usize, bench: &Bench| look.shown(number, reading, bench);
        let mut after = |entry: usize, trace: u64| {
            if number == SOUND {
                sound.push(trace);
            }
            sound[entry] != trace
        };
        let design = |of: &Followed| of.bench.as_ref().map(|bench| Rc::as_ptr(&bench.design));
        let before = design(&followed[number]);
        followed[number].work(log, until, &known, &mut after)?;
        if design(&followed[number]) != before {
            look.forget(number);
        }
        Ok(())
    }

    fn build(&mut self, number: usize) -> Result<(), BuildError> {
        let design = self.followed[number].build()?;
        if let Some(same) = &mut self.same {
            let bucket = same.entry(design.bucket()).or_default();
            let of = |&other: &usize| {
                self.followed[other].bench.as_ref().is_some_and(|b| design.does_as(&b.design))
            };
            // One that has gone on already is no longer at rest.
            let other = bucket.iter().copied().filter(|&other| self.followed[other].done == 0).find(of);
            if let Some(other) = other {
                self.stands[number] = other;
                self.wanted.retain(|&wanted| wanted != number);
                return Ok(());
            }
            bucket.push(number);
        }
        self.followed[number].begin(design);
        Ok(())
    }

    /// Holds the next finding against what the benches showed.
    fn judge(&mut self) {
        let number = self.judged;
        let shown = Outcome::of(&self.found[number]);
        let noted = |bench: usize| {
            let followed = &self.followed[self.stands[bench]];
            let noted = followed.noted.iter().find(|noted| noted.finding == number);
            noted.map(|noted| noted.showed.clone())
        };
        for tried in &mut self.tried {
            tried.judge(number, &shown, &noted);
        }
        self.followed.iter_mut().for_each(|followed| followed.noted.retain(|noted| noted.finding != number));
        self.judged += 1;
        self.want();
    }
}
