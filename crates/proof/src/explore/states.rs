//! The states that were met, 64 to an entry: whole, in open addressing.
//!
//! States of the bench without its program lie side by side in blocks of 64. A block, with one memory of the program and one of the
//! monitors, is one entry with a bit for each: one step of a search takes up all that differ in nothing but what program and
//! monitors do not see.

use super::interner::{Index, mix, slot};

/// States to an entry.
pub(super) const LANES: u32 = u64::BITS;

/// The states with the same memories, and with numbers of the bench from `64 · block` on.
#[derive(Clone, Copy)]
pub(super) struct Entry {
    pub block: u32,
    pub program: u32,
    pub memory: u32,
    /// Where among the states just met.
    at: u32,
    /// Which of them were met.
    seen: u64,
}

impl Entry {
    fn is(&self, key: (u32, u32, u32)) -> bool {
        (self.block, self.program, self.memory) == key
    }

    fn key(&self) -> (u32, u32, u32) {
        (self.block, self.program, self.memory)
    }
}

/// States of one entry that were first met in the same layer.
#[derive(Clone, Copy)]
pub(super) struct Met {
    pub entry: u32,
    /// Lower and upper half, so that it takes no more room than that.
    bits: [u32; 2],
}

impl Met {
    pub fn bits(&self) -> u64 {
        u64::from(self.bits[0]) | u64::from(self.bits[1]) << 32
    }

    fn set(&mut self, bits: u64) {
        self.bits[0] |= bits as u32;
        self.bits[1] |= (bits >> 32) as u32;
    }
}

/// States of one block that follow, with their memories.
#[derive(Clone, Copy)]
pub(super) struct Next {
    /// Block, program, monitors.
    pub key: (u32, u32, u32),
    pub bits: u64,
}

/// States on their way into the set. What follows from one entry is much the same for all its states, and is put together here,
/// where it is at hand, before the set is looked into.
pub(super) struct Gathered {
    slots: Vec<Next>,
    used: Vec<usize>,
}

/// Slots of [`Gathered`], a power of two.
const SLOTS: usize = 512;

impl Gathered {
    pub fn new() -> Gathered {
        Gathered { slots: vec![Next { key: (0, 0, 0), bits: 0 }; SLOTS], used: Vec::new() }
    }

    #[inline]
    pub fn put(&mut self, next: &Next, states: &mut States) {
        let at = slot(hash(next.key), SLOTS);
        let here = &mut self.slots[at];
        if here.bits == 0 {
            self.used.push(at);
            *here = *next;
        } else if here.key == next.key {
            here.bits |= next.bits;
        } else {
            let before = std::mem::replace(here, *next);
            states.add(before.key, before.bits);
        }
    }

    /// All that is here goes into the set.
    pub fn empty(&mut self, states: &mut States) {
        for at in self.used.drain(..) {
            let next = &mut self.slots[at];
            states.add(next.key, next.bits);
            next.bits = 0;
        }
    }
}

/// Places of the bits that are set.
pub(super) fn lanes(mut bits: u64) -> impl Iterator<Item = u32> {
    std::iter::from_fn(move || {
        let lane = (bits != 0).then(|| bits.trailing_zeros());
        bits &= bits.wrapping_sub(1);
        lane
    })
}

pub(super) struct States {
    index: Index,
    entries: Vec<Entry>,
    count: u64,
    met: Vec<Met>,
}

fn hash((block, program, memory): (u32, u32, u32)) -> u64 {
    mix(mix(u64::from(block), u64::from(program)), u64::from(memory))
}

impl States {
    pub fn new() -> States {
        States { index: Index::new(), entries: Vec::new(), count: 0, met: Vec::new() }
    }

    /// How many there are.
    pub fn count(&self) -> u64 {
        self.count
    }

    pub fn entry(&self, number: u32) -> &Entry {
        &self.entries[number as usize]
    }

    /// Takes up those states of a block.
    #[inline]
    pub fn add(&mut self, key: (u32, u32, u32), bits: u64) {
        let entries = &self.entries;
        let (number, new) = self.index.find_or_add(
            hash(key),
            |number| entries[number as usize].is(key),
            |number| hash(entries[number as usize].key()),
        );
        if new {
            let (block, program, memory) = key;
            self.entries.push(Entry { block, program, memory, at: 0, seen: 0 });
        }
        let entry = &mut self.entries[number as usize];
        let fresh = bits & !entry.seen;
        if fresh == 0 {
            return;
        }
        entry.seen |= fresh;
        self.count += u64::from(fresh.count_ones());
        match self.met.get_mut(entry.at as usize) {
            Some(met) if met.entry == number => met.set(fresh),
            _ => {
                entry.at = self.met.len() as u32;
                let mut met = Met { entry: number, bits: [0; 2] };
                met.set(fresh);
                self.met.push(met);
            }
        }
    }

    /// The states that were met since this was asked last, in the order of meeting.
    pub fn take_met(&mut self) -> Vec<Met> {
        let mut met = std::mem::take(&mut self.met);
        met.shrink_to_fit();
        met
    }

    /// Bytes that they take.
    pub fn bytes(&self) -> usize {
        let met = self.met.capacity() * size_of::<Met>();
        self.index.bytes() + self.entries.capacity() * size_of::<Entry>() + met
    }
}
