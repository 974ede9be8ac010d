//! The slow evaluator straight from the definitions, which the compiler is held against.
//!
//! It shares nothing with the compiler: names are looked up at each use, a network is evaluated by recursion, blocks follow
//! the bodies that IEC 61131-3 gives for them, and a timer compares instants in milliseconds as its timing diagrams do,
//! where the compiler counts scans.

use std::collections::{BTreeMap, BTreeSet};

use sealin_ladder::{
    Area, Block, Call, Comparison, Constant, Contact, Network, Operand, Output, Program, Relation, Test, Var,
    VarKind,
};

/// A program and everything it remembers.
#[derive(Clone)]
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
    /// What is read as its opposite in the next scan, by the names that [`otherwise`] gives.
    pub otherwise: BTreeSet<String>,
}

/// Names of what can be read as its opposite.
pub mod otherwise {
    /// The bit or comparison that a contact reads, by rung and index.
    pub fn read((rung, index): (u32, u32)) -> String {
        format!("read {rung} {index}")
    }

    /// What an edge remembers: of a contact by rung and index, of an edge detector's input by its name.
    pub fn remembered(of: &str) -> String {
        format!("remembered {of}")
    }

    /// The name of an edge contact.
    pub fn contact((rung, index): (u32, u32)) -> String {
        format!("contact {rung} {index}")
    }

    /// The name of an edge coil.
    pub fn coil(rung: u32) -> String {
        format!("coil {rung}")
    }

    /// A bit as a rung finds it, for good.
    pub fn before(rung: u32, bit: &str) -> String {
        format!("before {rung} {bit}")
    }

