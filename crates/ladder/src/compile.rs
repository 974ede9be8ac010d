//! Turns rungs into flat instructions.

mod blocks;
mod places;

use std::collections::BTreeMap;

use crate::act::{Act, Compare};
use crate::compiled::{Compiled, VarInfo};
use crate::model::{Area, Comparison, Contact, Network, Output, Program, Rung, Test, VarKind};
use crate::run::{END_GROUP, END_TERM, END_WRITE, Stretch, Word};

/// Compiles a program for a scan period in milliseconds (0 is taken as 1).
///
/// It is total. [`parse`](crate::parse()) has checked names and kinds; in a program made otherwise a name that is not
/// declared, or not of the kind its place asks for, reads as 0 and is written nowhere, and a comparison of such a name, or
/// of a count with a duration, does not pass. Networks deeper than [`MAX_NESTING`](crate::MAX_NESTING) are for the caller
/// to keep out.
///
/// A timer's time is counted in whole scans: `ceil(PT / period)` after the scan in which it started.
pub fn compile(program: &Program, period_ms: u32) -> Compiled {
    let mut compiled = places::place(program, period_ms.max(1));
    let by_name =
        compiled.vars.iter().enumerate().map(|(index, var)| (var.name.to_ascii_uppercase(), index)).collect();
    let zero = compiled.state_bits;
    compiled.all_bits = zero + 2;
    let mut lowering = Lowering {
        compiled,
        by_name,
        zero,
        idle: zero + 1,
        first_part: zero + 2,
        parts: 0,
        rung: 0,
        contact: 0,
    };
    lowering.first_scan();
    for (index, rung) in program.rungs.iter().enumerate() {
        lowering.rung(index as u32, rung);
    }
    lowering.end_stretch(None);
    lowering.compiled
}

struct Lowering {
    compiled: Compiled,
    /// Index of each variable, by name in capitals.
    by_name: BTreeMap<String, usize>,
    /// A bit that is never written: 0.
    zero: u32,
    /// A bit that is never read: where the unfinished result goes.
    idle: u32,
    /// Bits for what a rung works out before its own instruction sequence.
    first_part: u32,
    parts: u32,
    /// Index of the rung, and of the next contact in it.
    rung: u32,
    contact: u32,
}

impl Lowering {
    fn first_scan(&mut self) {
        if let Some(first) = self.compiled.first_scan {
            self.copy(first.ran << 1 | 1, first.slot);
            self.copy(self.zero << 1 | 1, first.ran);
        }
    }

    fn rung(&mut self, index: u32, Rung { logic, output, .. }: &Rung) {
        (self.parts, self.rung, self.contact) = (0, index, 0);
        match output {
            Output::Coil { var } => {
                let target = self.written(var);
                self.assign(logic, target);
            }
            Output::Negated { var } => {
                let target = self.written(var);
                let part = self.part(logic);
                self.copy(part ^ 1, target);
            }
            Output::Set { var } => {
                // The bit becomes: passes OR bit.
                let target = self.written(var);
                let part = self.part(logic);
                self.write(&[vec![vec![part], vec![target << 1]]], target);
            }
            Output::Reset { var } => {
                // The bit becomes: NOT passes AND bit.
                let target = self.written(var);
                let part = self.part(logic);
                self.write(&[vec![vec![part ^ 1, target << 1]]], target);
            }
            Output::Rising { var } => {
                let target = self.written(var);
                let part = self.hold(logic);
                self.edge(part, self.contact, target);
            }
            Output::Falling { var } => {
                let target = self.written(var);
                let part = self.hold(logic);
                self.edge(part ^ 1, self.contact, target);
            }
            Output::Block(call) => self.call(logic, call),
        }
    }

    /// `target` becomes: source AND NOT what the edge remembers; which becomes the source.
    fn edge(&mut self, source: u32, index: u32, target: u32) {
        let Some(memory) = self.compiled.edges.get(&(self.rung, index)).map(|edge| edge.memory) else {
            return;
        };
        self.write(&[vec![vec![source, memory << 1 | 1]]], target);
        self.copy(source, memory);
    }

    fn var(&self, name: &str, is_kind: impl Fn(VarKind) -> bool) -> Option<&VarInfo> {
        let index = self.by_name.get(&name.to_ascii_uppercase())?;
        self.compiled.vars.get(*index).filter(|var| is_kind(var.kind))
    }

    /// The slot that a coil writes. An input, the first-scan flag, a pin of a block or an unknown name is written nowhere.
    fn written(&self, var: &str) -> u32 {
        let info = self.var(var, |kind| kind == VarKind::Bool).filter(|info| {
            info.address.is_none_or(|address| address.area != Area::Input)
                && self.compiled.first_scan.is_none_or(|first| first.slot != info.slot)
        });
        info.map_or(self.idle, |info| info.slot)
    }

