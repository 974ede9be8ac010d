//! Why a bit of the program is 0 or 1 after the last scan.
//!
//! The memory knows what the scan left, not what it found. A bit that a rung reads before the scan writes it had the
//! value of the scan before; such values are worked out here: the scan must have led from them to what is there now.
//! So it is with what a comparison found above the call of its block, and with what edges remembered. Where more than one
//! set of old values would do and the answer hangs on it, the reason says that it is not sure.

mod pins;
mod reading;
mod smallest;
mod story;

use crate::compiled::{Compiled, FIRST_SCAN, Memory};
use crate::model::{Address, Area, Comparison, Network, Program};
use reading::Reading;
use story::Story;

/// Why a bit has its value.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reason {
    /// The input image gave it.
    Input(Address),
    /// The controller gives it: it is the first-scan flag.
    FirstScan,
    /// No rung writes it: it has its initial value, or what a restart kept.
    Unwritten,
    /// The memory does not follow from any scan of this program: it has not run since a start or a transfer.
    NotRun,
    /// What a block made of its inputs and of what it remembers; the rung is the one that calls it.
    Block(Decided),
    /// What the rungs that drive it made of what they read.
    Rungs(Decided),
}

/// A smallest set of things as they were read: were all of them otherwise, so would be the result, and no fewer do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Decided {
    /// Index of the rung that decided: the last that acted, else the one that could have.
    pub rung: u32,
    /// The set, leftmost contact first. Empty when nothing matters, as with a plain link.
    pub set: Vec<Seen>,
    /// Whether the old values that were read are certain, as far as the set hangs on them.
    pub sure: bool,
    /// More contacts than could be searched: the set is one that changes the result, perhaps not a smallest.
    pub bounded: bool,
}

/// Something with two values as rungs or blocks read it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Seen {
    /// What was read.
    pub what: What,
    /// The value that was read.
    pub value: bool,
    /// The scan had not written it yet: it is the value of the scan before.
    pub before: bool,
    /// The contacts that read it: rung and index of the contact in reading order. Empty for what no contact reads: a pin
    /// of a block, a time, or the old value of a bit that a set or reset coil keeps.
    pub places: Vec<(u32, u32)>,
}

/// What can be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum What {
    /// A bit: a variable, or a pin as `rest.Q`, as the first contact spells it.
    Bit(String),
    /// A bit as an edge contact or an edge detector remembers it: the value that it had there in the scan before. A falling
    /// edge takes it for 1 before its first scan.
    Remembered(String),
    /// Whether the rung of that index passed, as its edge coil remembers it from the scan before. A falling edge takes it
    /// so before its first scan.
    Passed(u32),
    /// Whether the time of a timer is up, by instance.
    TimeUp(String),
    /// Whether a comparison held.
    Compared(Comparison),
}

/// Most sets of old values with which an answer is compared.
const MOST_COMPARED: usize = 512;

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
    let var = compiled.variables().iter().find(|var| var.name.eq_ignore_ascii_case(name));
    match var.map(|var| var.address) {
        Some(Some(address)) if address.area == Area::Input => return Some(Reason::Input(address)),
        Some(None) if name.eq_ignore_ascii_case(FIRST_SCAN) => return Some(Reason::FirstScan),
        _ => {}
    }
    let story = Story::new(program, compiled, memory, settled);
    let writers = story.writers(story.slot(name));
    let Some(first) = writers.first() else { return Some(Reason::Unwritten) };
    if let Some(decided) = pins::output(&story, *first, name) {
        return Some(Reason::Block(decided));
    }
    let (olds, all) = story.olds();
    let unknown = || {
        let rung = writers.last().map_or(0, |k| *k as u32);
        Reason::Rungs(Decided { rung, set: Vec::new(), sure: false, bounded: true })
    };
    let Some(old) = olds.first() else { return Some(if all { Reason::NotRun } else { unknown() }) };
    let read = Reading::new(&story, name, writers, old);
    if read.result(&[]) != after {
        return Some(Reason::NotRun);
    }
    let (mut decided, set) = read.decide();
    decided.sure = all
        && olds.len() <= MOST_COMPARED
        && !story.roundabout(name, writers)
        && olds.iter().all(|old| Reading::new(&story, name, writers, old).bears_out(&decided, &set, after));
    Some(Reason::Rungs(decided))
}

/// Whether a network passes, by a way to read contact `index`.
fn passes(
    logic: &Network,
    index: &mut u32,
    read: &mut dyn FnMut(u32, &crate::model::Contact) -> bool,
) -> bool {
    match logic {
        Network::Contact(contact) => {
            *index += 1;
            read(*index - 1, contact)
        }
        // Every contact is visited, so that the index counts all.
        Network::Series(parts) => parts.iter().filter(|p| !passes(p, index, read)).count() == 0,
        Network::Parallel(parts) => parts.iter().filter(|p| passes(p, index, read)).count() != 0,
        Network::True => true,
        Network::False => false,
    }
}
