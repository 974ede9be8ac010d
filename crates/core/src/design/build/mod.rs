//! From a plan to a design: nodes, elements, contacts, families.

mod cable;
mod contactor;
mod control;
mod controller;
mod machine;
mod overload;
mod strip;
mod supply;
mod switchgear;

use super::*;
use crate::devices::cable::conductor_ohm;
use crate::devices::motor::circuit_at;
use crate::fault::{Mode, Value, alter};
use crate::network::{CONTACT_OHM, EARTH, Element, HEATER_OHM, Key};
use crate::part::{Supply, Switchgear, Transformer};
use crate::plan::Plan;

/// Why a plan cannot be built.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BuildError {
    /// Two parts share a tag.
    #[error("the tag `{0}` is given to two parts; give one of them another")]
    DuplicateTag(String),
    /// Two conductors share an id.
    #[error("the id `{0}` is given to two conductors; give one of them another")]
    DuplicateConductor(String),
    /// An end of a conductor is no terminal.
    #[error("conductor `{conductor}`: there is no terminal `{terminal}`")]
    NoTerminal {
        /// The conductor.
        conductor: String,
        /// The end.
        terminal: Terminal,
    },
    /// A fault does not fit.
    #[error("fault `{fault}`: {reason}")]
    Fault {
        /// The fault.
        fault: Fault,
        /// Why not.
        reason: String,
    },
    /// A part has values outside what can be computed.
    #[error("part `{tag}`: {reason}")]
    Part {
        /// The part.
        tag: String,
        /// What is wrong and what is expected.
        reason: String,
    },
    /// More contacts, coils and supplies than a key holds.
    #[error("the parts have {0} states of contacts, coils and supplies; at most {max} are possible", max = Key::BITS)]
    TooLarge(usize),
    /// The program uses a channel that the controller does not have.
    #[error("the program uses {0}, and the controller has no such channel")]
    NoChannel(String),
}

impl Design {
    /// Builds a design. The order of parts and conductors in the plan does not matter.
    pub fn build(plan: &Plan) -> Result<Design, BuildError> {
        let mut parts = plan.parts.clone();
        parts.sort_by(|a, b| a.tag.cmp(&b.tag));
        if let Some(pair) = parts.windows(2).find(|p| p[0].tag == p[1].tag) {
            return Err(BuildError::DuplicateTag(pair[0].tag.clone()));
        }
        let mut conductors = plan.conductors.clone();
        conductors.sort_by(|a, b| a.id.cmp(&b.id));
        if let Some(pair) = conductors.windows(2).find(|p| p[0].id == p[1].id) {
            return Err(BuildError::DuplicateConductor(pair[0].id.clone()));
        }
        for fault in &plan.faults {
            fault.fits(plan).map_err(|reason| BuildError::Fault { fault: fault.clone(), reason })?;
        }
        // With an intermittent fault it is built as it is while that is there.
        let faults: BTreeSet<Fault> = plan.faults.iter().map(Fault::lasting).collect();
        // What is built is as it is; parts and conductors of the design stay as they are drawn.
        let (mut built, mut joined, mut program) = (parts.clone(), conductors.clone(), plan.program.clone());
        alter(&faults, &mut built, &mut joined, &mut program);
        let mut b = Builder::new(&parts, &faults);
        for part in &built {
            b.part(part)?;
        }
        b.interlocks();
        b.machines()?;
        for c in &joined {
            b.conductor(c, &plan.cables)?;
        }
        b.bridges();
        b.cables(&parts, &joined, plan);
        b.finish(parts, conductors, plan, program)
    }
}

struct Builder<'a> {
    faults: &'a BTreeSet<Fault>,
    /// Mains frequency, mHz.
    millihertz: u32,
    nodes: BTreeMap<Terminal, Node>,
    /// Nodes inside devices, which have no terminal.
    inner: usize,
    elements: Vec<Element>,
    wires: Vec<Tagged<WireData>>,
    ports: Vec<[Node; 3]>,
    contacts: Vec<Contact>,
    /// Elements whose key bit comes after all contacts: index of element.
    supplies: Vec<Tagged<usize>>,
    switches: Vec<Tagged<SwitchData>>,
    controls: Vec<Tagged<ControlData>>,
    contactors: Vec<Tagged<ContactorData>>,
    overloads: Vec<Tagged<OverloadData>>,
    dc_supplies: Vec<Tagged<DcData>>,
    controllers: Vec<Tagged<ControllerData>>,
    lamps: Vec<Tagged<LampData>>,
    motors: Vec<Tagged<MotorData>>,
    position_switches: Vec<Tagged<PositionSwitchData>>,
    brakes: Vec<Tagged<BrakeData>>,
    /// Key bits that are no contacts are handed out from the top.
    top_bits: usize,
}

