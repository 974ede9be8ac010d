//! A compiled program: what it keeps from scan to scan, and the scan.

use std::collections::BTreeMap;

use crate::model::{Address, Contact, Test, VarKind};

/// What a program keeps from one scan to the next: plain data in integers of fixed width.
///
/// It belongs to the [`Compiled`] that made it. Between scans two memories of one program are equal exactly if every
/// variable and timer is.
#[derive(Clone, PartialEq, Eq, Debug, Hash)]
pub struct Memory {
    /// One byte a bit, 0 or 1: variables in the order of declaration, then `IN` and `Q` of each timer, then scratch
    /// that is 0 between scans.
    bits: Box<[u8]>,
    /// Per timer: 0 while `IN` is 0, else 1 + the whole scans since it rose, no further than when the time is up.
    timers: Box<[u32]>,
}

impl Memory {
    /// The bits, one byte each, 0 or 1.
    pub fn bits(&self) -> &[u8] {
        &self.bits
    }

    /// The count of each timer.
    pub fn timers(&self) -> &[u32] {
        &self.timers
    }

    /// Appends the memory as bytes, for a hash or a snapshot: bits in order, one byte each, then timers in order, four
    /// bytes each, low byte first. The length is the same for every memory of one program.
    pub fn write_bytes(&self, out: &mut Vec<u8>) {
        out.extend_from_slice(&self.bits);
        for timer in &self.timers {
            out.extend_from_slice(&timer.to_le_bytes());
        }
    }
}

/// A program compiled for one scan period. Immutable; two are equal if they do the same to the same variables.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Compiled {
    pub(crate) period_ms: u32,
    pub(crate) vars: Vec<VarInfo>,
    /// By name in capitals, pins as `REST.Q` included.
    pub(crate) slots: BTreeMap<String, BitRef>,
    /// Number of bits that are state; beyond them lies scratch.
    pub(crate) state_bits: u32,
    /// Number of all bits, scratch included.
    pub(crate) all_bits: u32,
    pub(crate) timers: Vec<Timer>,
    pub(crate) inputs: Vec<Image>,
    pub(crate) outputs: Vec<Image>,
    pub(crate) words: Vec<Word>,
    /// The instructions in stretches, each ended by the call of a timer but the last.
    pub(crate) stretches: Vec<Stretch>,
}

/// What is known of a declared variable.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct VarInfo {
    /// Name as its declaration spells it.
    pub name: String,
    /// What sort of thing it is.
    pub kind: VarKind,
    /// Its address, if it has one.
    pub address: Option<Address>,
    /// Value after a cold restart.
    pub initial: bool,
    /// Whether a warm restart keeps it.
    pub retain: bool,
    /// The bit itself, or the first of a timer's: `IN`, then `Q`.
    pub(crate) slot: u32,
    /// Index among the timers; unused for a bit.
    pub(crate) timer: u32,
}

/// A bit found once by name and read often. It is good for every memory of the program that gave it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub struct BitRef(pub(crate) u32);

/// One contact, and what is done after it; see [`run`].
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Word {
    /// Slot read, times two; plus one for a normally closed contact.
    pub source: u32,
    /// Slot written, times eight; plus [`END_TERM`], [`END_GROUP`], [`END_WRITE`].
    pub target: u32,
}

/// The contact ends a branch.
pub(crate) const END_TERM: u32 = 1;
/// The contact ends a group of branches.
pub(crate) const END_GROUP: u32 = 2;
/// The contact ends the rung or a part of it, and the result is written.
pub(crate) const END_WRITE: u32 = 4;

/// A bit of an image and the slot it is copied from or to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Image {
    pub slot: u32,
    pub bit: u32,
}

/// A timer: its slots and its time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Timer {
    /// Slot of `IN`; that of `Q` follows it.
    pub slot: u32,
    pub preset_ms: u32,
    /// Count at which the time is up: whole scans of the preset time, rounded up, plus one.
    pub full: u32,
}

