//! Where everything that a program remembers lies.

use std::collections::BTreeMap;

use crate::block::Preset;
use crate::compiled::{
    BitRef, BlockInfo, Compiled, Edge, EdgeKey, EdgeSort, FIRST_SCAN, FirstScan, Image, VarInfo, slots,
};
use crate::model::{Area, Constant, Contact, Output, Program, Test, VarKind};

/// A program without instructions: variables first, in order, then the pins of the blocks, then what edges remember.
pub(super) fn place(program: &Program, period_ms: u32) -> Compiled {
    let mut compiled = Compiled {
        period_ms,
        vars: Vec::with_capacity(program.vars.len()),
        slots: BTreeMap::new(),
        state_bits: 0,
        all_bits: 0,
        blocks: Vec::new(),
        edges: BTreeMap::new(),
        first_scan: None,
        inputs: Vec::new(),
        outputs: Vec::new(),
        gates: Vec::new(),
        stretches: Vec::new(),
    };
    let bit_count = program.vars.iter().filter(|var| var.kind == VarKind::Bool).count() as u32;
    let (mut next_bit, mut next_pin) = (0, bit_count);
    for var in &program.vars {
        let name = var.name.to_ascii_uppercase();
        let (slot, count) = match var.kind {
            VarKind::Bool => {
                next_bit += 1;
                compiled.slots.insert(name, BitRef(next_bit - 1));
                (next_bit - 1, 0)
            }
            VarKind::Block(block) => {
                let slot = next_pin;
                next_pin += slots(block);
                for (pin, at) in block.bits().zip(slot..) {
                    compiled.slots.insert(format!("{name}.{pin}"), BitRef(at));
                }
                // A timer that no rung calls stays at rest; a count of 0 is then never reached by counting.
                compiled.blocks.push(BlockInfo { block, preset: 0, full: 0 });
                (slot, compiled.blocks.len() as u32 - 1)
            }
        };
        compiled.vars.push(VarInfo {
            name: var.name.clone(),
            kind: var.kind,
            address: var.address,
            initial: var.initial && var.kind == VarKind::Bool,
            retain: var.retain,
            slot,
            count,
        });
    }
    presets(program, &mut compiled);
    images(&mut compiled);
    edges(program, &mut compiled, &mut next_pin);
    first_scan(&mut compiled, &mut next_pin);
    compiled.state_bits = next_pin;
    compiled
}

/// What the blocks are preset with; a block that no rung calls, with 0.
fn presets(program: &Program, compiled: &mut Compiled) {
    for rung in &program.rungs {
        let Output::Block(call) = &rung.output else { continue };
        let called = |var: &&VarInfo| {
            var.kind == VarKind::Block(call.block) && var.name.eq_ignore_ascii_case(&call.instance)
        };
        let Some(var) = compiled.vars.iter().find(called) else { continue };
        let info = &mut compiled.blocks[var.count as usize];
        info.preset = call.preset.map_or(0, Constant::value);
        if call.block.preset() == Some(Preset::Time) {
            info.full = info.preset.unsigned_abs().div_ceil(compiled.period_ms) + 1;
        }
    }
}

fn images(compiled: &mut Compiled) {
    for var in compiled.vars.iter().filter(|var| var.kind == VarKind::Bool) {
        let Some(address) = var.address else { continue };
        let Some(bit) = address.image_bit() else { continue };
        match address.area {
            Area::Input => compiled.inputs.push(Image { slot: var.slot, bit }),
            Area::Output => compiled.outputs.push(Image { slot: var.slot, bit }),
            Area::Memory => {}
        }
    }
}

/// Every edge contact, and every edge coil as if it were one more contact.
fn edges(program: &Program, compiled: &mut Compiled, next: &mut u32) {
    let mut seen: BTreeMap<(String, EdgeSort), u32> = BTreeMap::new();
    for (number, rung) in program.rungs.iter().enumerate() {
        let mut index = 0;
        let mut add = |name: &str, sort: EdgeSort, index: u32| {
            let nth = seen.entry((name.to_ascii_uppercase(), sort)).or_default();
            let key = EdgeKey { name: name.to_ascii_uppercase(), sort, nth: *nth };
            *nth += 1;
            let memory = *next;
            *next += 1;
            let is_contact = matches!(sort, EdgeSort::RisingContact | EdgeSort::FallingContact);
            let passed = is_contact.then_some(*next);
            *next += u32::from(is_contact);
            compiled.edges.insert((number as u32, index), Edge { key, memory, passed });
        };
        rung.each_contact(&mut |contact| {
            match contact {
                Contact::Bit { var, test: Test::Rising } => add(var, EdgeSort::RisingContact, index),
                Contact::Bit { var, test: Test::Falling } => add(var, EdgeSort::FallingContact, index),
                _ => {}
            }
            index += 1;
        });
        match &rung.output {
            Output::Rising { var } => add(var, EdgeSort::RisingCoil, index),
            Output::Falling { var } => add(var, EdgeSort::FallingCoil, index),
            _ => {}
        }
    }
}

fn first_scan(compiled: &mut Compiled, next: &mut u32) {
    let var = compiled.vars.iter().find(|var| {
        var.kind == VarKind::Bool && var.address.is_none() && var.name.eq_ignore_ascii_case(FIRST_SCAN)
    });
    if let Some(var) = var {
        compiled.first_scan = Some(FirstScan { slot: var.slot, ran: *next });
        *next += 1;
    }
}
