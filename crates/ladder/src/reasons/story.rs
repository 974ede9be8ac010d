//! What is known of the last scan.

use std::collections::BTreeMap;

use super::passes;
use super::smallest::combinations;
use crate::block::Block;
use crate::compiled::{Compiled, Memory};
use crate::model::{Call, Contact, Output, Program, Test};

/// Most old values that are tried to explain the last scan.
const MOST_OLD: u32 = 4_096;

/// What is known of the last scan. Bits are known by their place in the memory.
pub(super) struct Story<'a> {
    pub program: &'a Program,
    pub compiled: &'a Compiled,
    pub memory: &'a Memory,
    /// The last scan changed nothing.
    pub settled: bool,
    /// Every bit after the scan, and one more that is 0: what a name that there is not reads as.
    pub after: Vec<bool>,
    /// The contacts of each rung.
    cells: Vec<Vec<Cell>>,
    /// The bits that each rung writes, in the order of [`Output::written`].
    written: Vec<Vec<usize>>,
    /// The rungs that write each bit.
    writers: Vec<Vec<usize>>,
    /// Of each edge coil whose bit a later rung writes, the index of its guess.
    coils: BTreeMap<usize, usize>,
    /// What the scan found if it has not changed: of comparisons above the call of their block, and of the memory of such
    /// edge coils.
    guesses: Vec<bool>,
}

/// A contact as the last scan evaluated it.
#[derive(Clone, Copy)]
pub(super) enum Cell {
    /// It reads a bit.
    Bit { slot: usize, closed: bool },
    /// It remembers the bit that it saw, and whether it passed.
    Edge { slot: usize, saw: bool, passed: bool },
    /// Its values are those after the scan.
    Compared(bool),
    /// Its values are those of the scan before, wholly or in part: index of the guess.
    ComparedBefore(usize),
}

/// What the last scan may have found.
#[derive(Clone)]
pub(super) struct Old {
    pub bits: Vec<bool>,
    pub guesses: Vec<bool>,
}

impl<'a> Story<'a> {
    pub fn new(program: &'a Program, compiled: &'a Compiled, memory: &'a Memory, settled: bool) -> Self {
        let state = compiled.state_bits as usize;
        let mut after: Vec<bool> = memory.bits().iter().take(state).map(|bit| *bit != 0).collect();
        after.resize(state + 1, false);
        let mut story = Story {
            program,
            compiled,
            memory,
            settled,
            after,
            cells: Vec::new(),
            written: Vec::new(),
            writers: vec![Vec::new(); state + 1],
            coils: BTreeMap::new(),
            guesses: Vec::new(),
        };
        for (k, rung) in program.rungs.iter().enumerate() {
            let written: Vec<usize> = rung.output.written().iter().map(|name| story.slot(name)).collect();
            written.iter().for_each(|slot| story.writers[*slot].push(k));
            story.written.push(written);
        }
        story.note_contacts();
        story.note_coils();
        story
    }

    /// The place of a bit.
    pub fn slot(&self, name: &str) -> usize {
        self.compiled.bit(name).map_or(self.after.len() - 1, |bit| bit.0 as usize)
    }

    fn note_contacts(&mut self) {
        let mut calls: BTreeMap<String, usize> = BTreeMap::new();
        for (k, rung) in self.program.rungs.iter().enumerate() {
            if let Output::Block(call) = &rung.output {
                calls.insert(call.instance.to_ascii_uppercase(), k);
            }
        }
        let mut moments: BTreeMap<String, usize> = BTreeMap::new();
        for (k, rung) in self.program.rungs.iter().enumerate() {
            let mut cells = Vec::new();
            rung.each_contact(&mut |contact| {
                let place = (k, cells.len() as u32);
                cells.push(match contact {
                    Contact::Bit { var, test: test @ (Test::Open | Test::Closed) } => {
                        Cell::Bit { slot: self.slot(var), closed: *test == Test::Closed }
                    }
                    Contact::Bit { var, .. } => Cell::Edge {
                        slot: self.slot(var),
                        saw: self.tested(place).unwrap_or(false),
                        passed: self.holds(place, contact),
                    },
                    Contact::Compare(_) => match moment(&calls, k, contact) {
                        None => Cell::Compared(self.holds(place, contact)),
                        Some(moment) => Cell::ComparedBefore(*moments.entry(moment).or_insert_with(|| {
                            self.guesses.push(self.holds(place, contact));
                            self.guesses.len() - 1
                        })),
                    },
                });
            });
            self.cells.push(cells);
        }
    }

