//! Values numbered in the order in which they are met.
//!
//! A table of numbers by open addressing, over a hash of 64 bits everywhere: the usual hasher's has 32 in WebAssembly, where
//! millions of values would fall onto each other.

use std::hash::{Hash, Hasher};

/// No number.
const EMPTY: u32 = u32::MAX;

/// Slots of a new table, a power of two.
const FIRST_SLOTS: usize = 16;

/// Odd constants without a pattern: the fraction of the golden ratio, and what splitmix64 multiplies with.
const FACTORS: [u64; 2] = [0x9e37_79b9_7f4a_7c15, 0xbf58_476d_1ce4_e5b9];

/// Mixes a number into a hash, so that every bit of both decides the upper bits.
#[inline]
pub(super) fn mix(hash: u64, value: u64) -> u64 {
    (hash.wrapping_mul(FACTORS[0]).rotate_left(29) ^ value).wrapping_mul(FACTORS[1])
}

/// Slot in a table of a power of two: the upper bits of the hash.
#[inline]
pub(super) fn slot(hash: u64, slots: usize) -> usize {
    (hash >> (u64::BITS - slots.trailing_zeros())) as usize
}

/// Where numbers 0, 1, 2 … are found by the hash of their value. Nothing ever iterates over it but to make it larger.
pub(super) struct Index {
    slots: Vec<u32>,
    len: usize,
}

impl Index {
    pub fn new() -> Index {
        Index { slots: vec![EMPTY; FIRST_SLOTS], len: 0 }
    }

    /// The number with this hash for which `is` holds, or the next one; and whether it is the next one.
    #[inline]
    pub fn find_or_add(
        &mut self,
        hash: u64,
        is: impl Fn(u32) -> bool,
        hash_of: impl Fn(u32) -> u64,
    ) -> (u32, bool) {
        if (self.len + 1) * 4 > self.slots.len() * 3 {
            self.grow(hash_of);
        }
        let mut at = slot(hash, self.slots.len());
        while self.slots[at] != EMPTY {
            if is(self.slots[at]) {
                return (self.slots[at], false);
            }
            at = (at + 1) & (self.slots.len() - 1);
        }
        let number = self.len as u32;
        self.slots[at] = number;
        self.len += 1;
        (number, true)
    }

    #[cold]
    fn grow(&mut self, hash_of: impl Fn(u32) -> u64) {
        let most = 2 * self.slots.len() - 1;
        self.slots = vec![EMPTY; most + 1];
        for number in 0..self.len as u32 {
            let mut at = slot(hash_of(number), self.slots.len());
            while self.slots[at] != EMPTY {
                at = (at + 1) & most;
            }
            self.slots[at] = number;
        }
    }

    /// The number with this hash for which `is` holds, if there is one.
    fn find(&self, hash: u64, is: impl Fn(u32) -> bool) -> Option<u32> {
        let mut at = slot(hash, self.slots.len());
        while self.slots[at] != EMPTY {
            if is(self.slots[at]) {
                return Some(self.slots[at]);
            }
            at = (at + 1) & (self.slots.len() - 1);
        }
        None
    }

    /// Bytes that it takes.
    pub fn bytes(&self) -> usize {
        self.slots.len() * size_of::<u32>()
    }
}

/// Hashes whatever is hashable by [`mix`].
struct Mixer(u64);

impl Hasher for Mixer {
    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(size_of::<u64>()) {
            let mut word = [0; size_of::<u64>()];
            word[..chunk.len()].copy_from_slice(chunk);
            self.write_u64(u64::from_le_bytes(word));
        }
    }

    fn write_u8(&mut self, value: u8) {
        self.write_u64(value.into());
    }

    fn write_u32(&mut self, value: u32) {
        self.write_u64(value.into());
    }

    fn write_u64(&mut self, value: u64) {
        self.0 = mix(self.0, value);
    }

    fn write_usize(&mut self, value: usize) {
        self.write_u64(value as u64);
    }

    fn finish(&self) -> u64 {
        self.0
    }
}

fn hash(value: &impl Hash) -> u64 {
    let mut mixer = Mixer(0);
    value.hash(&mut mixer);
    mixer.finish()
}

/// Each value once, by number.
pub(super) struct Interner<T> {
    index: Index,
    values: Vec<T>,
}

impl<T: Eq + Hash> Interner<T> {
    pub fn new() -> Self {
        Interner { index: Index::new(), values: Vec::new() }
    }

    /// The number of a value, its next one if it is new.
    pub fn number(&mut self, value: T) -> u32 {
        let values = &self.values;
        let (number, new) = self.index.find_or_add(
            hash(&value),
            |number| values[number as usize] == value,
            |number| hash(&values[number as usize]),
        );
        if new {
            self.values.push(value);
        }
        number
    }

    /// The number of a value that was met.
    pub fn find(&self, value: &T) -> Option<u32> {
        self.index.find(hash(value), |number| self.values[number as usize] == *value)
    }

    pub fn value(&self, number: u32) -> &T {
        &self.values[number as usize]
    }

    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// Bytes that it takes, without what its values point to.
    pub fn bytes(&self) -> usize {
        self.index.bytes() + self.values.capacity() * size_of::<T>()
    }
}
