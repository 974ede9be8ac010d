//! Why a bit of the program is 0 or 1 after the last scan.
//!
//! The memory knows what the scan left, not what it found. A bit that a rung reads before the scan writes it had the
//! value of the scan before; such values are worked out here: the scan must have led from them to what is there now.
//! Where more than one set of old values would, the reason says that it is not sure.

mod reading;

use std::collections::BTreeMap;

use crate::block::Block;
use crate::compiled::{Compiled, Memory};
use crate::model::{Address, Area, Contact, Network, Output, Program, Test, VarKind};
use reading::Reading;

/// Why a bit has its value.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reason {
    /// The input image gave it.
    Input(Address),
    /// No rung writes it: it has its initial value, or what a restart kept.
    Unwritten,
    /// The memory does not follow from any scan of this program: it has not run since a start or a transfer.
    NotRun,
    /// The output of an on-delay timer: its time, and whether it is running or up.
    Timer {
        /// Name of the instance.
        instance: String,
        /// `ET`, ms.
        elapsed_ms: u32,
        /// `PT`, ms.
        preset_ms: u32,
        /// `IN`.
        running: bool,
    },
    /// A pin of another block, which no rung writes by itself.
    Block {
        /// Name of the instance.
        instance: String,
    },
    /// What the rungs that drive it made of the bits they read.
    Rungs(Decided),
}

/// A smallest set of bits as the rungs read them: were all of them otherwise, so would be the result, and no fewer do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Decided {
    /// Index of the rung that decided: the last that acted, else the one that could have.
    pub rung: u32,
    /// The set, leftmost contact first. Empty when no contact matters, as with a plain link.
    pub set: Vec<Seen>,
    /// Whether the old values that were read are certain.
    pub sure: bool,
    /// More contacts than could be searched: the set is one that changes the result, perhaps not a smallest.
    pub bounded: bool,
}

/// A bit as rungs read it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Seen {
    /// Its name, as the first contact spells it.
    pub var: String,
    /// The value that was read.
    pub value: bool,
    /// The scan had not written it yet: it is the value of the scan before.
    pub before: bool,
    /// The contacts that read it: rung and index of the contact in reading order. Empty for the old value of a bit that
    /// a set or reset coil keeps.
    pub places: Vec<(u32, u32)>,
}

/// Most evaluations in the search for a set.
const MOST_TRIES: u32 = 60_000;

/// Most old values that are tried to explain the last scan.
const MOST_OLD: u32 = 4_096;

/// Why `name` (a variable, or a pin as `rest.Q`) has its value in this memory; none if there is no such bit.
///
/// `settled` says that the last scan changed nothing, so that what it found is what it left.
pub fn reason(
    program: &Program,
    compiled: &Compiled,
    memory: &Memory,
    settled: bool,
    name: &str,
) -> Option<Reason> {
    let after = compiled.value(memory, name)?;
    if let Some((instance, pin)) = name.split_once('.') {
        if pin.eq_ignore_ascii_case("Q") && is_ton(program, instance) {
            let figures = compiled.figures(memory, instance)?;
            let [elapsed_ms, preset_ms] = [figures.value, figures.preset].map(i32::unsigned_abs);
            let running = compiled.value(memory, &format!("{instance}.IN"))?;
            return Some(Reason::Timer { instance: instance.to_string(), elapsed_ms, preset_ms, running });
        }
        if !pin.eq_ignore_ascii_case("IN") {
            return Some(Reason::Block { instance: instance.to_string() });
        }
    }
    let address =
        compiled.variables().iter().find(|v| v.name.eq_ignore_ascii_case(name)).and_then(|v| v.address);
    if let Some(address) = address.filter(|a| a.area == Area::Input) {
        return Some(Reason::Input(address));
    }
    let story = Story::new(program, compiled, memory);
    let target = name.to_ascii_uppercase();
    let writers = story.writers(&target);
    if writers.is_empty() {
        return Some(Reason::Unwritten);
    }
    let (olds, all) = if settled { (vec![story.after.clone()], true) } else { story.olds() };
    let Some(old) = olds.first() else { return Some(Reason::NotRun) };
    let read = Reading::new(&story, &target, &writers, old);
    if read.result(&[]) != after {
        return Some(Reason::NotRun);
    }
    let mut decided = read.decide();
    decided.sure = all
        && !story.roundabout(&target, &writers)
        && olds.iter().skip(1).all(|other| {
            let other = Reading::new(&story, &target, &writers, other);
            other.symbols.iter().map(|s| s.value).eq(read.symbols.iter().map(|s| s.value))
        });
    Some(Reason::Rungs(decided))
}

fn is_ton(program: &Program, instance: &str) -> bool {
    program.vars.iter().any(|v| v.kind == VarKind::Block(Block::Ton) && v.name.eq_ignore_ascii_case(instance))
}

type Bits = BTreeMap<String, bool>;

/// What is known of the last scan. Names are in capitals.
struct Story<'a> {
    program: &'a Program,
    /// Every bit after the scan.
    after: Bits,
}

