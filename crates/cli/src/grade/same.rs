//! Attempts with the same acts at the same ticks, over a whole class: by hashes alone, with a bound on their number.

use sealin_core::canon::Hash;
use std::collections::{BTreeMap, HashMap};

/// Attempts that are compared at most; of a hash half is kept, which tells a million attempts apart. About 50 bytes each.
pub const MOST_COMPARED: usize = 1_000_000;

/// Which attempts have the same acts, by the number of each in the order of the class.
#[derive(Default)]
pub struct Same {
    first: HashMap<[u8; 16], u32>,
    groups: BTreeMap<u32, Group>,
    /// Attempts that were not compared any more.
    pub left_out: usize,
}

/// Attempts with the same acts as an earlier one.
pub struct Group {
    /// How many acts.
    pub acts: usize,
    /// Their numbers, in order.
    pub others: Vec<u32>,
}

impl Same {
    /// Takes an attempt; its number is higher than those before.
    pub fn take(&mut self, number: u32, acts: &Hash, how_many: usize) {
        let key = std::array::from_fn(|k| acts[k]);
        if let Some(&first) = self.first.get(&key) {
            let group = self.groups.entry(first).or_insert(Group { acts: how_many, others: Vec::new() });
            group.others.push(number);
        } else if self.first.len() < MOST_COMPARED {
            self.first.insert(key, number);
        } else {
            self.left_out += 1;
        }
    }

    /// By the number of the first of each group, in order.
    pub fn groups(&self) -> &BTreeMap<u32, Group> {
        &self.groups
    }
}
