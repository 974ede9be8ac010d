//! The slow evaluator straight from the definitions, which the compiler is held against.
//!
//! It shares nothing with the compiler: names are looked up at each use, a network is evaluated by recursion, blocks follow
//! the bodies that IEC 61131-3 gives for them, and a timer compares instants in milliseconds as its timing diagrams do,
//! where the compiler counts scans.

use std::collections::BTreeMap;

use sealin_ladder::{
    Area, Block, Call, Comparison, Constant, Contact, Network, Operand, Output, Program, Relation, Test,
    VarKind,
};

/// A program and everything it remembers.
pub struct ByDefinition<'a> {
    program: &'a Program,
    period_ms: u64,
    now_ms: u64,
    first_scan: bool,
    bits: BTreeMap<String, bool>,
    timers: BTreeMap<String, TimerState>,
    /// CV of each counter.
    counts: BTreeMap<String, i64>,
    /// The M of each R_TRIG and F_TRIG: of the blocks by their name, of the counters' inputs by their pin, of edge contacts
    /// and coils by rung and number.
    edges: BTreeMap<String, bool>,
}

#[derive(Clone, Copy, Default)]
struct TimerState {
    /// `IN` in the call before.
    before: bool,
    started_ms: Option<u64>,
    elapsed_ms: u64,
}

impl<'a> ByDefinition<'a> {
    pub fn cold_start(program: &'a Program, period_ms: u32) -> Self {
        let bits = program.vars.iter().flat_map(|var| match var.kind {
            VarKind::Bool => vec![(var.name.clone(), var.initial)],
            VarKind::Block(block) => block.bits().map(|pin| (format!("{}.{pin}", var.name), false)).collect(),
        });
        ByDefinition {
            program,
            period_ms: u64::from(period_ms),
            now_ms: 0,
            first_scan: true,
            bits: bits.collect(),
            timers: BTreeMap::new(),
            counts: BTreeMap::new(),
            edges: BTreeMap::new(),
        }
    }

    /// Retained variables and blocks keep what they have; all else is as after a cold restart.
    pub fn warm_restart(&mut self) {
        let mut fresh = ByDefinition::cold_start(self.program, 0);
        let kept = |name: &str| {
            let var = name.split('.').next().unwrap();
            self.program.vars.iter().any(|v| v.name == var && v.retain)
        };
        fresh.bits.extend(self.bits.iter().filter(|(name, _)| kept(name)).map(|(n, v)| (n.clone(), *v)));
        fresh.timers.extend(self.timers.iter().filter(|(name, _)| kept(name)).map(|(n, v)| (n.clone(), *v)));
        fresh.counts.extend(self.counts.iter().filter(|(name, _)| kept(name)).map(|(n, v)| (n.clone(), *v)));
        fresh.edges.extend(self.edges.iter().filter(|(name, _)| kept(name)).map(|(n, v)| (n.clone(), *v)));
        (fresh.period_ms, fresh.now_ms) = (self.period_ms, self.now_ms);
        *self = fresh;
    }

