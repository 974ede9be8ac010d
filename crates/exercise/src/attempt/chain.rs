//! The chain over head and entries, from canonical bytes.

use super::{Act, Attempt, Change, Entry, Head, Mounted};
use sealin_core::Conductor;
use sealin_core::canon::{Hash, Writer};
use std::fmt;

/// Form of the chain's bytes. It stays while entries only gain kinds, so that older files keep their chain.
const CHAIN_FORM: u64 = 1;

/// The first two bytes of a chain value: one for the head and one for each entry stand in the file, so that a broken chain
/// can be told from where on. One in 65,536 damages to an entry shows an entry too late.
pub type Link = [u8; 2];

/// From where on a chain does not fit what stands in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Break {
    /// From the head on.
    Head,
    /// From this entry on: it was changed, put in, or follows one that was taken out.
    Entry(u32),
    /// The entries that followed the last one are missing.
    Cut,
    /// Only the chain's value at the end does not fit.
    Value,
    /// It cannot be told: the file is of a form without links.
    Unknown,
}

impl fmt::Display for Break {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = match self {
            Break::Head => "from the head on",
            Break::Entry(entry) => return write!(f, "the chain is broken from entry {entry} on: {DAMAGED}"),
            Break::Cut => "after the last entry, where entries are missing",
            Break::Value => "at its end alone",
            Break::Unknown => "somewhere; the file is of a form that does not tell where",
        };
        write!(f, "the chain is broken {place}: {DAMAGED}")
    }
}

const DAMAGED: &str = "the file was damaged or changed";

impl Attempt {
    /// Chain value over the head (without author and start) and all entries. It detects damage, not forgery: whoever
    /// edits a log can compute it anew.
    pub fn chain(&self) -> Hash {
        self.chain_values().last().unwrap_or_else(|| self.head.chain_start())
    }

    /// h₀ of the head, then the value after each entry.
    pub(super) fn chain_values(&self) -> impl Iterator<Item = Hash> {
        let mut value = self.head.chain_start();
        std::iter::once(value).chain(self.entries.iter().map(move |entry| {
            value = entry.chained(&value);
            value
        }))
    }

    /// Whether the chain in the file fits its head and entries; `None` when there was none.
    pub fn chain_holds(&self) -> Option<bool> {
        self.chain_read.map(|read| read == self.chain())
    }

    /// From where on the chain in the file does not fit; `None` when it does, or when there was none.
    pub fn chain_broken(&self) -> Option<Break> {
        let read = self.chain_read?;
        let values: Vec<Hash> = self.chain_values().collect();
        if values.last() == Some(&read) {
            return None;
        }
        // Value 0 is the head's, value k + 1 that after entry k.
        let place = |n: usize| n.checked_sub(1).map_or(Break::Head, |entry| Break::Entry(entry as u32));
        let Some(links) = &self.links_read else {
            // The chain of a beginning of the log: what follows it was added later.
            let beginning = values.iter().position(|value| *value == read);
            return Some(beginning.map_or(Break::Unknown, |n| place(n + 1)));
        };
        let differs = |n: &usize| links.get(*n).is_none_or(|link| *link != link_of(&values[*n]));
        Some(match (0..values.len()).find(differs) {
            Some(n) => place(n),
            None if links.len() > values.len() => Break::Cut,
            None => Break::Value,
        })
    }
}

/// The link of a chain value.
pub(super) fn link_of(value: &Hash) -> Link {
    [value[0], value[1]]
}

impl Head {
    /// h₀.
    pub fn chain_start(&self) -> Hash {
        let mut w = Writer::new("sealin attempt 1");
        w.u64(CHAIN_FORM).str(&self.scenario).bytes(&self.content_hash);
        w.bool(self.embedded.is_some());
        if let Some(text) = &self.embedded {
            w.str(text);
        }
        w.u64(u64::from(self.model_revision)).u64(self.seed);
        w.finish()
    }
}

