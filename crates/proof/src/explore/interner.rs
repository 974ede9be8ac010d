//! Values numbered in the order in which they are met.

use rustc_hash::FxHashMap;
use std::hash::Hash;

/// Each value once, by number. Nothing ever iterates over the map, so that the order is that of meeting.
pub(super) struct Interner<T> {
    numbers: FxHashMap<T, u32>,
    values: Vec<T>,
}

impl<T: Clone + Eq + Hash> Interner<T> {
    pub fn new() -> Self {
        Interner { numbers: FxHashMap::default(), values: Vec::new() }
    }

    /// The number of a value, its next one if it is new.
    pub fn number(&mut self, value: T) -> u32 {
        if let Some(&number) = self.numbers.get(&value) {
            return number;
        }
        let number = self.values.len() as u32;
        self.values.push(value.clone());
        self.numbers.insert(value, number);
        number
    }

    pub fn value(&self, number: u32) -> &T {
        &self.values[number as usize]
    }

    pub fn len(&self) -> usize {
        self.values.len()
    }
}
