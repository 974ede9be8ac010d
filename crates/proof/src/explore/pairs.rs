//! A memory of what follows from two numbers.

use super::interner::{mix, slot};

/// No value.
const EMPTY: u32 = u32::MAX;

/// Slots of a new table, a power of two.
const FIRST_SLOTS: usize = 16;

/// Numbers by two numbers each, by open addressing: key and value side by side, as it is asked at every step of a search.
pub(super) struct Pairs {
    slots: Vec<[u32; 3]>,
    len: usize,
}

impl Pairs {
    pub fn new() -> Pairs {
        Pairs { slots: vec![[EMPTY; 3]; FIRST_SLOTS], len: 0 }
    }

    /// Bytes that it takes.
    #[cfg(feature = "under-test")]
    pub fn bytes(&self) -> usize {
        self.slots.len() * size_of::<[u32; 3]>()
    }

    #[inline]
    pub fn get(&self, a: u32, b: u32) -> Option<u32> {
        let [x, y, value] = self.slots[self.find(a, b)];
        (value != EMPTY && (x, y) == (a, b)).then_some(value)
    }

    /// Keeps a value, which is not the largest there is, for a pair that has none yet.
    pub fn put(&mut self, a: u32, b: u32, value: u32) {
        debug_assert!(value != EMPTY);
        if (self.len + 1) * 4 > self.slots.len() * 3 {
            let larger = vec![[EMPTY; 3]; 2 * self.slots.len()];
            for [a, b, value] in std::mem::replace(&mut self.slots, larger) {
                if value != EMPTY {
                    let at = self.find(a, b);
                    self.slots[at] = [a, b, value];
                }
            }
        }
        let at = self.find(a, b);
        self.slots[at] = [a, b, value];
        self.len += 1;
    }

    /// The slot of a pair, or the empty one that it would have.
    #[inline]
    fn find(&self, a: u32, b: u32) -> usize {
        let most = self.slots.len() - 1;
        let mut at = slot(mix(mix(0, a.into()), b.into()), self.slots.len());
        loop {
            let [x, y, value] = self.slots[at];
            if value == EMPTY || (x, y) == (a, b) {
                return at;
            }
            at = (at + 1) & most;
        }
    }
}