    /// An input of a block, what a bistable kept, a comparison that gives a counter's output, or `x.time`.
    pub fn pin(name: &str) -> String {
        format!("pin {name}")
    }
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
            otherwise: BTreeSet::new(),
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
            for name in program.vars.iter().flat_map(names) {
                if self.is_otherwise(&otherwise::before(number as u32, &name)) {
                    self.write(&name, !self.value(&name));
                }
            }
            // All that the rung reads is read before it writes.
            let mut at = (number as u32, 0);
            let passes = self.passes(&rung.logic, &mut at);
            match &rung.output {
                Output::Coil { var } => self.write(var, passes),
                Output::Negated { var } => self.write(var, !passes),
                Output::Set { var } if passes => self.write(var, true),
                Output::Reset { var } if passes => self.write(var, false),
                Output::Set { .. } | Output::Reset { .. } => {}
                Output::Rising { var } => {
                    let rises = self.r_trig(&otherwise::coil(number as u32), passes);
                    self.write(var, rises);
                }
                Output::Falling { var } => {
                    let falls = self.f_trig(&otherwise::coil(number as u32), passes);
                    self.write(var, falls);
                }
                Output::Block(call) => {
                    let mut inputs = vec![passes];
                    for network in &call.further {
                        inputs.push(network.as_ref().is_some_and(|network| self.passes(network, &mut at)));
                    }
                    for (input, pin) in inputs.iter_mut().zip(call.block.inputs()) {
                        *input ^= self.is_otherwise(&otherwise::pin(&format!("{}.{pin}", call.instance)));
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

    fn is_otherwise(&self, name: &str) -> bool {
        self.otherwise.contains(name)
    }

    fn write(&mut self, var: &str, value: bool) {
        self.bits.insert(var.to_owned(), value);
    }

    /// R_TRIG: Q := CLK AND NOT M; M := CLK.
    fn r_trig(&mut self, of: &str, clk: bool) -> bool {
        let m = self.edges.insert(of.to_owned(), clk).unwrap_or(false);
        clk && m == self.is_otherwise(&otherwise::remembered(of))
    }

    /// F_TRIG: Q := NOT CLK AND NOT M; M := NOT CLK.
    fn f_trig(&mut self, of: &str, clk: bool) -> bool {
        let m = self.edges.insert(of.to_owned(), !clk).unwrap_or(false);
        !clk && m == self.is_otherwise(&otherwise::remembered(of))
    }

    fn call(&mut self, call: &Call, inputs: &[bool]) {
        let name = &call.instance;
        let own = format!("{name}.Q1");
        let q1 = self.bits.get(&own).map(|q1| *q1 != self.is_otherwise(&otherwise::pin(&own)));
        let outputs = match call.block {
            Block::Ton | Block::Tof | Block::Tp => vec![self.timer(call, inputs[0])],
            Block::Ctu | Block::Ctd | Block::Ctud => self.counter(call, inputs),
            // SR: Q1 := S1 OR (NOT R AND Q1)
            Block::Sr => vec![inputs[0] || (!inputs[1] && q1.unwrap())],
            // RS: Q1 := NOT R1 AND (S OR Q1)
            Block::Rs => vec![!inputs[1] && (inputs[0] || q1.unwrap())],
            Block::RTrig => vec![self.r_trig(&format!("{name}.CLK"), inputs[0])],
            Block::FTrig => vec![self.f_trig(&format!("{name}.CLK"), inputs[0])],
        };
        for (pin, value) in call.block.bits().zip(inputs.iter().chain(&outputs)) {
            self.write(&format!("{name}.{pin}"), *value);
        }
    }

    /// Q of a timer, by the timing diagrams.
    fn timer(&mut self, call: &Call, input: bool) -> bool {
        let Some(Constant::Time(preset_ms)) = call.preset else { panic!("{call:?}") };
        let preset_ms = u64::from(preset_ms);
        let turned = self.is_otherwise(&otherwise::pin(&format!("{}.time", call.instance)));
        let timer = self.timers.entry(call.instance.clone()).or_default();
        let rises = input && !timer.before;
        let falls = !input && timer.before;
        timer.before = input;
        let since = |start: u64| self.now_ms - start;
        let is_up = |start: u64| (since(start) >= preset_ms) != turned;
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
                timer.started_ms.is_some_and(is_up)
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
                input || timer.started_ms.is_some_and(|start| !is_up(start))
            }
            // Q is 1 for PT from a rising IN, whatever IN does; ET then stays at PT while IN is 1.
            _ => {
                if rises && timer.started_ms.is_none() {
                    timer.started_ms = Some(self.now_ms);
                }
                let running = timer.started_ms.is_some_and(|start| !is_up(start));
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
        let reached = |of: &Self, cv: i64, pin: &str| {
            (cv >= pv) != of.is_otherwise(&otherwise::pin(&format!("{name}.{pin}")))
        };
        let none = |of: &Self, cv: i64, pin: &str| {
            (cv <= 0) != of.is_otherwise(&otherwise::pin(&format!("{name}.{pin}")))
        };
        let outputs;
        match call.block {
            Block::Ctu => {
                let cu = edge(self, "CU", inputs[0]);
                if inputs[1] {
                    cv = 0;
                } else if cu && cv < 32_767 {
                    cv += 1;
                }
                outputs = vec![if inputs[1] { cv >= pv } else { reached(self, cv, "Q") }];
            }
            Block::Ctd => {
                let cd = edge(self, "CD", inputs[0]);
                if inputs[1] {
                    cv = pv;
                } else if cd && cv > -32_768 {
                    cv -= 1;
                }
                outputs = vec![if inputs[1] { cv <= 0 } else { none(self, cv, "Q") }];
            }
            _ => {
                let (cu, cd) = (edge(self, "CU", inputs[0]), edge(self, "CD", inputs[1]));
                let is_set = inputs[2] || inputs[3];
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
                outputs = match is_set {
                    true => vec![cv >= pv, cv <= 0],
                    false => vec![reached(self, cv, "QU"), none(self, cv, "QD")],
                };
            }
        }
        self.counts.insert(name.clone(), cv);
        outputs
    }

    /// Whether a network passes. Every contact is evaluated; `at` counts them.
    fn passes(&mut self, logic: &Network, at: &mut (u32, u32)) -> bool {
        match logic {
            Network::Contact(contact) => {
                let place = *at;
                at.1 += 1;
                self.contact(contact, place)
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

    fn contact(&mut self, contact: &Contact, place: (u32, u32)) -> bool {
        let turned = self.is_otherwise(&otherwise::read(place));
        match contact {
            Contact::Bit { var, test } => {
                let bit = self.bits[var] != turned;
                match test {
                    Test::Open => bit,
                    Test::Closed => !bit,
                    Test::Rising => self.r_trig(&otherwise::contact(place), bit),
                    Test::Falling => self.f_trig(&otherwise::contact(place), bit),
                }
            }
            Contact::Compare(Comparison { value, relation, with }) => {
                let left = self.number(value);
                let right = match with {
                    Operand::Constant(Constant::Time(time_ms)) => i64::from(*time_ms),
                    Operand::Constant(Constant::Count(count)) => i64::from(*count),
                    Operand::Value(name) => self.number(name),
                };
                let holds = match relation {
                    Relation::Less => left < right,
                    Relation::AtMost => left <= right,
                    Relation::Greater => left > right,
                    Relation::AtLeast => left >= right,
                    Relation::Equal => left == right,
                    Relation::NotEqual => left != right,
                };
                holds != turned
            }
        }
    }
}

/// The bits of a variable: itself, or the pins of a block.
fn names(var: &Var) -> Vec<String> {
    match var.kind {
        VarKind::Bool => vec![var.name.clone()],
        VarKind::Block(block) => block.bits().map(|pin| format!("{}.{pin}", var.name)).collect(),
    }
}
