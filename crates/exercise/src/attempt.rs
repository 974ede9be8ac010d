//! An attempt: the head and the log of what a person did. Everything else is computed from it.
//!
//! The log is linear and append-only; undo, redo and going back are entries. [`crate::fold`] computes the state.

mod chain;
mod json;
pub mod lines;
pub mod link;

pub use chain::{Break, Link, write_conductor};
pub use json::AttemptError;

pub use sealin_core::instruments::Function;

use crate::hunt::{DIAGNOSIS_TICKS, Diagnosis};
use crate::setting::Setting;
use crate::stores::StoresPart;
use sealin_core::canon::Hash;
use sealin_core::{BenchAct, Conductor, Measurement, Repair, Terminal};

/// JSON Schema (draft 2020-12) of an attempt file of the newest version.
pub const SCHEMA: &str = include_str!("../schema/attempt.schema.json");

/// Version of the form of the file. Version 6 has repairs, diagnoses, looks at the suspects and the handing in; version 5 settings of
/// devices besides dials; version 4 answers to predictions, hints, and links, which tell from where on a chain is broken; version 3
/// parts from stores; version 2 the acts `measure` and `record`; version 1 had `reading` alone.
pub const VERSION: u32 = 6;

/// Most entries of a log.
pub const MOST_ENTRIES: usize = 100_000;

/// Most bytes of a file.
pub const MOST_BYTES: usize = 8 << 20;

/// Most bytes of a program.
pub const MOST_PROGRAM_BYTES: usize = 64 << 10;

/// Most characters of what is recorded by hand.
pub const MOST_RECORD: usize = 200;

/// Most bench time over all lines, ms: 24 h.
pub const MOST_TICKS: u64 = 24 * 3600 * 1000;

/// A scenario by id and meaning, with the log of what was done, and what its maker claims came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Attempt {
    /// What was worked on, and under which conditions.
    pub head: Head,
    /// What was done, in order.
    pub entries: Vec<Entry>,
    /// Trace hash that the maker computed.
    pub claim: Option<Hash>,
    /// Chain value as it stood in the file; `None` for one made here.
    pub chain_read: Option<Hash>,
    /// Links as they stood in the file; `None` for one made here, and in files before version 4.
    pub links_read: Option<Vec<Link>>,
}

/// What was worked on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Id of the scenario.
    pub scenario: String,
    /// Hash of the scenario's meaning.
    pub content_hash: Hash,
    /// The scenario itself, when it is not a shipped one.
    pub embedded: Option<String>,
    /// [`sealin_core::MODEL_REVISION`] under which it was made.
    pub model_revision: u32,
    /// Drawn once by the host.
    pub seed: u64,
    /// Name, as the person wrote it (unverified).
    pub author: String,
    /// When it was begun, as the host said (unverified).
    pub started: String,
}

/// One entry of the log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Tick at which it is taken.
    pub at: u64,
    /// Milliseconds since the entry before, by the host's clock (unverified).
    pub wall_ms: Option<u32>,
    /// What was done.
    pub act: Act,
}

/// What was done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Act {
    /// Something on the running bench.
    Bench(BenchAct),
    /// A change of the design.
    Design(Change),
    /// The inverse of a change of the design, `of` that entry.
    Undo {
        /// Number of the entry that is undone.
        of: u32,
        /// What is done by it.
        change: Change,
    },
    /// A change done again: `of` the entry that undid it.
    Redo {
        /// Number of the entry of the undo.
        of: u32,
        /// What is done by it.
        change: Change,
    },
    /// The program of the sheet goes into the controller.
    Transfer {
        /// With a cold restart; else variables are kept by name and type.
        cold: bool,
    },
    /// A reading of the meter as files of version 1 have it: without an instrument's display, and at no cost of time.
    Reading(Reading),
    /// A reading of an instrument. What it showed is computed by the fold; it costs [`Measurement::ticks`].
    Measure(Measurement),
    /// Something done or seen that no instrument of the bench shows, recorded by hand.
    Record {
        /// Name of the check that it belongs to.
        check: String,
        /// What was written.
        text: String,
    },
    /// An answer to a prediction; of several to one prediction the first counts.
    Predict {
        /// Id of the prediction.
        prediction: String,
        /// Number of the answer, from 1.
        answer: u32,
    },
    /// A hint is opened; once is as often as several times.
    Hint {
        /// Id of the hint.
        hint: String,
    },
    /// Something is put right in a job of fault finding; it costs [`Repair::ticks`].
    Repair(Repair),
    /// What is taken to be wrong is written down; it costs [`DIAGNOSIS_TICKS`].
    Diagnose(Diagnosis),
    /// The learner looks at what is still suspected.
    Look,
    /// The work is handed in: what was wrong is told, and nothing of the search counts any more.
    HandIn,
    /// Back to the state after entry `entry`, run to tick `tick`: a new line begins.
    Seek {
        /// Number of the entry.
        entry: u32,
        /// Tick from which to go on.
        tick: u64,
    },
    /// The bench ran to this tick with nothing done.
    Run {
        /// Next tick to be computed.
        to: u64,
    },
}

impl Act {
    /// Bench time that it costs, ticks.
    pub fn ticks(&self) -> u64 {
        match self {
            Act::Measure(what) => what.ticks(),
            Act::Repair(repair) => repair.ticks(),
            Act::Diagnose(_) => DIAGNOSIS_TICKS,
            _ => 0,
        }
    }
}

