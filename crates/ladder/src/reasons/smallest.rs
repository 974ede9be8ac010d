//! Smallest sets of things that decide a result, found by turning them over.

use super::Seen;

/// Most evaluations in the search for a set.
const MOST_TRIES: u32 = 60_000;

/// Most guessed values of which every combination is tried.
const MOST_GUESSED: usize = 6;

/// Most things in a set of which every part is tried.
const MOST_IN_SET: usize = 8;

/// A thing at one moment of the scan that can be turned over.
pub(super) struct Symbol {
    pub seen: Seen,
    /// Nothing tells the value any more.
    pub guessed: bool,
}

/// The smallest set that changes the result, the first in the order among those of its size; and whether the search was
/// given up before one was found.
pub(super) fn smallest(order: &[usize], result: &dyn Fn(&[usize]) -> bool) -> (Vec<usize>, bool) {
    let value = result(&[]);
    let mut tries = 0;
    let mut set: Vec<usize> = Vec::new();
    for size in 1..=order.len() {
        let complete = combinations(order.len(), size, &mut |chosen| {
            tries += 1;
            let flipped: Vec<usize> = chosen.iter().map(|&k| order[k]).collect();
            if result(&flipped) != value {
                set = flipped;
                return false;
            }
            tries < MOST_TRIES
        });
        if !complete {
            let bounded = set.is_empty();
            return (set, bounded);
        }
    }
    (set, false)
}

/// Whether a set decides the result, which is `value`, and no part of it does, whatever the guessed values were. A symbol
/// that is turned over twice is as it was.
pub(super) fn certain(
    symbols: &[Symbol],
    set: &[usize],
    value: bool,
    result: &dyn Fn(&[usize]) -> bool,
) -> bool {
    let guessed: Vec<usize> = (0..symbols.len()).filter(|&s| symbols[s].guessed).collect();
    if guessed.len() > MOST_GUESSED || set.len() > MOST_IN_SET || set.iter().any(|s| guessed.contains(s)) {
        return false;
    }
    let part = |of: &[usize], mask: u32| -> Vec<usize> {
        of.iter().enumerate().filter(|(k, _)| mask >> k & 1 != 0).map(|(_, &s)| s).collect()
    };
    (0..1 << guessed.len()).all(|others| {
        let others = part(&guessed, others);
        // Values with which the result would not be what it is were not there.
        result(&others) != value
            || (0..1u32 << set.len()).all(|mask| {
                let turned = [part(set, mask), others.clone()].concat();
                (result(&turned) != value) == (!set.is_empty() && mask + 1 == 1 << set.len())
            })
    })
}

/// Calls `take` with every choice of `size` out of `count`, in lexicographic order, until it says no. Returns whether
/// all were taken.
pub(super) fn combinations(count: usize, size: usize, take: &mut dyn FnMut(&[usize]) -> bool) -> bool {
    if size > count {
        return true;
    }
    let mut chosen: Vec<usize> = (0..size).collect();
    loop {
        if !take(&chosen) {
            return false;
        }
        let Some(k) = (0..size).rev().find(|&k| chosen[k] < count - size + k) else { return true };
        chosen[k] += 1;
        for next in k + 1..size {
            chosen[next] = chosen[next - 1] + 1;
        }
    }
}
