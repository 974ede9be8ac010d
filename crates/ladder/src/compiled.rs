//! A compiled program: what it keeps from scan to scan, and the scan.

use std::collections::BTreeMap;

use crate::act::Number;
use crate::block::{Block, Preset};
use crate::gate::{Gate, Stretch, run};
use crate::lane::Lane;
use crate::model::{Address, Comparison, Contact, Operand, Test, VarKind};

/// Name of the variable without address, in any case of letters, that is 1 in the first scan after a restart, be it cold,
/// warm or hot, and 0 afterwards. No rung can write it.
pub const FIRST_SCAN: &str = "first_scan";

/// What a program keeps from one scan to the next: plain data in integers of fixed width.
///
/// It belongs to the [`Compiled`] that made it. Between scans two memories of one program are equal exactly if every
/// variable, timer and counter is, and all that edges remember and have let pass.
#[derive(Clone, PartialEq, Eq, Debug, Hash)]
pub struct Memory {
    /// One byte a bit, 0 or 1: variables in the order of declaration, then the pins of each block, inputs before outputs,
    /// then what edges remember, then scratch that is 0 between scans.
    pub(crate) bits: Box<[u8]>,
    /// Per block in the order of declaration. A timer: 0 at rest, else 1 + the whole scans since it started, no further
    /// than when the time is up. A counter: CV in two's complement. Any other: 0.
    pub(crate) counts: Box<[u32]>,
}

impl Memory {
    /// The bits, one byte each, 0 or 1.
    pub fn bits(&self) -> &[u8] {
        &self.bits
    }

    /// The count of each block.
    pub fn counts(&self) -> &[u32] {
        &self.counts
    }

    /// Appends the memory as bytes, for a hash or a snapshot: bits in order, one byte each, then counts in order, four
    /// bytes each, low byte first. The length is the same for every memory of one program.
    pub fn write_bytes(&self, out: &mut Vec<u8>) {
        out.extend_from_slice(&self.bits);
        for count in &self.counts {
            out.extend_from_slice(&count.to_le_bytes());
        }
    }
}

/// A program compiled for one scan period. Immutable; two are equal if they do the same to the same variables.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Compiled {
    pub(crate) period_ms: u32,
    pub(crate) vars: Vec<VarInfo>,
    /// By name in capitals, pins as `REST.Q` included.
    pub(crate) slots: BTreeMap<String, BitRef>,
    /// Number of bits that are state; beyond them lies scratch.
    pub(crate) state_bits: u32,
    /// Number of all bits, scratch included.
    pub(crate) all_bits: u32,
    /// By index of the count.
    pub(crate) blocks: Vec<BlockInfo>,
    /// By rung and index of the contact; that of an edge coil is the number of contacts.
    pub(crate) edges: BTreeMap<(u32, u32), Edge>,
    pub(crate) first_scan: Option<FirstScan>,
    pub(crate) inputs: Vec<Image>,
    pub(crate) outputs: Vec<Image>,
    pub(crate) gates: Vec<Gate>,
    /// The instructions in stretches, each ended by an act but the last.
    pub(crate) stretches: Vec<Stretch>,
}

/// What is known of a declared variable.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct VarInfo {
    /// Name as its declaration spells it.
    pub name: String,
    /// What sort of thing it is.
    pub kind: VarKind,
    /// Its address, if it has one.
    pub address: Option<Address>,
    /// Value after a cold restart.
    pub initial: bool,
    /// Whether a warm restart keeps it.
    pub retain: bool,
    /// The bit itself, or the first of a block's pins, in the order of [`Block::bits`].
    pub(crate) slot: u32,
    /// Index of a block's count; unused for a bit.
    pub(crate) count: u32,
}

/// What is known of a block.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct BlockInfo {
    pub block: Block,
    /// PT in milliseconds, or PV; 0 for a block without or one that no rung calls.
    pub preset: i32,
    /// Count at which a timer's time is up; 0 for one that no rung calls.
    pub full: u32,
}

impl BlockInfo {
    /// ET or CV, by the index of its count; none for a block without.
    fn value(&self, count: u32) -> Option<Number> {
        Some(match self.block.preset()? {
            Preset::Time => Number::Elapsed { count, full: self.full, preset_ms: self.preset },
            Preset::Count => Number::Counted { count },
        })
    }
}

/// What an edge contact or coil remembers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Edge {
    pub key: EdgeKey,
    /// Slot of what it tested in the scan before: for a falling edge the opposite of the bit.
    pub memory: u32,
    /// Slot of whether a contact passed in the last scan. It is there to be seen: no scan reads what another wrote.
    pub passed: Option<u32>,
}

