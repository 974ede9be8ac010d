//! How far the search of an attempt has narrowed down what can be wrong, by the time of the first repair: what the marks go by.

use super::Heard;
use super::evidence::proves_dead;
use crate::attempt::{Act, Attempt, Entry};
use crate::scenario::Scenario;
use sealin_core::{Fault, Measurement};
use sealin_proof::suspects::{Finding, Suspects, Told};
use std::rc::Rc;

/// Bench time up to which a search is followed, ms (own choice): two hours, far beyond any that comes to its end. Some thousand benches
/// are worked beside it.
const MOST_SEARCH_MS: u64 = 2 * 3_600_000;

/// So long after an act the machine is looked at, ms (own choice): most that an act does is done by then.
const SOON_MS: u64 = 2_000;

/// Pieces of work between two words of progress.
const PIECES: usize = 200;

/// What a reading has ruled out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Read {
    /// With what, and where.
    pub what: Measurement,
    /// Number of its entry.
    pub entry: u32,
    /// Bench time, ms.
    pub tick: u64,
    /// Faults that stay and no longer explain what was found, of all kinds and places.
    pub out: usize,
    /// Those that do.
    pub left: usize,
}

/// What a search has come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Narrowed {
    /// Every reading up to the first repair, or to the handing in where there is none; those that prove dead only where they ruled something
    /// out.
    pub readings: Vec<Read>,
    /// Faults that stay and still explain everything that was read and seen until then, of all kinds and places.
    pub left: usize,
    /// How many whole suspects they are: each counts as it is likely.
    pub likely: f64,
}

impl Narrowed {
    /// Of an attempt on a job dealt out for its seed. `progress` is told how many benches are through, of how many.
    ///
    /// # Errors
    /// Why the log cannot be followed, or a bench cannot be built, or that the search went on for too long.
    pub fn of(
        scenario: &Rc<Scenario>,
        attempt: &Attempt,
        progress: &mut dyn FnMut(usize, usize),
    ) -> Result<Narrowed, String> {
        let ends = |act: &Act| matches!(act, Act::Repair(_) | Act::HandIn);
        let entries: Vec<&Entry> = attempt.entries.iter().take_while(|entry| !ends(&entry.act)).collect();
        if entries.last().is_some_and(|entry| entry.at > MOST_SEARCH_MS) {
            let hours = MOST_SEARCH_MS / 3_600_000;
            return Err(format!(
                "the search went on for more than {hours} hours; what it came to was not worked out"
            ));
        }
        let mut heard = Heard::new(scenario).map_err(|e| e.to_string())?;
        let (plan, mut faults) = heard.suspected();
        // One that comes and goes is not told apart by readings at one time.
        faults.retain(|fault: &Fault| !fault.is_intermittent());
        let mut suspects = Suspects::new(&plan, &faults).map_err(|e| e.to_string())?;
        // Of each reading the entry, in the order of what is found.
        let mut read = Vec::new();
        for (number, entry) in (0..).zip(&entries) {
            for told in heard.take(entry)? {
                if matches!(told, Told::Found(Finding::Reading(..))) {
                    read.push((number, entry.at));
                }
                suspects.tell(told)?;
            }
            // What an act does is soon to be seen, and what is ruled out by it need not be worked on until the next.
            let next = entries.get(number as usize + 1).map_or(entry.at, |next| next.at);
            for told in heard.run_to(next.min(entry.at + SOON_MS)) {
                suspects.tell(told)?;
            }
        }
        // Of one who has read nothing it does not matter what eyes leave.
        while !read.is_empty() {
            let now = suspects.advance(PIECES).map_err(|e| e.to_string())?;
            if suspects.is_judged() {
                break;
            }
            progress(now.benches.saturating_sub(now.behind), now.benches);
        }
        let left = suspects.left_by_weight();
        let (left, likely) = (left.len(), left.iter().map(|(_, weight)| weight).sum());
        let mut read = read.into_iter();
        let mut readings = Vec::new();
        for (finding, out, left) in suspects.narrowing() {
            if let Finding::Reading(what, _) = finding
                && let Some((entry, tick)) = read.next()
                && (out > 0 || !proves_dead(what))
            {
                readings.push(Read { what: what.clone(), entry, tick, out, left });
            }
        }
        Ok(Narrowed { readings, left, likely })
    }
}
