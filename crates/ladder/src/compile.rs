//! Turns rungs into flat instructions.

mod blocks;
mod places;
mod tree;

use std::collections::BTreeMap;

use crate::act::{Act, Compare};
use crate::compiled::{Compiled, VarInfo};
use crate::gate::{Literal, Stretch};
use crate::model::{Area, Comparison, Contact, Network, Output, Program, Rung, Test, VarKind};

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
    /// A bit that is never read: where goes what nobody asks for.
    idle: u32,
    /// Bits for what a rung works out on its way.
    first_part: u32,
    parts: u32,
    /// Index of the rung, and of the next contact in it.
    rung: u32,
    contact: u32,
}

impl Lowering {
    fn first_scan(&mut self) {
        if let Some(first) = self.compiled.first_scan {
            self.gate(first.ran << 1 | 1, &[], first.slot);
            self.gate(self.always(), &[], first.ran);
        }
    }

    fn rung(&mut self, index: u32, Rung { logic, output, .. }: &Rung) {
        (self.parts, self.rung, self.contact) = (0, index, 0);
        if let Output::Block(call) = output {
            return self.call(logic, call);
        }
        let target = self.written(output.var());
        match output {
            Output::Negated { .. } => {
                let passes = self.hold(logic);
                self.gate(passes ^ 1, &[], target);
            }
            Output::Set { .. } => {
                // The bit becomes: passes OR bit.
                let passes = self.hold(logic);
                self.gate(passes, &[(target << 1, true)], target);
            }
            Output::Reset { .. } => {
                // The bit becomes: NOT passes AND bit.
                let passes = self.hold(logic);
                self.gate(passes ^ 1, &[(target << 1, false)], target);
            }
            Output::Rising { .. } => {
                let passes = self.hold(logic);
                self.edge(passes, self.contact, target);
            }
            Output::Falling { .. } => {
                let passes = self.hold(logic);
                self.edge(passes ^ 1, self.contact, target);
            }
            _ => self.assign(logic, target),
        }
    }

    /// `target` becomes: source AND NOT what the edge remembers; which becomes the source.
    fn edge(&mut self, source: Literal, index: u32, target: u32) {
        let Some(memory) = self.compiled.edges.get(&(self.rung, index)).map(|edge| edge.memory) else {
            return;
        };
        self.gate(source, &[(memory << 1 | 1, false)], target);
        self.gate(source, &[], memory);
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
        let tree = self.tree(logic);
        self.put(tree, target);
    }

    /// What the network passes, in a bit of its own that no later gate of the rung changes.
    fn hold(&mut self, logic: &Network) -> Literal {
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

    fn contact(&mut self, contact: &Contact) -> Literal {
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

    fn compare(&mut self, comparison: &Comparison) -> Literal {
        let Some((_, [left, right])) = self.compiled.compared(comparison) else { return self.never() };
        let target = self.next_part();
        self.end_stretch(Some(Act::Compare(Compare { left, relation: comparison.relation, right, target })));
        target << 1
    }

    /// Ends the gates so far, by an act unless they are the last.
    fn end_stretch(&mut self, act: Option<Act>) {
        let compiled = &mut self.compiled;
        let end = compiled.gates.len() as u32;
        if act.is_some() || compiled.stretches.last().map_or(0, |stretch| stretch.end) < end {
            compiled.stretches.push(Stretch { end, act });
        }
    }
}