/// Instructions up to `end`, then the timer of that index.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Stretch {
    pub end: u32,
    pub timer: Option<u32>,
}

impl Compiled {
    /// The scan period in milliseconds.
    pub fn period_ms(&self) -> u32 {
        self.period_ms
    }

    /// The memory after a cold restart: every variable has its initial value, every timer is at rest.
    pub fn cold_start(&self) -> Memory {
        let mut memory = Memory {
            bits: vec![0; self.all_bits as usize].into_boxed_slice(),
            timers: vec![0; self.timers.len()].into_boxed_slice(),
        };
        for var in self.vars.iter().filter(|var| var.kind == VarKind::Bool) {
            memory.bits[var.slot as usize] = u8::from(var.initial);
        }
        memory
    }

    /// The memory after a warm restart: retained variables keep their value, the others have their initial one.
    pub fn warm_start(&self, memory: &Memory) -> Memory {
        let mut next = self.cold_start();
        for var in self.vars.iter().filter(|var| var.retain) {
            self.take_over(var, self, var, memory, &mut next);
        }
        next
    }

    /// The memory with which this program goes on from another: what has the same name and kind keeps its value, the
    /// rest has its initial one. A timer that ran keeps the time it ran, up to its new preset time.
    pub fn carry(&self, old: &Compiled, memory: &Memory) -> Memory {
        let mut next = self.cold_start();
        let by_name: BTreeMap<String, &VarInfo> =
            old.vars.iter().map(|var| (var.name.to_ascii_uppercase(), var)).collect();
        for var in &self.vars {
            if let Some(before) = by_name.get(&var.name.to_ascii_uppercase())
                && before.kind == var.kind
            {
                self.take_over(var, old, before, memory, &mut next);
            }
        }
        next
    }

    fn take_over(&self, var: &VarInfo, old: &Compiled, before: &VarInfo, memory: &Memory, next: &mut Memory) {
        match var.kind {
            VarKind::Bool => next.bits[var.slot as usize] = memory.bits[before.slot as usize],
            VarKind::Block(_) => {
                let count = memory.timers[before.timer as usize];
                let timer = self.timers[var.timer as usize];
                let count = if count == 0 || timer.full == 0 {
                    0
                } else {
                    let elapsed_ms = u64::from(count - 1) * u64::from(old.period_ms);
                    let scans = (elapsed_ms / u64::from(self.period_ms)).min(u64::from(timer.full - 1));
                    // At most `full - 1`, so it fits.
                    scans as u32 + 1
                };
                next.timers[var.timer as usize] = count;
                let slot = var.slot as usize;
                next.bits[slot] = u8::from(count > 0);
                next.bits[slot + 1] = u8::from(count > 0 && count == timer.full);
            }
        }
    }

    /// Runs the program once, top to bottom, and gives the output image.
    ///
    /// `inputs` is the input image at the scan's start, bit `byte * 8 + bit` for each `%IX`; so is the result for
    /// `%QX`. Addresses that no variable has are ignored, and 0 in the result. Nothing is allocated.
    ///
    /// # Panics
    ///
    /// If `memory` was made by a program with other variables: that is a mistake of the caller, never of a learner.
    pub fn scan(&self, memory: &mut Memory, inputs: u64) -> u64 {
        assert_eq!(memory.bits.len(), self.all_bits as usize, "the memory of another program");
        assert_eq!(memory.timers.len(), self.timers.len(), "the memory of another program");
        for image in &self.inputs {
            memory.bits[image.slot as usize] = ((inputs >> image.bit) & 1) as u8;
        }
        let mut begin = 0;
        for stretch in &self.stretches {
            run(&self.words[begin..stretch.end as usize], &mut memory.bits);
            begin = stretch.end as usize;
            if let Some(index) = stretch.timer {
                let timer = self.timers[index as usize];
                let slot = timer.slot as usize;
                let count = &mut memory.timers[index as usize];
                *count = count.saturating_add(1).min(timer.full) * u32::from(memory.bits[slot]);
                memory.bits[slot + 1] = u8::from(*count == timer.full);
            }
        }
        memory.bits[self.state_bits as usize..].fill(0);
        self.outputs
            .iter()
            .fold(0, |image, output| image | (u64::from(memory.bits[output.slot as usize]) << output.bit))
    }

