//! Numbers that are drawn by the seed of an attempt: the same for everyone who has the seed.

use sealin_core::canon::Writer;

/// Numbers that a seed fixes.
pub(super) struct Lot {
    seed: u64,
    /// What is drawn for: each has numbers of its own.
    purpose: u64,
    drawn: u64,
}

impl Lot {
    /// Those of a seed for this purpose.
    pub fn new(seed: u64, purpose: u64) -> Lot {
        Lot { seed, purpose, drawn: 0 }
    }

    /// One of 0 to `n` - 1, all equally likely.
    pub fn below(&mut self, n: u64) -> u64 {
        // Above the last whole multiple of n the low numbers would come up more often.
        let whole = u64::MAX - u64::MAX % n;
        loop {
            let mut w = Writer::new("sealin lot 1");
            w.u64(self.seed).u64(self.purpose).u64(self.drawn);
            self.drawn += 1;
            let hash = w.finish();
            let value = hash[..8].iter().fold(0, |value, byte| value << 8 | u64::from(*byte));
            if value < whole {
                return value % n;
            }
        }
    }
}

/// Purpose of a hidden fault; those of variants are counted from 0.
const HIDDEN: u64 = u64::MAX;

/// Which of so many faults is hidden under a seed.
pub(super) fn draw(seed: u64, of: usize) -> usize {
    if of == 0 {
        return 0;
    }
    Lot::new(seed, HIDDEN).below(of as u64) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each of three is drawn for some of the first hundred seeds, about as often as the others: 33 of 100 with a standard
    /// deviation of 4.7 each.
    #[test]
    fn all_are_drawn() {
        let mut count = [0; 3];
        (0..100).for_each(|seed| count[draw(seed, 3)] += 1);
        assert!(count.iter().all(|n| (15..=52).contains(n)), "{count:?}");
        assert_eq!(draw(7, 0), 0);
    }
}
