//! Drawing by lot: which name stands for which under a seed.

use super::names::Names;
use super::{Scenario, VariantKind};
use crate::scenario::lot::Lot;
use std::collections::BTreeSet;

/// The names under a seed.
pub(super) fn names(s: &Scenario, seed: u64) -> Names {
    let mut names = Names::default();
    for (number, variant) in s.variants.iter().enumerate() {
        let mut lot = Lot::new(seed, number as u64);
        let mut pool = match variant.kind {
            VariantKind::Numbers => free_numbers(s, &variant.among, variant.range),
            _ => variant.among.clone(),
        };
        // The beginning of a shuffle by Fisher and Yates: as many as there are names to be given.
        for place in 0..variant.among.len() {
            let other = place + lot.below((pool.len() - place) as u64) as usize;
            pool.swap(place, other);
        }
        for (from, to) in variant.among.iter().zip(&pool) {
            names.give(s, variant.kind, from, to);
        }
    }
    names
}

/// Wire numbers of conductors that are given or to be made.
pub(super) fn numbers_of(s: &Scenario) -> BTreeSet<&str> {
    let given = s.given.iter().map(|c| c.number.as_str());
    given.chain(s.todo.iter().map(|t| t.number.as_str())).collect()
}

/// Numbers of a range that no other potential has: those that this variant deals out are free to be drawn.
pub(super) fn free_numbers(s: &Scenario, among: &[String], (from, to): (u32, u32)) -> Vec<String> {
    let used = numbers_of(s);
    let free = |number: &String| among.contains(number) || !used.contains(number.as_str());
    (from..=to).map(|n| n.to_string()).filter(free).collect()
}