    /// The declared variables, in order.
    pub fn variables(&self) -> &[VarInfo] {
        &self.vars
    }

    /// The bit of a name, in any case of letters: a variable, or a timer's `rest.IN` and `rest.Q`.
    pub fn bit(&self, name: &str) -> Option<BitRef> {
        self.slots.get(&name.to_ascii_uppercase()).copied()
    }

    /// The value of a bit found by [`Compiled::bit`]; 0 for one of another program that lies beyond this memory.
    pub fn read(&self, memory: &Memory, bit: BitRef) -> bool {
        memory.bits.get(bit.0 as usize).is_some_and(|value| *value != 0)
    }

    /// The value of a name, as [`Compiled::bit`] takes it; none if the program does not have it.
    pub fn value(&self, memory: &Memory, name: &str) -> Option<bool> {
        self.bit(name).map(|bit| self.read(memory, bit))
    }

    /// A timer's elapsed and preset time, `ET` and `PT`, in milliseconds; none if there is no such timer. The elapsed
    /// time grows by whole scan periods and stops at the preset time. A timer that no rung calls has 0 for both.
    pub fn timer(&self, memory: &Memory, name: &str) -> Option<(u32, u32)> {
        let var =
            self.vars.iter().find(|var| var.kind != VarKind::Bool && var.name.eq_ignore_ascii_case(name))?;
        let count = u64::from(*memory.timers.get(var.timer as usize)?);
        let preset_ms = self.timers[var.timer as usize].preset_ms;
        let elapsed_ms = (count.saturating_sub(1) * u64::from(self.period_ms)).min(u64::from(preset_ms));
        // At most `preset_ms`, so it fits.
        Some((elapsed_ms as u32, preset_ms))
    }

    /// Whether a contact passes with the bits and values of this memory; an edge contact as in the last scan. `rung` and
    /// `index` say which it is, as [`Rung::each_contact`](crate::Rung::each_contact) counts.
    pub fn passes(&self, memory: &Memory, _rung: u32, _index: u32, contact: &Contact) -> bool {
        match contact {
            Contact::Bit { var, test } => self.value(memory, var).unwrap_or(false) != (*test == Test::Closed),
            Contact::Compare(_) => false,
        }
    }

    /// Whether no timer is advancing. If besides a scan gives back the memory it was given, every further scan with
    /// the same inputs does.
    pub fn quiet(&self, memory: &Memory) -> bool {
        self.timers.iter().zip(&memory.timers).all(|(timer, count)| *count == 0 || *count == timer.full)
    }
}

/// Runs instructions without a branch that depends on a bit.
///
/// Three registers hold an AND of ORs of ANDs: `term` the branch so far, `group` the branches side by side, `rung` the
/// groups one after the other. A word whose `END_` bits are 0 leaves the outer two and writes to a scratch bit.
#[inline]
fn run(words: &[Word], bits: &mut [u8]) {
    let (mut term, mut group, mut rung) = (1u32, 0u32, 1u32);
    for word in words {
        let passes = u32::from(bits[(word.source >> 1) as usize]) ^ (word.source & 1);
        let end_term = word.target & 1;
        let end_group = (word.target >> 1) & 1;
        let end_write = (word.target >> 2) & 1;
        term &= passes;
        group |= term & end_term;
        term |= end_term;
        rung &= group | (end_group ^ 1);
        group &= end_group ^ 1;
        bits[(word.target >> 3) as usize] = rung as u8;
        rung |= end_write;
    }
}
