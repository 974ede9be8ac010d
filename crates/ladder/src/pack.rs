//! A program's memory as few bits: what decides what later scans do, and nothing else.

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

    /// Appends a memory to `out`, 64 bits a word, from bit 0 of the first word on; the last word is filled with 0.
    pub fn pack(&self, memory: &Memory, out: &mut Vec<u64>) {
        let mut word = 0u64;
        let mut filled = 0;
        let mut put = |value: u64, width: u32, out: &mut Vec<u64>| {
            word |= value << filled;
            if filled + width >= 64 {
                out.push(word);
                word = if filled == 0 { 0 } else { value >> (64 - filled) };
                filled = filled + width - 64;
            } else {
                filled += width;
            }
        };
        for &slot in &self.bits {
            put(u64::from(memory.bits[slot as usize]), 1, out);
        }
        for count in &self.counts {
            let mask = (1u64 << count.width) - 1;
            put(u64::from(memory.counts[count.index as usize]) & mask, count.width, out);
        }
        if filled > 0 {
            out.push(word);
        }
    }

    /// The memory that was packed, on one of the same program; what is not packed stays as it is there.
    pub fn unpack(&self, words: &[u64], memory: &mut Memory) {
        let mut at = 0u32;
        let mut take = |width: u32| {
            let (word, shift) = ((at / 64) as usize, at % 64);
            at += width;
            let mut value = words[word] >> shift;
            if shift + width > 64 {
                value |= words[word + 1] << (64 - shift);
            }
            value & ((1u64 << width) - 1)
        };
        for &slot in &self.bits {
            memory.bits[slot as usize] = take(1) as u8;
        }
        for count in &self.counts {
            let value = take(count.width);
            memory.counts[count.index as usize] =
                if count.signed { i32::from(value as i16) as u32 } else { value as u32 };
        }
    }
}
