//! A program's memory as few bits: what decides what later scans do, and nothing else.

use crate::bits;
use crate::block::Preset;
use crate::compiled::{Compiled, Memory};
use crate::model::VarKind;

/// Which parts of a memory decide what later scans do, and how wide each is.
///
/// Left out are input variables, which every scan reads anew, scratch, and what edge contacts have let pass, which is
/// there to be seen only. Two memories with the same packed bits give the same outputs for the same inputs for good.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Packing {
    /// Slots of the bits.
    bits: Vec<u32>,
    counts: Vec<Count>,
}

/// A count in a packed memory.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Count {
    index: u32,
    width: u32,
    /// CV of a counter, which may be negative.
    signed: bool,
}

impl Compiled {
    /// How memories of this program are packed.
    pub fn packing(&self) -> Packing {
        let read_anew = |slot: u32| self.inputs.iter().any(|image| image.slot == slot);
        let seen_only = |slot: u32| self.edges.values().any(|edge| edge.passed == Some(slot));
        let bits = (0..self.state_bits).filter(|&slot| !read_anew(slot) && !seen_only(slot)).collect();
        let counts = self.vars.iter().filter(|var| var.kind != VarKind::Bool).filter_map(|var| {
            let info = self.blocks[var.count as usize];
            let (width, signed) = match info.block.preset()? {
                Preset::Time => (u32::BITS - info.full.leading_zeros(), false),
                Preset::Count => (i16::BITS, true),
            };
            (width > 0).then_some(Count { index: var.count, width, signed })
        });
        Packing { bits, counts: counts.collect() }
    }
}

impl Packing {
    /// Number of bits of a packed memory.
    pub fn width(&self) -> u32 {
        self.bits.len() as u32 + self.counts.iter().map(|count| count.width).sum::<u32>()
    }

    /// A memory, 64 bits a word, from bit 0 of the first word on; the last word is filled with 0.
    pub fn pack(&self, memory: &Memory) -> Box<[u64]> {
        let mut words = vec![0; self.width().div_ceil(64) as usize].into_boxed_slice();
        let mut at = 0;
        for &slot in &self.bits {
            bits::put(&mut words, at, 1, memory.bits[slot as usize].into());
            at += 1;
        }
        for count in &self.counts {
            bits::put(&mut words, at, count.width, memory.counts[count.index as usize].into());
            at += count.width;
        }
        words
    }

    /// The memory that was packed, on one of the same program; what is not packed stays as it is there.
    pub fn unpack(&self, words: &[u64], memory: &mut Memory) {
        let mut at = 0;
        for &slot in &self.bits {
            memory.bits[slot as usize] = bits::get(words, at, 1) as u8;
            at += 1;
        }
        for count in &self.counts {
            let value = bits::get(words, at, count.width);
            memory.counts[count.index as usize] =
                if count.signed { i32::from(value as i16) as u32 } else { value as u32 };
            at += count.width;
        }
    }
}
