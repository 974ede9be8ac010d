//! The program beside the plant: what its memory becomes, by number.

use super::interner::Interner;
use super::plant::Label;
use rustc_hash::FxHashMap;
use sealin_ladder::{Compiled, Memory, Packing};

/// A compiled program whose memories are numbered, each with the output image that its last scan gave.
pub(super) struct Program {
    compiled: Compiled,
    packing: Packing,
    room: Memory,
    known: Interner<(Box<[u64]>, u64)>,
    next: FxHashMap<(u32, u32), u32>,
}

impl Program {
    pub fn new(compiled: Compiled) -> Program {
        Program {
            packing: compiled.packing(),
            room: compiled.cold_start(),
            compiled,
            known: Interner::new(),
            next: FxHashMap::default(),
        }
    }

    /// The memory after a cold start.
    pub fn start(&mut self) -> u32 {
        let memory = self.compiled.cold_start();
        self.number(&memory, 0)
    }

    /// The output image that the next quantum begins with.
    pub fn image(&self, number: u32) -> u64 {
        self.known.value(number).1
    }

    /// Bits of a memory with its image.
    pub fn bits(&self) -> u32 {
        self.packing.width()
    }

    /// The number of a memory with the result of its last scan.
    fn number(&mut self, memory: &Memory, result: u64) -> u32 {
        self.known.number((self.packing.pack(memory), result))
    }

    /// What follows in a quantum in which the controller did what `label` says.
    pub fn follow(&mut self, number: u32, label_number: u32, label: Label) -> u32 {
        if let Some(&next) = self.next.get(&(number, label_number)) {
            return next;
        }
        let (words, mut result) = self.known.value(number).clone();
        let mut memory = std::mem::replace(&mut self.room, self.compiled.cold_start());
        self.packing.unpack(&words, &mut memory);
        if let Some(inputs) = label.scanned {
            result = self.compiled.scan(&mut memory, inputs);
        }
        if label.restarted {
            memory = self.compiled.warm_start(&memory);
            result = 0;
        }
        let next = self.number(&memory, result);
        self.room = memory;
        self.next.insert((number, label_number), next);
        next
    }
}