fn siemens(ohm: f64) -> f64 {
    1.0 / ohm
}

impl<'a> Builder<'a> {
    fn new(parts: &[Part], faults: &'a BTreeSet<Fault>) -> Self {
        let mut nodes = BTreeMap::new();
        for part in parts {
            for name in part.terminals() {
                let number = nodes.len() as Node;
                nodes.entry(Terminal { part: part.tag.clone(), name }).or_insert(number);
            }
        }
        Builder {
            faults,
            millihertz: cable::mains_millihertz(parts),
            nodes,
            inner: 0,
            elements: Vec::new(),
            wires: Vec::new(),
            ports: Vec::new(),
            contacts: Vec::new(),
            supplies: Vec::new(),
            switches: Vec::new(),
            controls: Vec::new(),
            contactors: Vec::new(),
            overloads: Vec::new(),
            dc_supplies: Vec::new(),
            controllers: Vec::new(),
            lamps: Vec::new(),
            motors: Vec::new(),
            position_switches: Vec::new(),
            brakes: Vec::new(),
            top_bits: Key::BITS,
        }
    }

    fn node(&self, tag: &str, name: &str) -> Node {
        self.nodes.get(&Terminal::new(tag, name)).copied().unwrap_or(EARTH)
    }

    fn pair(&self, tag: &str, [a, b]: [&str; 2]) -> Pair {
        (self.node(tag, a), self.node(tag, b))
    }

    fn resistor(&mut self, a: Node, b: Node, ohm: f64) {
        if a != b {
            self.elements.push(Element::Resistor { a, b, siemens: siemens(ohm) });
        }
    }

    fn top_bits(&mut self, count: usize) -> usize {
        self.top_bits = self.top_bits.saturating_sub(count);
        self.top_bits
    }

    /// Adds a contact with the faults that sit on it.
    fn contact(&mut self, tag: &str, a: &str, b: &str, source: ContactSource, ohm: f64) {
        let pair = format!("{a}-{b}");
        let (name, forced) = self.named_contact(tag, a, b);
        let ohm = self.number(Mode::Dirty, tag, &pair).map_or(ohm, f64::from);
        let bit = self.contacts.len();
        self.contacts.push(Contact { name, source, forced, ohm });
        let (a, b) = (self.node(tag, a), self.node(tag, b));
        self.elements.push(Element::Contact { a, b, bit, siemens: siemens(ohm) });
    }

    /// Name of a contact, and where a fault holds it.
    fn named_contact(&self, tag: &str, a: &str, b: &str) -> (String, Option<bool>) {
        let pair = format!("{a}-{b}");
        let stuck = |mode| self.fault(mode, tag, &pair).is_some();
        let forced = match (stuck(Mode::StuckOpen), stuck(Mode::StuckClosed)) {
            (true, _) => Some(false),
            (false, true) => Some(true),
            (false, false) => None,
        };
        (format!("{tag}.{pair}"), forced)
    }

    fn part(&mut self, part: &Part) -> Result<(), BuildError> {
        let tag = part.tag.as_str();
        match &part.kind {
            Kind::Supply(s) => self.supply(tag, s)?,
            Kind::Switchgear(s) => self.switchgear(tag, s)?,
            Kind::Contactor(c) => self.contactor(tag, c)?,
            Kind::Relay(r) => self.relay(tag, r)?,
            Kind::Overload(o) => self.overload(tag, o)?,
            Kind::Transformer(t) => self.transformer(tag, t)?,
            Kind::DcSupply(d) => self.dc_supply(tag, d)?,
            Kind::Controller(c) => self.controller(tag, c)?,
            Kind::Control(c) => self.control(tag, c)?,
            Kind::Lamp(l) => self.lamp(tag, l)?,
            Kind::Motor(m) => self.motor(tag, m)?,
            Kind::PositionSwitch(s) => self.position_switch(tag, s)?,
            Kind::Brake(b) => self.brake(tag, b)?,
            Kind::Strip(s) => self.strip(tag, s),
        }
        Ok(())
    }