    /// One scan; gives the output image.
    pub fn scan(&mut self, inputs: u64) -> u64 {
        self.now_ms += self.period_ms;
        let program = self.program;
        for var in &program.vars {
            if let Some(address) = var.address
                && address.area == Area::Input
            {
                let bit = u32::from(address.byte) * 8 + u32::from(address.bit);
                self.write(&var.name, inputs & (1 << bit) != 0);
            }
            if var.address.is_none() && var.name == "first_scan" {
                self.write(&var.name, self.first_scan);
            }
        }
        self.first_scan = false;
        for (number, rung) in program.rungs.iter().enumerate() {
            // All that the rung reads is read before it writes.
            let mut at = (number, 0);
            let passes = self.passes(&rung.logic, &mut at);
            match &rung.output {
                Output::Coil { var } => self.write(var, passes),
                Output::Negated { var } => self.write(var, !passes),
                Output::Set { var } if passes => self.write(var, true),
                Output::Reset { var } if passes => self.write(var, false),
                Output::Set { .. } | Output::Reset { .. } => {}
                Output::Rising { var } => {
                    let rises = self.r_trig(&format!("coil {number}"), passes);
                    self.write(var, rises);
                }
                Output::Falling { var } => {
                    let falls = self.f_trig(&format!("coil {number}"), passes);
                    self.write(var, falls);
                }
                Output::Block(call) => {
                    let mut inputs = vec![passes];
                    for network in &call.further {
                        inputs.push(network.as_ref().is_some_and(|network| self.passes(network, &mut at)));
                    }
                    self.call(call, &inputs);
                }
            }
        }
        let mut image = 0;
        for var in &program.vars {
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

    /// ET in milliseconds as of the last call, or CV.
    pub fn number(&self, name: &str) -> i64 {
        match name.split_once('.').unwrap() {
            (timer, "ET") => self.timers.get(timer).map_or(0, |timer| timer.elapsed_ms as i64),
            (counter, "CV") => self.counts.get(counter).copied().unwrap_or(0),
            _ => panic!("{name}"),
        }
    }

    fn write(&mut self, var: &str, value: bool) {
        self.bits.insert(var.to_owned(), value);
    }

    /// R_TRIG: Q := CLK AND NOT M; M := CLK.
    fn r_trig(&mut self, of: &str, clk: bool) -> bool {
        let m = self.edges.insert(of.to_owned(), clk).unwrap_or(false);
        clk && !m
    }

    /// F_TRIG: Q := NOT CLK AND NOT M; M := NOT CLK.
    fn f_trig(&mut self, of: &str, clk: bool) -> bool {
        let m = self.edges.insert(of.to_owned(), !clk).unwrap_or(false);
        !clk && !m
    }

    fn call(&mut self, call: &Call, inputs: &[bool]) {
        let name = &call.instance;
        let q1 = self.bits.get(&format!("{name}.Q1")).copied();
        let outputs = match call.block {
            Block::Ton | Block::Tof | Block::Tp => vec![self.timer(call, inputs[0])],
            Block::Ctu | Block::Ctd | Block::Ctud => self.counter(call, inputs),
            // SR: Q1 := S1 OR (NOT R AND Q1)
            Block::Sr => vec![inputs[0] || (!inputs[1] && q1.unwrap())],
            // RS: Q1 := NOT R1 AND (S OR Q1)
            Block::Rs => vec![!inputs[1] && (inputs[0] || q1.unwrap())],
            Block::RTrig => vec![self.r_trig(name, inputs[0])],
            Block::FTrig => vec![self.f_trig(name, inputs[0])],
        };
        for (pin, value) in call.block.bits().zip(inputs.iter().chain(&outputs)) {
            self.write(&format!("{name}.{pin}"), *value);
        }
    }

    /// Q of a timer, by the timing diagrams.
    fn timer(&mut self, call: &Call, input: bool) -> bool {
        let Some(Constant::Time(preset_ms)) = call.preset else { panic!("{call:?}") };
        let preset_ms = u64::from(preset_ms);
        let timer = self.timers.entry(call.instance.clone()).or_default();
        let rises = input && !timer.before;
        let falls = !input && timer.before;
        timer.before = input;
        let since = |start: u64| self.now_ms - start;
        match call.block {
            // Runs while IN is 1; Q once it has been 1 for PT.
            Block::Ton => {
                if rises {
                    timer.started_ms = Some(self.now_ms);
                }
                if !input {
                    timer.started_ms = None;
                }
                timer.elapsed_ms = timer.started_ms.map_or(0, |start| since(start).min(preset_ms));
                timer.started_ms.is_some_and(|start| since(start) >= preset_ms)
            }
            // Q is 1 with IN, and until PT after it fell; ET then stays at PT until IN rises.
            Block::Tof => {
                if falls {
                    timer.started_ms = Some(self.now_ms);
                }
                if input {
                    timer.started_ms = None;
                }
                timer.elapsed_ms = timer.started_ms.map_or(0, |start| since(start).min(preset_ms));
                input || timer.started_ms.is_some_and(|start| since(start) < preset_ms)
            }
            // Q is 1 for PT from a rising IN, whatever IN does; ET then stays at PT while IN is 1.
            _ => {
                if rises && timer.started_ms.is_none() {
                    timer.started_ms = Some(self.now_ms);
                }
                let running = timer.started_ms.is_some_and(|start| since(start) < preset_ms);
                timer.elapsed_ms = timer.started_ms.map_or(0, |start| since(start).min(preset_ms));
                if !running && !input {
                    timer.started_ms = None;
                    timer.elapsed_ms = 0;
                }
                running
            }
        }
    }

    /// The outputs of a counter, by the bodies of the standard: CU and CD are inputs with a rising edge, INT is 16 bits.
    fn counter(&mut self, call: &Call, inputs: &[bool]) -> Vec<bool> {
        let Some(Constant::Count(preset)) = call.preset else { panic!("{call:?}") };
        let (name, pv) = (&call.instance, i64::from(preset));
        let mut cv = self.counts.get(name).copied().unwrap_or(0);
        let edge = |of: &mut Self, pin: &str, input: bool| of.r_trig(&format!("{name}.{pin}"), input);
        let outputs;
        match call.block {
            Block::Ctu => {
                let cu = edge(self, "CU", inputs[0]);
                if inputs[1] {
                    cv = 0;
                } else if cu && cv < 32_767 {
                    cv += 1;
                }
                outputs = vec![cv >= pv];
            }
            Block::Ctd => {
                let cd = edge(self, "CD", inputs[0]);
                if inputs[1] {
                    cv = pv;
                } else if cd && cv > -32_768 {
                    cv -= 1;
                }
                outputs = vec![cv <= 0];
            }
            _ => {
                let (cu, cd) = (edge(self, "CU", inputs[0]), edge(self, "CD", inputs[1]));
                if inputs[2] {
                    cv = 0;
                } else if inputs[3] {
                    cv = pv;
                } else if !(cu && cd) {
                    if cu && cv < 32_767 {
                        cv += 1;
                    } else if cd && cv > -32_768 {
                        cv -= 1;
                    }
                }
                outputs = vec![cv >= pv, cv <= 0];
            }
        }
        self.counts.insert(name.clone(), cv);
        outputs
    }

    /// Whether a network passes. Every contact is evaluated; `at` counts them.
    fn passes(&mut self, logic: &Network, at: &mut (usize, u32)) -> bool {
        match logic {
            Network::Contact(contact) => {
                at.1 += 1;
                self.contact(contact, &format!("contact {} {}", at.0, at.1))
            }
            Network::Series(parts) => {
                let each: Vec<bool> = parts.iter().map(|part| self.passes(part, at)).collect();
                each.into_iter().all(|passes| passes)
            }
            Network::Parallel(parts) => {
                let each: Vec<bool> = parts.iter().map(|part| self.passes(part, at)).collect();
                each.into_iter().any(|passes| passes)
            }
            Network::True => true,
            Network::False => false,
        }
    }

    fn contact(&mut self, contact: &Contact, place: &str) -> bool {
        match contact {
            Contact::Bit { var, test } => {
                let bit = self.bits[var];
                match test {
                    Test::Open => bit,
                    Test::Closed => !bit,
                    Test::Rising => self.r_trig(place, bit),
                    Test::Falling => self.f_trig(place, bit),
                }
            }
            Contact::Compare(Comparison { value, relation, with }) => {
                let left = self.number(value);
                let right = match with {
                    Operand::Constant(Constant::Time(time_ms)) => i64::from(*time_ms),
                    Operand::Constant(Constant::Count(count)) => i64::from(*count),
                    Operand::Value(name) => self.number(name),
                };
                match relation {
                    Relation::Less => left < right,
                    Relation::AtMost => left <= right,
                    Relation::Greater => left > right,
                    Relation::AtLeast => left >= right,
                    Relation::Equal => left == right,
                    Relation::NotEqual => left != right,
                }
            }
        }
    }
}
