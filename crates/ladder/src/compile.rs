//! Turns rungs into flat instructions.

use std::collections::BTreeMap;

use crate::block::Block;
use crate::compiled::{
    BitRef, Compiled, END_GROUP, END_TERM, END_WRITE, Image, Stretch, Timer, VarInfo, Word,
};
use crate::model::{Area, Call, Constant, Contact, Network, Output, Program, Test, VarKind};

/// Compiles a program for a scan period in milliseconds (0 is taken as 1).
///
/// It is total. [`parse`](crate::parse()) has checked names and kinds; in a program made otherwise a name that is not
/// declared, or not of the kind its place asks for, reads as 0 and is written nowhere. Networks deeper than
/// [`MAX_NESTING`](crate::MAX_NESTING) are for the caller to keep out.
///
/// A timer's time is counted in whole scans: `ceil(PT / period)` after the scan in which `IN` rose.
pub fn compile(program: &Program, period_ms: u32) -> Compiled {
    let period_ms = period_ms.max(1);
    let mut compiled = Compiled {
        period_ms,
        vars: Vec::with_capacity(program.vars.len()),
        slots: BTreeMap::new(),
        state_bits: 0,
        all_bits: 0,
        timers: Vec::new(),
        inputs: Vec::new(),
        outputs: Vec::new(),
        words: Vec::new(),
        stretches: Vec::new(),
    };
    let next_slot = place_variables(program, &mut compiled);
    let by_name =
        compiled.vars.iter().enumerate().map(|(index, var)| (var.name.to_ascii_uppercase(), index)).collect();
    let mut lowering = Lowering {
        compiled,
        by_name,
        zero: next_slot,
        idle: next_slot + 1,
        first_part: next_slot + 2,
        parts: 0,
        most_parts: 0,
    };
    for rung in &program.rungs {
        lowering.rung(&rung.logic, &rung.output);
    }
    let end = lowering.compiled.words.len() as u32;
    if lowering.compiled.stretches.last().map_or(0, |stretch| stretch.end) < end {
        lowering.compiled.stretches.push(Stretch { end, timer: None });
    }
    let mut compiled = lowering.compiled;
    compiled.state_bits = next_slot;
    compiled.all_bits = lowering.first_part + lowering.most_parts;
    compiled
}

/// Gives every variable its slots; returns the first free one. Bits come first, in order, then timers.
fn place_variables(program: &Program, compiled: &mut Compiled) -> u32 {
    let bit_count = program.vars.iter().filter(|var| var.kind == VarKind::Bool).count() as u32;
    let (mut next_bit, mut next_timer_slot) = (0, bit_count);
    for var in &program.vars {
        let name = var.name.to_ascii_uppercase();
        let slot;
        let mut timer = 0;
        match var.kind {
            VarKind::Bool => {
                slot = next_bit;
                next_bit += 1;
                compiled.slots.insert(name, BitRef(slot));
                if let Some(address) = var.address
                    && let Some(bit) = address.image_bit()
                {
                    match address.area {
                        Area::Input => compiled.inputs.push(Image { slot, bit }),
                        Area::Output => compiled.outputs.push(Image { slot, bit }),
                        Area::Memory => {}
                    }
                }
            }
            VarKind::Block(_) => {
                slot = next_timer_slot;
                next_timer_slot += 2;
                timer = compiled.timers.len() as u32;
                compiled.slots.insert(format!("{name}.IN"), BitRef(slot));
                compiled.slots.insert(format!("{name}.Q"), BitRef(slot + 1));
                // A timer that no rung calls stays at rest; a count of 0 is then never reached by counting.
                compiled.timers.push(Timer { slot, preset_ms: 0, full: 0 });
            }
        }
        compiled.vars.push(VarInfo {
            name: var.name.clone(),
            kind: var.kind,
            address: var.address,
            initial: var.initial && var.kind == VarKind::Bool,
            retain: var.retain,
            slot,
            timer,
        });
    }
    next_timer_slot
}

struct Lowering {
    compiled: Compiled,
    /// Index of each variable, by name in capitals.
    by_name: BTreeMap<String, usize>,
    /// A bit that is never written: 0.
    zero: u32,
    /// A bit that is never read: where the unfinished result goes.
    idle: u32,
    /// Bits for parts of a rung that are nested deeper than one instruction sequence goes.
    first_part: u32,
    parts: u32,
    most_parts: u32,
}

impl Lowering {
    fn rung(&mut self, logic: &Network, output: &Output) {
        self.parts = 0;
        match output {
            Output::Coil { var } => {
                let target = self.written(var);
                self.assign(logic, target);
            }
            Output::Negated { var } => {
                let target = self.written(var);
                let part = self.part(logic);
                self.write(&[vec![vec![part ^ 1]]], target);
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
            Output::Block(Call { instance, preset: Some(Constant::Time(preset_ms)), .. }) => {
                self.timer(logic, instance, *preset_ms);
            }
            _ => {}
        }
    }

    fn timer(&mut self, logic: &Network, instance: &str, preset_ms: u32) {
        let Some(index) = self.var(instance, VarKind::Block(Block::Ton)).map(|var| var.timer) else { return };
        let timer = &mut self.compiled.timers[index as usize];
        timer.preset_ms = preset_ms;
        timer.full = preset_ms.div_ceil(self.compiled.period_ms).saturating_add(1);
        let slot = timer.slot;
        self.assign(logic, slot);
        let end = self.compiled.words.len() as u32;
        self.compiled.stretches.push(Stretch { end, timer: Some(index) });
    }

    fn var(&self, name: &str, kind: VarKind) -> Option<&VarInfo> {
        let index = self.by_name.get(&name.to_ascii_uppercase())?;
        self.compiled.vars.get(*index).filter(|var| var.kind == kind)
    }

    /// The slot that a coil writes. A pin of a block or an unknown name is written nowhere.
    fn written(&self, var: &str) -> u32 {
        match self.var(var, VarKind::Bool) {
            Some(info) if info.address.is_none_or(|address| address.area != Area::Input) => info.slot,
            _ => self.idle,
        }
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
            Network::Contact(Contact::Compare(_)) => self.zero << 1,
            Network::Contact(Contact::Bit { var, test }) => {
                let slot = self.compiled.slots.get(&var.to_ascii_uppercase()).map_or(self.zero, |bit| bit.0);
                slot << 1 | u32::from(*test == Test::Closed)
            }
            Network::True => self.zero << 1 | 1,
            Network::False => self.zero << 1,
            Network::Series(parts) if parts.is_empty() => self.zero << 1 | 1,
            Network::Parallel(parts) if parts.is_empty() => self.zero << 1,
            Network::Series(_) | Network::Parallel(_) => {
                let slot = self.first_part + self.parts;
                self.parts += 1;
                self.most_parts = self.most_parts.max(self.parts);
                self.assign(logic, slot);
                slot << 1
            }
        }
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