    /// The fault of this mode at this place of a part.
    fn fault(&self, mode: Mode, tag: &str, at: &str) -> Option<&'a Fault> {
        self.faults.iter().find(|f| f.mode == mode && f.subject == tag && f.at == at)
    }

    /// Whether a part as a whole has a fault of this mode.
    fn has(&self, mode: Mode, tag: &str) -> bool {
        self.fault(mode, tag, "").is_some()
    }

    /// The number of such a fault.
    fn number(&self, mode: Mode, tag: &str, at: &str) -> Option<i32> {
        self.fault(mode, tag, at)?.value.number()
    }

    /// A node inside a device.
    fn inner(&mut self) -> Node {
        self.inner += 1;
        (self.nodes.len() + self.inner - 1) as Node
    }

    /// Terminals of a part that touch by a fault.
    fn bridges(&mut self) {
        for fault in self.faults.iter().filter(|fault| fault.mode == Mode::Bridged) {
            let Value::Terminal(other) = &fault.value else { continue };
            let (a, b) = self.pair(&fault.subject, [&fault.at, other]);
            self.resistor(a, b, CONTACT_OHM);
        }
    }

    fn wrong(&self, tag: &str, reason: &str) -> BuildError {
        BuildError::Part { tag: tag.to_string(), reason: reason.to_string() }
    }

    fn conductor(&mut self, c: &Conductor, cables: &[Cable]) -> Result<(), BuildError> {
        let end = |t: &Terminal| {
            self.nodes
                .get(t)
                .copied()
                .ok_or_else(|| BuildError::NoTerminal { conductor: c.id.clone(), terminal: t.clone() })
        };
        let (a, b) = (end(&c.from)?, end(&c.to)?);
        let on = |mode| self.faults.iter().find(|f| f.mode == mode && f.is_on(c));
        let ohms = |fault: &Fault| match fault.value {
            Value::Number(ohms) => f64::from(ohms),
            _ => 0.0,
        };
        let loose = on(Mode::ConductorLoose).map_or(0.0, ohms);
        let earthed = on(Mode::ConductorEarthed).map(ohms);
        let broken = on(Mode::ConductorOpen).is_some();
        let ohm = (!broken).then(|| conductor_ohm(c, cables) + loose);
        if let Some(ohm) = ohm {
            self.resistor(a, b, ohm);
        }
        self.wires.push(Tagged { tag: c.id.clone(), data: WireData { nodes: (a, b), ohm } });
        if let Some(ohms) = earthed {
            self.resistor(a, EARTH, ohms);
        }
        Ok(())
    }

    fn finish(
        mut self,
        parts: Vec<Part>,
        conductors: Vec<Conductor>,
        plan: &Plan,
        program: Option<Program>,
    ) -> Result<Design, BuildError> {
        let needed = self.contacts.len() + Key::BITS - self.top_bits;
        if needed > Key::BITS {
            return Err(BuildError::TooLarge(needed));
        }
        let scan_ms = self.controllers.first().map_or(10, |c| u32::from(c.data.controller.scan_ms));
        if let (Some(program), Some(c)) = (&program, self.controllers.first()) {
            controller::check_channels(program, &c.data)?;
        }
        for c in &mut self.controllers {
            c.data.scan_us = program.as_ref().map_or(0, |p| controller::scan_us(p, &c.data.controller));
        }
        let empty = Program::default();
        let compiled = sealin_ladder::compile(program.as_ref().unwrap_or(&empty), scan_ms);
        let mut design = Design {
            parts: parts.into(),
            conductors: conductors.into(),
            cables: plan.cables.clone().into(),
            faults: self.faults.clone(),
            program: program.into(),
            network: Network::new(self.nodes.len() + self.inner, self.elements, self.ports),
            signals: Shared::default(),
            compiled: compiled.into(),
            nodes: self.nodes.into(),
            wires: self.wires,
            contacts: self.contacts.into(),
            supplies: self.supplies,
            switches: self.switches,
            controls: self.controls,
            contactors: self.contactors,
            overloads: self.overloads,
            dc_supplies: self.dc_supplies,
            controllers: self.controllers,
            lamps: self.lamps,
            motors: self.motors,
            position_switches: self.position_switches,
            brakes: self.brakes,
        };
        design.signals = signals::list(&design).into();
        Ok(design)
    }
}
