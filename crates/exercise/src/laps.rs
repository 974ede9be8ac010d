//! A stretch of an attempt that is run again and again from the same start: what the benchmark of the bench measures,
//! natively and in the page. Nothing is measured here.

use crate::attempt::{Act, Attempt};
use crate::fold::Fold;
use crate::scenario::Scenario;
use sealin_core::{Bench, BenchAct};
use std::rc::Rc;

/// The stretch: its start, and what is done in it.
#[derive(Clone, Debug)]
pub struct Laps {
    start: Bench,
    acts: Vec<(u64, BenchAct)>,
    end: u64,
}

/// What a lap comes to: the same on every target, whether quiet ticks are computed or passed over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lap {
    /// Ticks from start to end.
    pub ticks: u64,
    /// Changes of signals.
    pub changes: u64,
}

impl Laps {
    /// Follows a log up to tick `from`; the acts on the bench after it are the lap.
    ///
    /// # Errors
    /// If the log cannot be followed, goes back, or changes the design after `from`.
    pub fn new(scenario: &Rc<Scenario>, attempt: &Attempt, from: u64) -> Result<Laps, String> {
        let mut fold = Fold::new(scenario.dealt(attempt.head.seed)).map_err(|e| e.to_string())?;
        let (mut acts, mut end) = (Vec::new(), from);
        for entry in &attempt.entries {
            if entry.at < from {
                fold.take(entry)?;
                continue;
            }
            end = end.max(entry.at);
            match &entry.act {
                Act::Bench(act) => acts.push((entry.at, act.clone())),
                Act::Run { to } => end = end.max(*to),
                other => return Err(format!("a lap has acts on the bench only, not {other:?}")),
            }
        }
        fold.run_to(from);
        Ok(Laps { start: fold.bench, acts, end })
    }

    /// One lap. `every_tick`: quiet ticks are computed, too.
    pub fn run(&self, every_tick: bool) -> Lap {
        let mut bench = self.start.clone();
        bench.set_skip(!every_tick);
        let (from, mut changes) = (bench.tick(), 0);
        for (at, act) in &self.acts {
            bench.run_until(*at, &mut |_, _, events| changes += events.changed.len() as u64);
            // It fitted when the attempt was made.
            let _ = bench.act(act.clone());
        }
        bench.run_until(self.end, &mut |_, _, events| changes += events.changed.len() as u64);
        Lap { ticks: bench.tick() - from, changes }
    }
}
