//! Unsafe acts, counted over all lines of a log: going back erases nothing.
//!
//! The lines of a log are a tree: each entry follows the one before it, a seek the entry that it goes back to. Each entry is
//! taken once.

use crate::attempt::{Act, Attempt, MOST_TICKS};
use crate::fold::{Fold, FoldError, UnsafeAct, follow};
use crate::scenario::Scenario;
use std::rc::Rc;

/// An unsafe act and where it stands in the log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// Number of the entry.
    pub entry: u32,
    /// Bench time, ms.
    pub tick: u64,
    /// What was done.
    pub act: UnsafeAct,
}

/// Ticks of the lines that were left. The error names the entry with which all lines together last longer than 24 h.
pub fn ticks_left_behind(attempt: &Attempt) -> Result<u64, FoldError> {
    let mut ticks = 0u64;
    for (entry, e) in attempt.entries.iter().enumerate() {
        if let Act::Seek { tick, .. } = &e.act {
            ticks = ticks.saturating_add(e.at.saturating_sub(*tick));
            if ticks > MOST_TICKS {
                let reason = "the lines together last longer than 24 h".to_string();
                return Err(FoldError { entry, reason });
            }
        }
    }
    Ok(ticks)
}

/// What entry number `entry` has added to the unsafe acts of a line of which there were `before`.
pub(crate) fn added(line: &Fold, before: usize, entry: u32) -> impl Iterator<Item = Recorded> {
    let fresh = line.unsafe_acts[before..].iter().cloned();
    fresh.map(move |(tick, act)| Recorded { entry, tick, act })
}

/// The unsafe acts of all lines, in the order of the entries. The error names the entry that cannot be followed.
pub fn of_all_lines(scenario: &Rc<Scenario>, attempt: &Attempt) -> Result<Vec<Recorded>, FoldError> {
    all_lines(scenario, attempt).map(|(_, all)| all)
}

/// Where the last line ends, as [`fold`](crate::fold::fold) gives it, and the unsafe acts of all lines: every entry is taken once.
pub fn all_lines(scenario: &Rc<Scenario>, attempt: &Attempt) -> Result<(Fold, Vec<Recorded>), FoldError> {
    ticks_left_behind(attempt)?;
    let mut next = followers(attempt);
    let mut all = Vec::new();
    let mut last = Fold::new(scenario.dealt(attempt.head.seed))
        .map_err(|e| FoldError { entry: 0, reason: e.to_string() })?;
    if attempt.entries.is_empty() {
        return Ok((last, all));
    }
    // States with the entries that still have to be taken from there: one for each place where lines part.
    let mut open = vec![(last.clone(), vec![0])];
    while let Some((state, mut entries)) = open.pop() {
        let Some(entry) = entries.pop() else { continue };
        let mut here = state;
        if !entries.is_empty() {
            open.push((here.clone(), entries));
        }
        let before = here.unsafe_acts.len();
        follow(&mut here, attempt, entry)?;
        all.extend(added(&here, before, entry as u32));
        if entry + 1 == attempt.entries.len() {
            // Nothing follows the last entry.
            last = here;
        } else {
            open.push((here, std::mem::take(&mut next[entry])));
        }
    }
    all.sort_by_key(|r| (r.entry, r.tick));
    Ok((last, all))
}

/// The entries that follow each entry: the next one, unless it goes back, and those that go back to it.
fn followers(attempt: &Attempt) -> Vec<Vec<usize>> {
    let mut next = vec![Vec::new(); attempt.entries.len()];
    for (k, entry) in attempt.entries.iter().enumerate() {
        let before = match &entry.act {
            // One that does not go back is refused where it is taken, after the entry before it.
            Act::Seek { entry, .. } if (*entry as usize) < k => Some(*entry as usize),
            _ => k.checked_sub(1),
        };
        if let Some(before) = before {
            next[before].push(k);
        }
    }
    next
}
