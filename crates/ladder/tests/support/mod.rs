//! The slow evaluator straight from the definitions, which the compiler is held against.
//!
//! It shares nothing with the compiler: names are looked up at each use, a network is evaluated by recursion, and a timer
//! compares instants in milliseconds as IEC 61131-3 defines TON, where the compiler counts scans.

use std::collections::BTreeMap;

use sealin_ladder::{Area, Call, Constant, Contact, Network, Output, Program, Test, VarKind};

/// A program and everything it remembers.
pub struct ByDefinition<'a> {
    program: &'a Program,
    period_ms: u64,
    now_ms: u64,
    bits: BTreeMap<String, bool>,
    /// When each timer's `IN` rose; none while it is 0.
    started_ms: BTreeMap<String, Option<u64>>,
}

impl<'a> ByDefinition<'a> {
    pub fn cold_start(program: &'a Program, period_ms: u32) -> Self {
        let mut bits = BTreeMap::new();
        let mut started_ms = BTreeMap::new();
        for var in &program.vars {
            match var.kind {
                VarKind::Bool => {
                    bits.insert(var.name.clone(), var.initial);
                }
                VarKind::Block(_) => {
                    bits.insert(format!("{}.IN", var.name), false);
                    bits.insert(format!("{}.Q", var.name), false);
                    started_ms.insert(var.name.clone(), None);
                }
            }
        }
        ByDefinition { program, period_ms: u64::from(period_ms), now_ms: 0, bits, started_ms }
    }

    /// One scan; gives the output image.
    pub fn scan(&mut self, inputs: u64) -> u64 {
        self.now_ms += self.period_ms;
        for var in &self.program.vars {
            if let Some(address) = var.address
                && address.area == Area::Input
            {
                let bit = u32::from(address.byte) * 8 + u32::from(address.bit);
                self.bits.insert(var.name.clone(), inputs & (1 << bit) != 0);
            }
        }
        for rung in &self.program.rungs {
            let passes = self.passes(&rung.logic);
            match &rung.output {
                Output::Coil { var } => self.write(var, passes),
                Output::Negated { var } => self.write(var, !passes),
                Output::Set { var } if passes => self.write(var, true),
                Output::Reset { var } if passes => self.write(var, false),
                Output::Set { .. } | Output::Reset { .. } => {}
                Output::Block(Call { instance, preset: Some(Constant::Time(preset_ms)), .. }) => {
                    self.call_ton(instance, passes, u64::from(*preset_ms));
                }
                other => panic!("{other:?}"),
            }
        }
        let mut image = 0;
        for var in &self.program.vars {
            if let Some(address) = var.address
                && address.area == Area::Output
                && self.bits[&var.name]
            {
                image |= 1 << (u32::from(address.byte) * 8 + u32::from(address.bit));
            }
        }
        image
    }

    pub fn value(&self, name: &str) -> bool {
        self.bits[name]
    }

    /// ET as of the last call.
    pub fn elapsed_ms(&self, instance: &str, preset_ms: u64) -> u64 {
        self.started_ms[instance].map_or(0, |start| (self.now_ms - start).min(preset_ms))
    }

    fn write(&mut self, var: &str, value: bool) {
        self.bits.insert(var.to_owned(), value);
    }

    /// TON: a rising IN starts the time, Q is 1 once it has been 1 for PT, IN at 0 puts Q and ET to 0.
    fn call_ton(&mut self, instance: &str, passes: bool, preset_ms: u64) {
        let start = match (passes, self.started_ms[instance]) {
            (false, _) => None,
            (true, None) => Some(self.now_ms),
            (true, running) => running,
        };
        self.started_ms.insert(instance.to_owned(), start);
        self.bits.insert(format!("{instance}.IN"), passes);
        let is_up = start.is_some_and(|start| self.now_ms - start >= preset_ms);
        self.bits.insert(format!("{instance}.Q"), is_up);
    }

    fn passes(&self, logic: &Network) -> bool {
        match logic {
            Network::Contact(Contact::Bit { var, test }) => self.bits[var] != (*test == Test::Closed),
            Network::Contact(contact) => panic!("{contact:?}"),
            Network::Series(parts) => parts.iter().all(|part| self.passes(part)),
            Network::Parallel(parts) => parts.iter().any(|part| self.passes(part)),
            Network::True => true,
            Network::False => false,
        }
    }
}