/// A change of the design; it carries what was before and after, so that it is its own inverse.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// A conductor is made.
    Add(Conductor),
    /// A conductor is taken away.
    Remove(Conductor),
    /// A conductor keeps its id and ends, and gets another number, colour or cross-section, or another end.
    Alter {
        /// As it was.
        before: Conductor,
        /// As it is.
        after: Conductor,
    },
    /// A stretch of the program's text is replaced.
    Program {
        /// Where, in bytes from the start.
        at: u32,
        /// What stood there.
        removed: String,
        /// What stands there now.
        inserted: String,
    },
    /// The dial of an overload is turned.
    Dial {
        /// Tag of the overload.
        part: String,
        /// As it was, mA.
        before_ma: u32,
        /// As it is, mA.
        after_ma: u32,
    },
    /// A device is set or fitted otherwise, where the scenario leaves that to the learner.
    Set {
        /// Tag of the device.
        part: String,
        /// As it was.
        before: Setting,
        /// As it is.
        after: Setting,
    },
    /// A part is taken from stores and mounted.
    Mount(Mounted),
    /// A part from stores goes back, and with it the conductors at it.
    Unmount(Mounted),
    /// A part from stores keeps its tag, kind and type, and gets another place, function or keys.
    Move {
        /// As it was.
        before: StoresPart,
        /// As it is.
        after: StoresPart,
    },
}

/// A part from stores with all that goes and comes back with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mounted {
    /// The part.
    pub part: StoresPart,
    /// The conductors at it, by id; none at one that is taken anew.
    pub conductors: Vec<Conductor>,
    /// Its dial, where it stands otherwise than the type gives it, mA.
    pub dial_ma: Option<u32>,
}

/// A reading of the meter, in the form of version 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// Terminal of the first probe.
    pub from: Terminal,
    /// Terminal of the second probe.
    pub to: Terminal,
    /// What was measured.
    pub function: Function,
    /// What was shown, mV or milliohm; `None` when the meter refused or showed no limit. Not read any more: the fold
    /// computes it.
    pub shown: Option<i64>,
}

impl Change {
    /// The change that takes this one back.
    pub fn inverse(&self) -> Change {
        match self.clone() {
            Change::Add(c) => Change::Remove(c),
            Change::Remove(c) => Change::Add(c),
            Change::Alter { before, after } => Change::Alter { before: after, after: before },
            Change::Program { at, removed, inserted } => {
                Change::Program { at, removed: inserted, inserted: removed }
            }
            Change::Dial { part, before_ma, after_ma } => {
                Change::Dial { part, before_ma: after_ma, after_ma: before_ma }
            }
            Change::Set { part, before, after } => Change::Set { part, before: after, after: before },
            Change::Mount(mounted) => Change::Unmount(mounted),
            Change::Unmount(mounted) => Change::Mount(mounted),
            Change::Move { before, after } => Change::Move { before: after, after: before },
        }
    }

    /// The smallest patch from one text to another; `None` when they are equal.
    pub fn program(before: &str, after: &str) -> Option<Change> {
        if before == after {
            return None;
        }
        let mut start = before.bytes().zip(after.bytes()).take_while(|(a, b)| a == b).count();
        while !before.is_char_boundary(start) || !after.is_char_boundary(start) {
            start -= 1;
        }
        let (b, a) = (&before[start..], &after[start..]);
        let mut end = b.bytes().rev().zip(a.bytes().rev()).take_while(|(x, y)| x == y).count();
        while !b.is_char_boundary(b.len() - end) || !a.is_char_boundary(a.len() - end) {
            end -= 1;
        }
        Some(Change::Program {
            at: start as u32,
            removed: b[..b.len() - end].to_string(),
            inserted: a[..a.len() - end].to_string(),
        })
    }
}

impl Attempt {
    /// An attempt in which nothing has been done yet.
    pub fn new(head: Head) -> Attempt {
        Attempt { head, entries: Vec::new(), claim: None, chain_read: None, links_read: None }
    }

    /// Entry numbers on the line that ends with the last entry, in order. A seek to an entry that does not exist ends
    /// the walk; the fold reports it.
    pub fn line(&self) -> Vec<u32> {
        self.line_to(self.entries.len())
    }

    /// Entry numbers on the line that ends before entry `end`.
    pub fn line_to(&self, end: usize) -> Vec<u32> {
        let mut path = Vec::new();
        let mut next = end.checked_sub(1);
        while let Some(k) = next {
            path.push(k as u32);
            next = match self.entries.get(k).map(|e| &e.act) {
                Some(Act::Seek { entry, .. }) if (*entry as usize) < k => Some(*entry as usize),
                Some(Act::Seek { .. }) => None,
                _ => k.checked_sub(1),
            };
        }
        path.reverse();
        path
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn smallest_patch_and_back() {
        for (before, after) in
            [("abc", "axc"), ("", "x"), ("x", ""), ("aaa", "aa"), ("é", "è"), ("a€b", "a€€b")]
        {
            let change = Change::program(before, after).unwrap();
            let Change::Program { at, removed, inserted } = &change else { unreachable!() };
            let at = *at as usize;
            assert_eq!(&before[at..at + removed.len()], removed);
            let patched = format!("{}{inserted}{}", &before[..at], &before[at + removed.len()..]);
            assert_eq!(patched, after);
            assert_eq!(change.inverse().inverse(), change);
        }
        assert_eq!(Change::program("same", "same"), None);
    }
}