    fn note_coils(&mut self) {
        for k in 0..self.program.rungs.len() {
            if let Some(passed) = self.compiled.remembered(self.memory, k as u32)
                && !self.is_last(k, self.written[k][0])
            {
                self.coils.insert(k, self.guesses.len());
                self.guesses.push(passed);
            }
        }
    }

    /// Indices of the rungs that write a bit.
    pub fn writers(&self, slot: usize) -> &[usize] {
        &self.writers[slot]
    }

    /// Whether no later rung writes this bit.
    pub fn is_last(&self, k: usize, slot: usize) -> bool {
        self.writers[slot].last() == Some(&k)
    }

    pub fn cell(&self, (rung, index): (usize, u32)) -> Cell {
        self.cells[rung][index as usize]
    }

    /// What an edge coil remembered, where a later rung has written its bit.
    pub fn coil(&self, rung: usize, old: &Old) -> bool {
        self.coils.get(&rung).is_some_and(|guess| old.guesses[*guess])
    }

    /// Whether what a rung makes of the target comes back to a later rung that writes it, by way of another bit: then more
    /// would change than what is turned over.
    pub fn roundabout(&self, target: &str, writers: &[usize]) -> bool {
        let (Some(&first), Some(&last)) = (writers.first(), writers.last()) else { return false };
        let mut touched: Vec<String> = Vec::new();
        for k in first + 1..=last {
            let rung = &self.program.rungs[k];
            let writes = writers.contains(&k);
            let mut reads = false;
            rung.each_contact(&mut |contact| {
                for name in contact.names() {
                    let own = !writes && name.eq_ignore_ascii_case(target);
                    reads |= own || touched.iter().any(|touched| name.eq_ignore_ascii_case(touched));
                }
            });
            if reads && writes {
                return true;
            }
            if reads {
                touched.extend(rung.output.written());
                if let Output::Block(Call { instance, block, .. }) = &rung.output {
                    touched.extend(block.value().map(|value| format!("{instance}.{value}")));
                }
            }
        }
        false
    }

    /// Everything from which the scan leads to what is there now, the nearest to the present first; and whether nothing was
    /// left untried.
    pub fn olds(&self) -> (Vec<Old>, bool) {
        let mut present = Old { bits: self.after.clone(), guesses: self.guesses.clone() };
        if self.settled {
            return (vec![present], true);
        }
        let bits = self.free(&mut present);
        let mut found = Vec::new();
        let mut tries = 0;
        let count = bits.len() + present.guesses.len();
        for size in 0..=count {
            let complete = combinations(count, size, &mut |chosen| {
                tries += 1;
                let mut old = present.clone();
                for &k in chosen {
                    match bits.get(k) {
                        Some(slot) => old.bits[*slot] = !old.bits[*slot],
                        None => old.guesses[k - bits.len()] = !old.guesses[k - bits.len()],
                    }
                }
                if self.walk(&old, &mut |_, _| ()) {
                    found.push(old);
                }
                tries < MOST_OLD
            });
            if !complete {
                return (found, false);
            }
        }
        (found, true)
    }

    /// Bits whose old value the scan can have read and nothing tells. Those that an edge contact saw are put into `old`.
    fn free(&self, old: &mut Old) -> Vec<usize> {
        let mut written_yet = vec![false; self.after.len()];
        let mut told = vec![false; self.after.len()];
        let mut free: Vec<usize> = Vec::new();
        for (k, rung) in self.program.rungs.iter().enumerate() {
            let mut read = |slot: usize, saw: Option<bool>| {
                // What no rung writes has no other old value.
                if written_yet[slot] || self.writers[slot].is_empty() {
                    return;
                }
                if let Some(saw) = saw {
                    (old.bits[slot], told[slot]) = (saw, true);
                } else if !free.contains(&slot) {
                    free.push(slot);
                }
            };
            for cell in &self.cells[k] {
                match *cell {
                    Cell::Bit { slot, .. } => read(slot, None),
                    Cell::Edge { slot, saw, .. } => read(slot, Some(saw)),
                    Cell::Compared(_) | Cell::ComparedBefore(_) => {}
                }
            }
            match &rung.output {
                Output::Set { .. } | Output::Reset { .. } => read(self.written[k][0], None),
                Output::Block(Call { block: Block::Sr | Block::Rs, .. }) => {
                    self.written[k].last().into_iter().for_each(|q1| read(*q1, None));
                }
                _ => {}
            }
            self.written[k].iter().for_each(|slot| written_yet[*slot] = true);
        }
        free.retain(|slot| !told[*slot]);
        free
    }

