//! The calls of function blocks.

use super::Lowering;
use crate::act::{Act, Counter, Timer};
use crate::block::Block;
use crate::gate::Literal;
use crate::model::{Call, Network, VarKind};

impl Lowering {
    pub(super) fn call(&mut self, logic: &Network, call: &Call) {
        let Some(var) = self.var(&call.instance, |kind| kind == VarKind::Block(call.block)) else { return };
        let (slot, count) = (var.slot, var.count);
        match call.block {
            Block::Ton | Block::Tof | Block::Tp => self.timer(logic, call, slot, count),
            Block::Ctu | Block::Ctd | Block::Ctud => self.counter(logic, call, slot, count),
            Block::Sr | Block::Rs => {
                let [set, reset, q1] = [slot, slot + 1, slot + 2];
                let inputs = self.inputs(logic, call);
                let given = |k: usize| inputs.get(k).copied().unwrap_or(self.never());
                let (s, r, own) = (given(0), given(1), q1 << 1);
                match call.block {
                    // Q1 := S1 OR (NOT R AND Q1)
                    Block::Sr => self.gate(own, &[(r ^ 1, false), (s, true)], q1),
                    // Q1 := NOT R1 AND (S OR Q1)
                    _ => self.gate(own, &[(s, true), (r ^ 1, false)], q1),
                }
                self.gate(s, &[], set);
                self.gate(r, &[], reset);
            }
            Block::RTrig => {
                let [clk, q] = [slot, slot + 1];
                let given = self.hold(logic);
                // Q := CLK AND NOT M; M := CLK. M is CLK as the call before left it.
                self.gate(given, &[(clk << 1 | 1, false)], q);
                self.gate(given, &[], clk);
            }
            Block::FTrig => {
                let [clk, q, memory] = [slot, slot + 1, slot + 2];
                let given = self.hold(logic);
                // Q := NOT CLK AND NOT M; M := NOT CLK. M is 0 before the first call, as CLK is, so it has a bit of its own.
                self.gate(given ^ 1, &[(memory << 1 | 1, false)], q);
                self.gate(given ^ 1, &[], memory);
                self.gate(given, &[], clk);
            }
        }
    }

    fn timer(&mut self, logic: &Network, call: &Call, slot: u32, count: u32) {
        let full = self.compiled.blocks[count as usize].full;
        // An off-delay needs IN as it was.
        let given = if call.block == Block::Tof {
            self.hold(logic) >> 1
        } else {
            self.assign(logic, slot);
            slot
        };
        let timer = Timer { block: call.block, count, given, pin: slot, q: slot + 1, full };
        self.end_stretch(Some(Act::Timer(timer)));
        if given != slot {
            self.gate(given << 1, &[], slot);
        }
    }

    fn counter(&mut self, logic: &Network, call: &Call, slot: u32, count: u32) {
        // PV is an INT, so it fits.
        let preset = self.compiled.blocks[count as usize].preset as i16;
        let inputs = self.inputs(logic, call);
        // The slot of an input as given, of its pin (as it was), and of an output, by name.
        let given = |pin: &str| {
            let place = call.block.inputs().iter().position(|name| *name == pin);
            place.and_then(|place| inputs.get(place)).map_or(self.zero, |source| source >> 1)
        };
        let bit = |pin: &str| call.block.bits().position(|name| name == pin).map(|place| slot + place as u32);
        let before = |pin| bit(pin).unwrap_or(self.zero);
        let output = |pin| bit(pin).unwrap_or(self.idle);
        let q = output("Q");
        let act = Counter {
            count,
            preset,
            up: given("CU"),
            up_before: before("CU"),
            down: given("CD"),
            down_before: before("CD"),
            reset: given("R"),
            load: given("LD"),
            at_preset: if call.block == Block::Ctu { q } else { output("QU") },
            at_zero: if call.block == Block::Ctd { q } else { output("QD") },
        };
        self.end_stretch(Some(Act::Counter(act)));
        for (pin, source) in (slot..).zip(inputs) {
            self.gate(source, &[], pin);
        }
    }

    /// What the inputs are given, each in a bit of its own: a network may read the block's own pins.
    fn inputs(&mut self, logic: &Network, call: &Call) -> Vec<Literal> {
        let mut inputs = vec![self.hold(logic)];
        for network in call.further.iter().take(call.block.inputs().len() - 1) {
            inputs.push(match network {
                Some(network) => self.hold(network),
                None => self.never(),
            });
        }
        inputs
    }
}
