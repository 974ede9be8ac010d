//! Where a program begins: restarts, and going on from the program before.

use std::collections::BTreeMap;

use crate::act::timer_q;
use crate::block::{Block, Preset};
use crate::compiled::{Compiled, Edge, Memory, VarInfo, slots};
use crate::model::VarKind;

impl Compiled {
    /// The memory after a cold restart: every variable has its initial value, every block is at rest, no edge remembers
    /// anything.
    pub fn cold_start(&self) -> Memory {
        let mut memory = Memory {
            bits: vec![0; self.all_bits as usize].into_boxed_slice(),
            counts: vec![0; self.blocks.len()].into_boxed_slice(),
        };
        for var in self.vars.iter().filter(|var| var.kind == VarKind::Bool) {
            memory.bits[var.slot as usize] = u8::from(var.initial);
        }
        memory
    }

    /// The memory after a warm restart: retained variables keep their value, the others have their initial one, and so
    /// has what edge contacts and coils remember.
    pub fn warm_start(&self, memory: &Memory) -> Memory {
        let mut next = self.cold_start();
        for var in self.vars.iter().filter(|var| var.retain) {
            self.take_over(var, self, var, memory, &mut next);
        }
        next
    }

    /// The memory after a hot restart, from stop to run: everything keeps its value, and the next scan is a first one.
    pub fn hot_start(&self, memory: &Memory) -> Memory {
        let mut next = memory.clone();
        if let Some(first) = self.first_scan {
            next.bits[first.ran as usize] = 0;
        }
        next
    }

    /// The memory with which this program goes on from another: what has the same name and kind keeps its value, the
    /// rest has its initial one. A timer that ran keeps the time it ran, up to its new preset time. An edge contact or
    /// coil keeps what it remembers by its bit, its sort and how many of the same are before it. It is no restart: the
    /// next scan is a first one only if it would have been one before.
    pub fn carry(&self, old: &Compiled, memory: &Memory) -> Memory {
        let mut next = self.cold_start();
        let by_name: BTreeMap<String, &VarInfo> =
            old.vars.iter().map(|var| (var.name.to_ascii_uppercase(), var)).collect();
        for var in &self.vars {
            if let Some(before) = by_name.get(&var.name.to_ascii_uppercase())
                && before.kind == var.kind
            {
                self.take_over(var, old, before, memory, &mut next);
            }
        }
        let by_key: BTreeMap<_, &Edge> = old.edges.values().map(|edge| (&edge.key, edge)).collect();
        for edge in self.edges.values() {
            let Some(before) = by_key.get(&edge.key) else { continue };
            next.bits[edge.memory as usize] = memory.bits[before.memory as usize];
            if let (Some(passed), Some(before)) = (edge.passed, before.passed) {
                next.bits[passed as usize] = memory.bits[before as usize];
            }
        }
        if let Some(first) = self.first_scan {
            let ran = old.first_scan.is_none_or(|before| memory.bits[before.ran as usize] != 0);
            next.bits[first.ran as usize] = u8::from(ran);
        }
        next
    }

    fn take_over(&self, var: &VarInfo, old: &Compiled, before: &VarInfo, memory: &Memory, next: &mut Memory) {
        let from = before.slot as usize;
        let to = var.slot as usize;
        let block = match var.kind {
            VarKind::Bool => {
                next.bits[to] = memory.bits[from];
                return;
            }
            VarKind::Block(block) => block,
        };
        let slots = slots(block) as usize;
        next.bits[to..to + slots].copy_from_slice(&memory.bits[from..from + slots]);
        let info = self.blocks[var.count as usize];
        let count = memory.counts[before.count as usize];
        next.counts[var.count as usize] = count;
        if block.preset() != Some(Preset::Time) {
            return;
        }
        let ran_ms = u64::from(count.saturating_sub(1)) * u64::from(old.period_ms);
        let scans = (ran_ms / u64::from(self.period_ms)).min(u64::from(info.full.saturating_sub(1)));
        // Less than `full`, so it fits.
        let count = if count == 0 || info.full == 0 { 0 } else { scans as u32 + 1 };
        let given = info.full != 0 && next.bits[to] != 0;
        // A pulse that is up has its next when IN has been 0, as it is.
        let count = if block == Block::Tp && count == info.full && !given { 0 } else { count };
        next.counts[var.count as usize] = count;
        next.bits[to] = u8::from(given);
        let q = timer_q(block, info.full, &count, u8::from(given));
        next.bits[to + 1] = if info.full == 0 { 0 } else { q };
    }
}
