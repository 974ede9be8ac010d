//! Orders of ticks and of wall time that no bench can have brought about.

use crate::attempt::{Act, Attempt, MOST_TICKS};
use std::fmt;

/// Speed of bench time against wall time that no page exceeds: the fastest that can be chosen.
const FASTEST: u64 = 1_000;

/// Wall time for which a log is not called to account between two entries, ms. The clock is read once a frame, and a frame makes
/// up for 100 ms at most; what is stepped by hand takes no wall time.
const SLACK_MS: u64 = 100;

/// An entry that lies before what the bench had computed when it was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Backwards {
    /// Number of the entry.
    pub entry: usize,
    /// Its tick.
    pub at: u64,
    /// Where the bench stood.
    pub now: u64,
}

/// The first entry that lies before the end of the one before it; a seek stands where the line was left, and what follows it where
/// it goes back to.
pub fn backwards(attempt: &Attempt) -> Option<Backwards> {
    let mut now = 0;
    for (entry, e) in attempt.entries.iter().enumerate() {
        if e.at < now {
            return Some(Backwards { entry, at: e.at, now });
        }
        now = after(attempt, entry);
    }
    None
}

/// A bench that ran faster than any page runs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooFast {
    /// Number of the entry up to which it ran.
    pub entry: usize,
    /// How long it ran, ms of bench time.
    pub ran_ms: u64,
    /// How long that took by the wall clock, ms.
    pub wall_ms: u64,
}

impl fmt::Display for TooFast {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let TooFast { entry, ran_ms, wall_ms } = self;
        write!(f, "impossible wall time: {ran_ms} ms of bench time in {wall_ms} ms before entry {entry}")
    }
}

/// The first entry before which the bench ran faster than any page runs it. A log without any wall time was made without a clock.
pub fn too_fast(attempt: &Attempt) -> Option<TooFast> {
    if attempt.entries.iter().all(|e| e.wall_ms.is_none()) {
        return None;
    }
    let mut now = 0;
    attempt.entries.iter().enumerate().find_map(|(entry, e)| {
        let end = if let Act::Run { to } = e.act { to } else { e.at };
        let ran_ms = end.saturating_sub(now);
        now = after(attempt, entry);
        let wall_ms = u64::from(e.wall_ms.unwrap_or(0));
        // A frame of 4 ms is rounded by up to half a millisecond: an eighth.
        let most_ms = (wall_ms + wall_ms / 8 + SLACK_MS) * FASTEST;
        (ran_ms > most_ms).then_some(TooFast { entry, ran_ms, wall_ms })
    })
}

impl fmt::Display for Backwards {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Backwards { entry, at, now } = self;
        write!(f, "impossible order: entry {entry} at tick {at} comes after tick {now} had been computed")
    }
}

/// Where the bench stands after an entry.
fn after(attempt: &Attempt, entry: usize) -> u64 {
    let e = &attempt.entries[entry];
    match &e.act {
        Act::Run { to } => *to,
        Act::Seek { tick, .. } => *tick,
        Act::Measure(what) => e.at.saturating_add(what.ticks()).min(MOST_TICKS),
        _ => e.at,
    }
}