    /// Writes what the network passes to a slot.
    fn assign(&mut self, logic: &Network, target: u32) {
        // Parts come first: they have no side effects, so only the rung's own order of writing counts.
        let groups: Vec<Vec<Vec<u32>>> = members_of_series(logic)
            .iter()
            .map(|group| {
                let branches = members_of_parallel(group);
                branches
                    .iter()
                    .map(|term| members_of_series(term).iter().map(|leaf| self.part(leaf)).collect())
                    .collect()
            })
            .collect();
        self.write(&groups, target);
    }

    /// A word's source for a network: a contact as it is, anything else by way of a bit written before.
    fn part(&mut self, logic: &Network) -> u32 {
        match logic {
            Network::Contact(contact) => self.contact(contact),
            Network::True => self.zero << 1 | 1,
            Network::False => self.zero << 1,
            Network::Series(parts) if parts.is_empty() => self.zero << 1 | 1,
            Network::Parallel(parts) if parts.is_empty() => self.zero << 1,
            Network::Series(_) | Network::Parallel(_) => self.hold(logic),
        }
    }

    /// The same by way of a bit of its own, which no later word of the rung changes.
    fn hold(&mut self, logic: &Network) -> u32 {
        let slot = self.next_part();
        self.assign(logic, slot);
        slot << 1
    }

    fn next_part(&mut self) -> u32 {
        let slot = self.first_part + self.parts;
        self.parts += 1;
        self.compiled.all_bits = self.compiled.all_bits.max(slot + 1);
        slot
    }

    fn contact(&mut self, contact: &Contact) -> u32 {
        let index = self.contact;
        self.contact += 1;
        match contact {
            Contact::Bit { var, test } => {
                let slot = self.compiled.bit(var).map_or(self.zero, |bit| bit.0);
                let source = slot << 1 | u32::from(matches!(test, Test::Closed | Test::Falling));
                match self.compiled.edges.get(&(self.rung, index)).and_then(|edge| edge.passed) {
                    Some(passed) => {
                        self.edge(source, index, passed);
                        passed << 1
                    }
                    None => source,
                }
            }
            Contact::Compare(comparison) => self.compare(comparison),
        }
    }

    fn compare(&mut self, comparison: &Comparison) -> u32 {
        let Some((left, right)) = self.compiled.compared(comparison) else { return self.zero << 1 };
        let target = self.next_part();
        self.end_stretch(Some(Act::Compare(Compare { left, relation: comparison.relation, right, target })));
        target << 1
    }

    /// Ends the words so far, by an act unless they are the last.
    fn end_stretch(&mut self, act: Option<Act>) {
        let compiled = &mut self.compiled;
        let end = compiled.words.len() as u32;
        if act.is_some() || compiled.stretches.last().map_or(0, |stretch| stretch.end) < end {
            compiled.stretches.push(Stretch { end, act });
        }
    }

    /// One bit from another.
    fn copy(&mut self, source: u32, target: u32) {
        self.write(&[vec![vec![source]]], target);
    }

    /// Emits an AND of ORs of ANDs. No list in it is empty.
    fn write(&mut self, groups: &[Vec<Vec<u32>>], target: u32) {
        for (g, group) in groups.iter().enumerate() {
            for (t, term) in group.iter().enumerate() {
                for (l, source) in term.iter().enumerate() {
                    let ends_term = l + 1 == term.len();
                    let ends_group = ends_term && t + 1 == group.len();
                    let ends_all = ends_group && g + 1 == groups.len();
                    let slot = if ends_all { target } else { self.idle };
                    let mut word = Word { source: *source, target: slot << 3 };
                    word.target |= if ends_term { END_TERM } else { 0 };
                    word.target |= if ends_group { END_GROUP } else { 0 };
                    word.target |= if ends_all { END_WRITE } else { 0 };
                    self.compiled.words.push(word);
                }
            }
        }
    }
}

/// The parts one after the other; a network that is no series is its own only part, and so is an empty one.
fn members_of_series(logic: &Network) -> &[Network] {
    match logic {
        Network::Series(parts) if !parts.is_empty() => parts,
        other => std::slice::from_ref(other),
    }
}

/// The branches side by side; a network that is not parallel is its own only branch, and so is an empty one.
fn members_of_parallel(logic: &Network) -> &[Network] {
    match logic {
        Network::Parallel(parts) if !parts.is_empty() => parts,
        other => std::slice::from_ref(other),
    }
}