/// By what an edge of one program is found again in another.
#[derive(Clone, PartialEq, Eq, Debug, PartialOrd, Ord)]
pub(crate) struct EdgeKey {
    /// The bit, in capitals.
    pub name: String,
    pub sort: EdgeSort,
    /// How many of the same there are before it.
    pub nth: u32,
}

/// The four things with an edge.
#[derive(Clone, Copy, PartialEq, Eq, Debug, PartialOrd, Ord)]
pub(crate) enum EdgeSort {
    RisingContact,
    FallingContact,
    RisingCoil,
    FallingCoil,
}

impl EdgeSort {
    /// Whether what it remembers is the opposite.
    pub fn is_falling(self) -> bool {
        matches!(self, EdgeSort::FallingContact | EdgeSort::FallingCoil)
    }
}

/// Slots of the first-scan flag and of whether the program has run since its start.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct FirstScan {
    pub slot: u32,
    pub ran: u32,
}

/// A bit found once by name and read often. It is good for every memory of the program that gave it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub struct BitRef(pub(crate) u32);

/// The figures of a timer or counter.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub struct Figures {
    /// `ET` in milliseconds, or `CV`. The elapsed time grows by whole scan periods and stops at the preset time.
    pub value: i32,
    /// `PT` in milliseconds, or `PV`; 0 for a block that no rung calls.
    pub preset: i32,
}

/// A bit of an image and the slot it is copied from or to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Image {
    pub slot: u32,
    pub bit: u32,
}

/// The number of slots that a block has: one for each Boolean pin, and what F_TRIG remembers besides.
pub(crate) fn slots(block: Block) -> u32 {
    block.bits().count() as u32 + u32::from(block == Block::FTrig)
}

impl Compiled {
    /// The scan period in milliseconds.
    pub fn period_ms(&self) -> u32 {
        self.period_ms
    }

    /// Runs the program once, top to bottom, and gives the output image.
    ///
    /// `inputs` is the input image at the scan's start, bit `byte * 8 + bit` for each `%IX`; so is the result for
    /// `%QX`. Addresses that no variable has are ignored, and 0 in the result. Nothing is allocated.
    ///
    /// # Panics
    ///
    /// If `memory` was made by a program with other variables: that is a mistake of the caller, never of a learner.
    pub fn scan(&self, memory: &mut Memory, inputs: u64) -> u64 {
        assert_eq!(memory.bits.len(), self.all_bits as usize, "the memory of another program");
        assert_eq!(memory.counts.len(), self.blocks.len(), "the memory of another program");
        for image in &self.inputs {
            memory.bits[image.slot as usize] = ((inputs >> image.bit) & 1) as u8;
        }
        self.run_rungs(&mut memory.bits, &mut memory.counts);
        self.outputs
            .iter()
            .fold(0, |image, output| image | (u64::from(memory.bits[output.slot as usize]) << output.bit))
    }

    /// Runs the rungs, on one lane or many.
    pub(crate) fn run_rungs<L: Lane>(&self, bits: &mut [L], counts: &mut [L::Count]) {
        let mut begin = 0;
        for stretch in &self.stretches {
            run(&self.gates[begin..stretch.end as usize], bits);
            begin = stretch.end as usize;
            if let Some(act) = &stretch.act {
                act.run(self.period_ms, bits, counts);
            }
        }
        bits[self.state_bits as usize..].fill(L::NONE);
    }

    /// The declared variables, in order.
    pub fn variables(&self) -> &[VarInfo] {
        &self.vars
    }

    /// The bit of a name, in any case of letters: a variable, or a Boolean pin of a block as `rest.Q`, `parts.CU`.
    pub fn bit(&self, name: &str) -> Option<BitRef> {
        self.slots.get(&name.to_ascii_uppercase()).copied()
    }

    /// The value of a bit found by [`Compiled::bit`]; 0 for one of another program that lies beyond this memory.
    pub fn read(&self, memory: &Memory, bit: BitRef) -> bool {
        memory.bits.get(bit.0 as usize).is_some_and(|value| *value != 0)
    }

    /// The value of a name, as [`Compiled::bit`] takes it; none if the program does not have it.
    pub fn value(&self, memory: &Memory, name: &str) -> Option<bool> {
        self.bit(name).map(|bit| self.read(memory, bit))
    }

    /// The figures of a timer or counter, by name in any case of letters; none if there is no such block.
    pub fn figures(&self, memory: &Memory, name: &str) -> Option<Figures> {
        let (info, count) = self.block(name)?;
        let value = info.value(count)?;
        Some(Figures { value: self.value_of(memory, value), preset: info.preset })
    }

