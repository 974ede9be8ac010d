//! The trace: every change of a signal with its tick, as a list for the eye and as running hashes for comparison.

use crate::bench::Bench;
use crate::canon::{Hash, Writer};
use crate::step::Events;
use std::collections::{BTreeMap, VecDeque};

/// Changes that are kept for the timing diagram; the oldest go first. The hashes know all.
pub const MOST_CHANGES: usize = 200_000;

/// Ticks between two samples of the floating-point values in the exact hash.
pub const EXACT_EVERY: u64 = 1000;

/// One change of one signal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// When, ms of bench time.
    pub tick: u64,
    /// Number of the name in [`Trace::names`].
    pub name: u32,
    /// The new value.
    pub value: bool,
}

/// Everything discrete that happened on a line of an attempt.
#[derive(Clone, Debug)]
pub struct Trace {
    names: Vec<String>,
    numbers: BTreeMap<String, u32>,
    changes: VecDeque<Change>,
    /// Value of each name before the oldest change that is kept.
    before: Vec<bool>,
    /// Name numbers by signal number of the design they were made for.
    of_signals: Vec<u32>,
    discrete: Writer,
    exact: Writer,
}

impl Default for Trace {
    fn default() -> Self {
        Trace {
            names: Vec::new(),
            numbers: BTreeMap::new(),
            changes: VecDeque::new(),
            before: Vec::new(),
            of_signals: Vec::new(),
            discrete: Writer::new("sealin trace 1"),
            exact: Writer::new("sealin exact 1"),
        }
    }
}

impl Trace {
    /// Must be called before the first tick of each design.
    pub fn design_changed(&mut self, bench: &Bench) {
        self.of_signals = bench
            .design
            .signals
            .iter()
            .map(|s| {
                if let Some(&n) = self.numbers.get(&s.name) {
                    return n;
                }
                let n = self.names.len() as u32;
                self.names.push(s.name.clone());
                self.numbers.insert(s.name.clone(), n);
                self.before.push(false);
                n
            })
            .collect();
    }

    /// Takes the events of a tick, with the bench as it is after it.
    pub fn take(&mut self, bench: &Bench, tick: u64, events: &Events) {
        for &(signal, value) in &events.changed {
            let Some(&name) = self.of_signals.get(signal) else { continue };
            self.discrete.u64(tick).str(&self.names[name as usize]).bool(value);
            if self.changes.len() >= MOST_CHANGES
                && let Some(old) = self.changes.pop_front()
            {
                self.before[old.name as usize] = old.value;
            }
            self.changes.push_back(Change { tick, name, value });
        }
        if tick.is_multiple_of(EXACT_EVERY) {
            self.exact.u64(tick);
            let exact = &mut self.exact;
            bench.state.floats(&mut |value| {
                exact.f64(value);
            });
        }
    }

    /// Names of signals, by number. A number never changes its name.
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// Number of a name.
    pub fn number(&self, name: &str) -> Option<u32> {
        self.numbers.get(name).copied()
    }

    /// Changes that are kept, oldest first.
    pub fn changes(&self) -> &VecDeque<Change> {
        &self.changes
    }

    /// Value of a signal before the oldest change that is kept.
    pub fn value_before(&self, name: u32) -> bool {
        self.before.get(name as usize).copied().unwrap_or(false)
    }

    /// Value of a signal after tick `tick` was computed, as far back as the changes that are kept.
    pub fn value_at(&self, name: u32, tick: u64) -> bool {
        let end = self.changes.partition_point(|c| c.tick <= tick);
        self.changes
            .range(..end)
            .rev()
            .find(|c| c.name == name)
            .map_or_else(|| self.value_before(name), |c| c.value)
    }

    /// Hash of every (tick, signal, value).
    pub fn trace_hash(&self) -> Hash {
        self.discrete.finish()
    }

    /// The same, with the bits of all floating-point values at each [`EXACT_EVERY`]th tick.
    pub fn exact_hash(&self) -> Hash {
        let mut both = self.exact.clone();
        both.bytes(&self.discrete.finish());
        both.finish()
    }
}