impl Entry {
    /// hₖ from hₖ₋₁.
    pub fn chained(&self, before: &Hash) -> Hash {
        let mut w = Writer::new("sealin entry 1");
        w.bytes(before).u64(self.at).bool(self.wall_ms.is_some()).u64(u64::from(self.wall_ms.unwrap_or(0)));
        match &self.act {
            Act::Bench(act) => {
                w.u64(0).str(&act.to_string());
            }
            Act::Design(change) => {
                w.u64(1);
                write_change(&mut w, change);
            }
            Act::Undo { of, change } => {
                w.u64(2).u64(u64::from(*of));
                write_change(&mut w, change);
            }
            Act::Redo { of, change } => {
                w.u64(3).u64(u64::from(*of));
                write_change(&mut w, change);
            }
            Act::Transfer { cold } => {
                w.u64(4).bool(*cold);
            }
            Act::Reading(r) => {
                w.u64(5).str(&r.from.to_string()).str(&r.to.to_string()).str(r.function.word());
                w.bool(r.shown.is_some()).i64(r.shown.unwrap_or(0));
            }
            Act::Seek { entry, tick } => {
                w.u64(6).u64(u64::from(*entry)).u64(*tick);
            }
            Act::Run { to } => {
                w.u64(7).u64(*to);
            }
            Act::Measure(what) => {
                let places = what.places();
                w.u64(8).str(what.word()).u64(places.len() as u64);
                for place in &places {
                    w.str(place);
                }
            }
            Act::Record { check, text } => {
                w.u64(9).str(check).str(text);
            }
            Act::Predict { prediction, answer } => {
                w.u64(10).str(prediction).u64(u64::from(*answer));
            }
            Act::Hint { hint } => {
                w.u64(11).str(hint);
            }
            Act::Repair(repair) => {
                w.u64(12).str(&repair.to_string());
            }
            Act::Diagnose(diagnosis) => {
                w.u64(13).str(&diagnosis.fault.to_string()).u64(diagnosis.evidence.len() as u64);
                for &entry in &diagnosis.evidence {
                    w.u64(u64::from(entry));
                }
            }
            Act::Look => {
                w.u64(14);
            }
            Act::HandIn => {
                w.u64(15);
            }
        }
        w.finish()
    }
}

fn write_change(w: &mut Writer, change: &Change) {
    match change {
        Change::Add(c) => {
            w.u64(0);
            write_conductor(w, c);
        }
        Change::Remove(c) => {
            w.u64(1);
            write_conductor(w, c);
        }
        Change::Alter { before, after } => {
            w.u64(2);
            write_conductor(w, before);
            write_conductor(w, after);
        }
        Change::Program { at, removed, inserted } => {
            w.u64(3).u64(u64::from(*at)).str(removed).str(inserted);
        }
        Change::Dial { part, before_ma, after_ma } => {
            w.u64(4).str(part).u64(u64::from(*before_ma)).u64(u64::from(*after_ma));
        }
        Change::Set { part, before, after } => {
            w.u64(8).str(part).str(before.word()).str(after.word());
        }
        Change::Mount(mounted) => {
            w.u64(5);
            write_mounted(w, mounted);
        }
        Change::Unmount(mounted) => {
            w.u64(6);
            write_mounted(w, mounted);
        }
        Change::Move { before, after } => {
            w.u64(7);
            before.write(w);
            after.write(w);
        }
    }
}

fn write_mounted(w: &mut Writer, mounted: &Mounted) {
    mounted.part.write(w);
    w.u64(mounted.conductors.len() as u64);
    for c in &mounted.conductors {
        write_conductor(w, c);
    }
    w.bool(mounted.dial_ma.is_some()).u64(u64::from(mounted.dial_ma.unwrap_or(0)));
}

/// Canonical bytes of a conductor.
pub fn write_conductor(w: &mut Writer, c: &Conductor) {
    w.str(&c.id).str(&c.from.to_string()).str(&c.to.to_string());
    w.u64(u64::from(c.section_mm2_x100)).str(c.colour.word()).str(&c.number);
}