impl<'a> Story<'a> {
    fn new(program: &'a Program, compiled: &Compiled, memory: &Memory) -> Self {
        let mut after = Bits::new();
        let mut note = |name: String| {
            if let Some(value) = compiled.value(memory, &name) {
                after.insert(name, value);
            }
        };
        for var in &program.vars {
            note(var.name.to_ascii_uppercase());
        }
        for rung in &program.rungs {
            rung.each_contact(&mut |contact| {
                contact.bit().into_iter().for_each(|var| note(var.to_ascii_uppercase()))
            });
            for name in written(&rung.output) {
                note(name);
            }
        }
        Story { program, after }
    }

    /// Indices of the rungs that write a bit.
    fn writers(&self, target: &str) -> Vec<usize> {
        let rungs = self.program.rungs.iter().enumerate();
        rungs.filter(|(_, r)| written(&r.output).iter().any(|w| w == target)).map(|(k, _)| k).collect()
    }

    /// Whether what a rung makes of the target comes back to a later rung that writes it, by way of another bit: then more
    /// would change than what is turned over.
    fn roundabout(&self, target: &str, writers: &[usize]) -> bool {
        let (Some(&first), Some(&last)) = (writers.first(), writers.last()) else { return false };
        let mut touched: Vec<String> = Vec::new();
        for k in first + 1..=last {
            let rung = &self.program.rungs[k];
            let writes = writers.contains(&k);
            let mut reads = false;
            rung.each_contact(&mut |contact| {
                for name in contact.names() {
                    let name = name.to_ascii_uppercase();
                    reads |= touched.contains(&name) || !writes && name == target;
                }
            });
            if reads && writes {
                return true;
            }
            if reads {
                touched.extend(written(&rung.output));
            }
        }
        false
    }

    /// Every set of old values from which the scan leads to what is there now, the nearest to the present first; and
    /// whether none was left untried.
    fn olds(&self) -> (Vec<Bits>, bool) {
        let free = self.free();
        let mut found = Vec::new();
        let mut tries = 0;
        for size in 0..=free.len() {
            let complete = combinations(free.len(), size, &mut |chosen| {
                tries += 1;
                let mut old = self.after.clone();
                for &k in chosen {
                    if let Some(value) = old.get_mut(&free[k]) {
                        *value = !*value;
                    }
                }
                if self.leads_here(&old) {
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

    /// Bits whose old value the scan can have read.
    fn free(&self) -> Vec<String> {
        let mut written_yet: Vec<String> = Vec::new();
        let mut free = Vec::new();
        for rung in &self.program.rungs {
            let mut read = |name: String| {
                if !written_yet.contains(&name) && !free.contains(&name) {
                    free.push(name);
                }
            };
            rung.each_contact(&mut |contact| {
                contact.bit().into_iter().for_each(|var| read(var.to_ascii_uppercase()))
            });
            if let Output::Set { var } | Output::Reset { var } = &rung.output {
                read(var.to_ascii_uppercase());
            }
            written_yet.extend(written(&rung.output));
        }
        // What no rung writes has no other old value.
        free.retain(|name| written_yet.contains(name));
        free
    }

    fn leads_here(&self, old: &Bits) -> bool {
        self.walk(old, &mut |_, _| ()) == self.after
    }

    /// Runs the rungs over a set of bits, showing each rung the bits as it finds them. What a block gives is what it has
    /// given.
    fn walk(&self, old: &Bits, seen: &mut dyn FnMut(usize, &Bits)) -> Bits {
        let mut bits = old.clone();
        for (k, rung) in self.program.rungs.iter().enumerate() {
            seen(k, &bits);
            let passes = passes(&rung.logic, &mut 0, &mut |_, var| value(&bits, var));
            for name in written(&rung.output) {
                let now = match &rung.output {
                    Output::Coil { .. } => passes,
                    Output::Negated { .. } => !passes,
                    Output::Set { .. } => passes || value(&bits, &name),
                    Output::Reset { .. } => !passes && value(&bits, &name),
                    _ if name.ends_with(".IN") => passes,
                    _ => value(&self.after, &name),
                };
                bits.insert(name, now);
            }
        }
        bits
    }
}

fn value(bits: &Bits, var: &str) -> bool {
    bits.get(&var.to_ascii_uppercase()).copied().unwrap_or(false)
}

/// Names of the bits that an output writes, in capitals.
fn written(output: &Output) -> Vec<String> {
    output.written().iter().map(|name| name.to_ascii_uppercase()).collect()
}

/// Whether a network passes, by a way to read contact `index` of name `var`.
fn passes(logic: &Network, index: &mut u32, read: &mut dyn FnMut(u32, &str) -> bool) -> bool {
    match logic {
        Network::Contact(Contact::Compare(_)) => {
            *index += 1;
            false
        }
        Network::Contact(Contact::Bit { var, test }) => {
            let bit = read(*index, var);
            *index += 1;
            bit != (*test == Test::Closed)
        }
        // Every contact is visited, so that the index counts all.
        Network::Series(parts) => parts.iter().filter(|p| !passes(p, index, read)).count() == 0,
        Network::Parallel(parts) => parts.iter().filter(|p| passes(p, index, read)).count() != 0,
        Network::True => true,
        Network::False => false,
    }
}

/// Calls `take` with every choice of `size` out of `count`, in lexicographic order, until it says no. Returns whether
/// all were taken.
fn combinations(count: usize, size: usize, take: &mut dyn FnMut(&[usize]) -> bool) -> bool {
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
