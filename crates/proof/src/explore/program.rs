//! The program beside the plant: what its memory becomes, by number.

use super::interner::Interner;
use super::pairs::Pairs;
use super::plant::{Label, Plant};
use sealin_ladder::{Compiled, Memory, Packing};

/// A compiled program whose memories are numbered, each with the output image that its last scan gave.
pub(super) struct Program {
    compiled: Compiled,
    packing: Packing,
    room: Memory,
    known: Interner<(Box<[u64]>, u64)>,
    images: Interner<u64>,
    /// The number of the image of each memory.
    image_of: Vec<u32>,
    /// By memory and label.
    next: Pairs,
}

impl Program {
    pub fn new(compiled: Compiled) -> Program {
        Program {
            packing: compiled.packing(),
            room: compiled.cold_start(),
            compiled,
            known: Interner::new(),
            images: Interner::new(),
            image_of: Vec::new(),
            next: Pairs::new(),
        }
    }

    /// The memory after a cold start.
    pub fn start(&mut self) -> u32 {
        let memory = self.compiled.cold_start();
        self.number(&memory, 0)
    }

    /// Whether a bench has this memory and this result of its last scan.
    #[cfg(feature = "under-test")]
    pub fn is(&self, number: u32, memory: &Memory, result: u64) -> bool {
        *self.known.value(number) == (self.packing.pack(memory), result)
    }

    /// The output image that the next quantum begins with, with its number.
    #[inline]
    pub fn image(&self, number: u32) -> (u32, u64) {
        let image = self.image_of[number as usize];
        (image, *self.images.value(image))
    }

    /// Bits of a memory with its image.
    pub fn bits(&self) -> u32 {
        self.packing.width()
    }

    /// Bytes that what follows from what takes.
    #[cfg(feature = "under-test")]
    pub fn footprint(&self) -> usize {
        self.next.bytes()
    }

    /// The number of a memory with the result of its last scan.
    fn number(&mut self, memory: &Memory, result: u64) -> u32 {
        let number = self.known.number((self.packing.pack(memory), result));
        if number as usize == self.image_of.len() {
            self.image_of.push(self.images.number(result));
        }
        number
    }

    /// Bytes that its memories take.
    pub fn bytes(&self) -> usize {
        let packed = self.known.len() * self.packing.width().div_ceil(64) as usize * size_of::<u64>();
        let numbers = self.image_of.capacity() * size_of::<u32>();
        self.known.bytes() + packed + numbers
    }

    /// What follows in a quantum in which the controller did what the label of this number says.
    #[inline]
    pub fn follow(&mut self, number: u32, label: u32, plant: &Plant) -> u32 {
        match self.next.get(number, label) {
            Some(next) => next,
            None => self.follow_anew(number, label, plant.label(label)),
        }
    }

    #[cold]
    fn follow_anew(&mut self, number: u32, label_number: u32, label: Label) -> u32 {
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
        self.next.put(number, label_number, next);
        next
    }
}
