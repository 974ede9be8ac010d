//! Sixty-four memories of one program, run at once.

use crate::compiled::{Compiled, Memory};
use crate::lane::{Digits, Lane};

/// How many lanes there are.
pub const LANES: usize = 64;

/// What a program keeps from scan to scan in each of 64 lanes, which know nothing of each other.
///
/// It belongs to the [`Compiled`] that made it. Bit `n` of every word is lane `n`.
#[derive(Clone, PartialEq, Eq, Debug, Hash)]
pub struct Lanes {
    /// One word a bit, in the order of [`Memory::bits`].
    bits: Box<[u64]>,
    /// For each block a word for each binary digit of its count, the lowest first, in the order of [`Memory::counts`].
    counts: Box<[Digits]>,
}

impl Lanes {
    /// The memory of one lane.
    ///
    /// # Panics
    ///
    /// If there is no such lane.
    pub fn get(&self, lane: usize) -> Memory {
        assert!(lane < LANES, "lane {lane} of {LANES}");
        Memory {
            bits: self.bits.iter().map(|word| (word >> lane & 1) as u8).collect(),
            counts: self.counts.iter().map(|digits| count(digits, lane)).collect(),
        }
    }

    /// Puts a memory into one lane.
    ///
    /// # Panics
    ///
    /// If there is no such lane, or the memory was made by a program with other variables.
    pub fn set(&mut self, lane: usize, memory: &Memory) {
        assert!(lane < LANES, "lane {lane} of {LANES}");
        assert_eq!(memory.bits.len(), self.bits.len(), "the memory of another program");
        assert_eq!(memory.counts.len(), self.counts.len(), "the memory of another program");
        let put = |word: &mut u64, bit: u64| *word = *word & !(1 << lane) | bit << lane;
        for (word, bit) in self.bits.iter_mut().zip(&memory.bits) {
            put(word, (*bit).into());
        }
        for (digits, count) in self.counts.iter_mut().zip(&memory.counts) {
            for (digit, word) in digits.iter_mut().enumerate() {
                put(word, u64::from(count >> digit & 1));
            }
        }
    }
}

fn count(digits: &Digits, lane: usize) -> u32 {
    digits.iter().enumerate().fold(0, |count, (digit, word)| count | ((word >> lane & 1) as u32) << digit)
}

impl Compiled {
    /// Lanes that all have the same memory.
    pub fn lanes(&self, memory: &Memory) -> Lanes {
        Lanes {
            bits: memory.bits.iter().map(|bit| u64::from(*bit).wrapping_neg()).collect(),
            counts: memory.counts.iter().map(|count| u64::same(*count as i32)).collect(),
        }
    }

    /// Runs the program once in every lane, as [`Compiled::scan`] does in one, and gives the output images.
    ///
    /// Images stand bit by bit: word `byte * 8 + bit` holds that bit of every lane. [`transpose`] makes them of one image
    /// a lane, and back. Nothing is allocated.
    ///
    /// # Panics
    ///
    /// If `lanes` was made by a program with other variables: that is a mistake of the caller, never of a learner.
    pub fn scan_lanes(&self, lanes: &mut Lanes, inputs: &[u64; 64]) -> [u64; 64] {
        assert_eq!(lanes.bits.len(), self.all_bits as usize, "the memory of another program");
        assert_eq!(lanes.counts.len(), self.blocks.len(), "the memory of another program");
        for image in &self.inputs {
            lanes.bits[image.slot as usize] = inputs[image.bit as usize];
        }
        self.run_rungs(&mut lanes.bits, &mut lanes.counts);
        let mut outputs = [0; 64];
        for image in &self.outputs {
            outputs[image.bit as usize] |= lanes.bits[image.slot as usize];
        }
        outputs
    }
}

/// Changes rows and columns: bit `n` of word `m` becomes bit `m` of word `n`.
pub fn transpose(words: &[u64; 64]) -> [u64; 64] {
    let mut turned = *words;
    // Blocks of half the size change places, down to single bits.
    for (size, mask) in [
        (32, 0x0000_0000_ffff_ffff_u64),
        (16, 0x0000_ffff_0000_ffff),
        (8, 0x00ff_00ff_00ff_00ff),
        (4, 0x0f0f_0f0f_0f0f_0f0f),
        (2, 0x3333_3333_3333_3333),
        (1, 0x5555_5555_5555_5555),
    ] {
        for row in (0..64).filter(|row| row & size == 0) {
            let swapped = (turned[row] >> size ^ turned[row + size]) & mask;
            turned[row] ^= swapped << size;
            turned[row + size] ^= swapped;
        }
    }
    turned
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_become_columns() {
        let words = std::array::from_fn(|m| (m as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let turned = transpose(&words);
        for (m, word) in words.iter().enumerate() {
            for (n, other) in turned.iter().enumerate() {
                assert_eq!(other >> m & 1, word >> n & 1, "{m}, {n}");
            }
        }
    }
}