    /// Runs the rungs over what the scan may have found, showing each rung the bits as it finds them, and says whether they
    /// lead to what is there after the scan. What a timer or counter gives is what it has given.
    pub fn walk(&self, old: &Old, seen: &mut dyn FnMut(usize, &[bool])) -> bool {
        let mut bits = old.bits.clone();
        let mut inputs = Vec::new();
        for (k, rung) in self.program.rungs.iter().enumerate() {
            seen(k, &bits);
            let mut agrees = true;
            let mut index = 0;
            let mut read = |index: u32, _: &Contact| match self.cells[k][index as usize] {
                Cell::Bit { slot, closed } => bits[slot] != closed,
                Cell::Edge { slot, saw, passed } => {
                    agrees &= bits[slot] == saw;
                    passed
                }
                Cell::Compared(holds) => holds,
                Cell::ComparedBefore(guess) => old.guesses[guess],
            };
            inputs.clear();
            inputs.push(passes(&rung.logic, &mut index, &mut read));
            if let Output::Block(call) = &rung.output {
                for network in &call.further {
                    inputs.push(network.as_ref().is_some_and(|n| passes(n, &mut index, &mut read)));
                }
                inputs.resize(call.block.inputs().len(), false);
            }
            // An edge coil, too, remembers what it saw.
            agrees &= self.tested((k, index)).is_none_or(|passed| passed == inputs[0]);
            for (pin, slot) in self.written[k].iter().enumerate() {
                let now = self.output(k, pin, &inputs, &bits, old);
                // Nothing comes after the last rung that writes a bit.
                agrees &= !self.is_last(k, *slot) || now == self.after[*slot];
                bits[*slot] = now;
            }
            if !agrees {
                return false;
            }
        }
        true
    }

    /// What a rung writes to its bit of that index.
    fn output(&self, k: usize, pin: usize, inputs: &[bool], bits: &[bool], old: &Old) -> bool {
        let slot = self.written[k][pin];
        let after = self.after[slot];
        // What an edge coil gave is known if no later rung has written its bit.
        let told = self.is_last(k, slot);
        match (&self.program.rungs[k].output, inputs) {
            (Output::Coil { .. }, [passes, ..]) => *passes,
            (Output::Negated { .. }, [passes, ..]) => !passes,
            (Output::Set { .. }, [passes, ..]) => *passes || bits[slot],
            (Output::Reset { .. }, [passes, ..]) => !passes && bits[slot],
            (Output::Rising { .. }, [passes, ..]) => *passes && if told { after } else { !self.coil(k, old) },
            (Output::Falling { .. }, [passes, ..]) => !passes && if told { after } else { self.coil(k, old) },
            (Output::Block(_), inputs) if pin < inputs.len() => inputs[pin],
            (Output::Block(Call { block: Block::Sr, .. }), [set, reset]) => *set || !reset && bits[slot],
            (Output::Block(Call { block: Block::Rs, .. }), [set, reset]) => !reset && (*set || bits[slot]),
            (Output::Block(Call { block: Block::RTrig, .. }), [clk]) => *clk && after,
            (Output::Block(Call { block: Block::FTrig, .. }), [clk]) => !clk && after,
            _ => after,
        }
    }

    /// Whether a contact passes with what is there after the scan; an edge contact as in the scan.
    fn holds(&self, (rung, index): (usize, u32), contact: &Contact) -> bool {
        self.compiled.passes(self.memory, rung as u32, index, contact)
    }

    /// What an edge contact or coil saw in the last scan: the bit, or whether the rung passed. None if there is none.
    pub fn tested(&self, (rung, index): (usize, u32)) -> Option<bool> {
        let edge = self.compiled.edges.get(&(rung as u32, index))?;
        Some(self.compiled.tested(self.memory, edge))
    }
}

/// A name for the moment at which a comparison on a rung reads values that the scan has not renewed yet, by the rungs that
/// call the blocks; none if it reads what is there after the scan.
fn moment(calls: &BTreeMap<String, usize>, rung: usize, contact: &Contact) -> Option<String> {
    let is_old = |name: &str| {
        let instance = name.split('.').next().unwrap_or_default().to_ascii_uppercase();
        calls.get(&instance).is_some_and(|call| *call >= rung)
    };
    let old: Vec<bool> = contact.names().map(is_old).collect();
    old.contains(&true).then(|| format!("{contact:?} {old:?}").to_ascii_uppercase())
}