    /// The value that a pin which is no bit has, as a comparison reads it: `rest.ET` and `rest.PT` in milliseconds,
    /// `parts.CV` and `parts.PV` as a count; none if there is no such pin.
    pub fn number(&self, memory: &Memory, name: &str) -> Option<i32> {
        self.number_of(name).map(|(_, number)| self.value_of(memory, number))
    }

    /// The value of a number; 0 with the memory of another program.
    fn value_of(&self, memory: &Memory, number: Number) -> i32 {
        if memory.counts.len() != self.blocks.len() {
            return 0;
        }
        number.value::<u8>(self.period_ms, &memory.counts) as i32
    }

    /// Where the value of a pin as `parts.CV` comes from, and of what sort it is.
    pub(crate) fn number_of(&self, name: &str) -> Option<(Preset, Number)> {
        let (instance, pin) = name.split_once('.')?;
        let (info, count) = self.block(instance)?;
        let sort = info.block.preset()?;
        let number = if pin.eq_ignore_ascii_case(sort.pin()) {
            Number::Constant(info.preset)
        } else if pin.eq_ignore_ascii_case(sort.value()) {
            info.value(count)?
        } else {
            return None;
        };
        Some((sort, number))
    }

    /// Where the two values of a comparison come from, and of what sort they are.
    pub(crate) fn compared(
        &self,
        Comparison { value, with, .. }: &Comparison,
    ) -> Option<(Preset, [Number; 2])> {
        let (left_sort, left) = self.number_of(value)?;
        let (right_sort, right) = match with {
            Operand::Constant(constant) => Number::figure(*constant),
            Operand::Value(name) => self.number_of(name)?,
        };
        (left_sort == right_sort).then_some((left_sort, [left, right]))
    }

    fn block(&self, name: &str) -> Option<(BlockInfo, u32)> {
        let var =
            self.vars.iter().find(|var| var.kind != VarKind::Bool && var.name.eq_ignore_ascii_case(name))?;
        Some((self.blocks[var.count as usize], var.count))
    }

    /// Whether a contact passes with the bits and values of this memory; an edge contact as in the last scan. `rung` and
    /// `index` say which it is, as [`Rung::each_contact`](crate::Rung::each_contact) counts.
    pub fn passes(&self, memory: &Memory, rung: u32, index: u32, contact: &Contact) -> bool {
        match contact {
            Contact::Bit { var, test: Test::Open } => self.value(memory, var) == Some(true),
            Contact::Bit { var, test: Test::Closed } => self.value(memory, var) != Some(true),
            Contact::Bit { .. } => {
                let passed = self.edges.get(&(rung, index)).and_then(|edge| edge.passed);
                passed.is_some_and(|passed| self.read(memory, BitRef(passed)))
            }
            Contact::Compare(comparison) => self
                .sides(memory, comparison)
                .is_some_and(|(_, [left, right])| comparison.relation.holds(left.into(), right.into())),
        }
    }

    /// The two values of a comparison, in milliseconds or as counts; none if there is no such value or they are not of one
    /// sort.
    pub fn sides(&self, memory: &Memory, comparison: &Comparison) -> Option<(Preset, [i32; 2])> {
        let (sort, numbers) = self.compared(comparison)?;
        Some((sort, numbers.map(|number| self.value_of(memory, number))))
    }

    /// Whether a rung with an edge coil passed in the last scan, as the coil remembers it; none for any other rung.
    pub fn remembered(&self, memory: &Memory, rung: u32) -> Option<bool> {
        let mut edges = self.edges.range((rung, 0)..=(rung, u32::MAX)).map(|(_, edge)| edge);
        edges.find(|edge| edge.passed.is_none()).map(|edge| self.tested(memory, edge))
    }

    /// What an edge contact or coil saw in the last scan: the bit, or whether the rung passed.
    pub(crate) fn tested(&self, memory: &Memory, edge: &Edge) -> bool {
        self.read(memory, BitRef(edge.memory)) != edge.key.sort.is_falling()
    }

    /// Whether nothing in the memory goes on by itself: no timer is advancing and no edge has just passed, the first scan
    /// included. If besides a scan gives back the memory it was given, every further scan with the same inputs does.
    pub fn quiet(&self, memory: &Memory) -> bool {
        let advancing = self.blocks.iter().zip(&memory.counts).any(|(info, count)| {
            info.block.preset() == Some(Preset::Time) && *count != 0 && *count != info.full
        });
        let on = |slot: u32| self.read(memory, BitRef(slot));
        let blocks = self
            .vars
            .iter()
            .any(|var| matches!(var.kind, VarKind::Block(Block::RTrig | Block::FTrig)) && on(var.slot + 1));
        let contacts = self.edges.values().filter_map(|edge| edge.passed).any(on);
        !advancing && !blocks && !contacts && self.first_scan.is_none_or(|first| !on(first.slot))
    }
}
