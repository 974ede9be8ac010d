//! From a plan to a design: nodes, elements, contacts, families.

use super::*;
use crate::devices::motor::circuit;
use crate::network::{CONDUCTOR_OHM, CONTACT_OHM, EARTH, Element, HEATER_OHM, Key};
use crate::part::{Motor, Supply, Switchgear, Transformer};
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

/// Resistance of an input channel to its common, type 3 (IEC 61131-2; typical), ohm.
const CHANNEL_OHM: f64 = 4700.0;

/// Resistance of a closed output relay contact, ohm (typical).
const RELAY_OHM: f64 = 0.03;

/// Supply current of a controller at 24 V is about 0.15 A: 160 ohm (typical).
const CONTROLLER_OHM: f64 = 160.0;

/// Power factor of a coil with the armature out and in (typical).
const COIL_PF: (f64, f64) = (0.75, 0.3);

/// Input of a DC supply of 60 W at 400 V, as a resistance, ohm (typical).
const DC_INPUT_OHM: f64 = 2667.0;

/// Magnetising current of a control transformer: a tenth of the rated current, lagging (typical).
const MAGNETISING_PART: f64 = 0.1;

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
            fault
                .fits(&parts, &conductors)
                .map_err(|reason| BuildError::Fault { fault: fault.clone(), reason })?;
        }
        let mut b = Builder::new(&parts, &plan.faults);
        for part in &parts {
            b.part(part)?;
        }
        b.interlocks();
        for c in &conductors {
            b.conductor(c)?;
        }
        b.finish(parts, conductors, plan)
    }
}

struct Builder<'a> {
    faults: &'a BTreeSet<Fault>,
    nodes: BTreeMap<Terminal, Node>,
    elements: Vec<Element>,
    ports: Vec<[Node; 3]>,
    contacts: Vec<Contact>,
    /// Elements whose key bit comes after all contacts: index of element.
    supplies: Vec<Tagged<usize>>,
    switches: Vec<Tagged<SwitchData>>,
    buttons: Vec<Tagged<ButtonData>>,
    contactors: Vec<Tagged<ContactorData>>,
    overloads: Vec<Tagged<OverloadData>>,
    dc_supplies: Vec<Tagged<DcData>>,
    controllers: Vec<Tagged<ControllerData>>,
    lamps: Vec<Tagged<LampData>>,
    motors: Vec<Tagged<MotorData>>,
    /// Key bits that are no contacts are handed out from the top.
    top_bits: usize,
}

fn siemens(ohm: f64) -> f64 {
    1.0 / ohm
}

/// Admittance of a coil from apparent power, power factor and voltage; lagging.
fn coil_admittance(mva: u32, pf: f64, volts: f64) -> Complex {
    let size = f64::from(mva) / 1000.0 / (volts * volts);
    Complex::new(size * pf, -size * (1.0 - pf * pf).sqrt())
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
            nodes,
            elements: Vec::new(),
            ports: Vec::new(),
            contacts: Vec::new(),
            supplies: Vec::new(),
            switches: Vec::new(),
            buttons: Vec::new(),
            contactors: Vec::new(),
            overloads: Vec::new(),
            dc_supplies: Vec::new(),
            controllers: Vec::new(),
            lamps: Vec::new(),
            motors: Vec::new(),
            top_bits: Key::BITS,
        }
    }

    fn node(&self, tag: &str, name: &str) -> Node {
        self.nodes.get(&Terminal::new(tag, name)).copied().unwrap_or(EARTH)
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
        let on = |f: &Fault| match f {
            Fault::StuckOpen { part, contact } if part == tag && *contact == pair => Some(Some(false)),
            Fault::StuckClosed { part, contact } if part == tag && *contact == pair => Some(Some(true)),
            _ => None,
        };
        let forced = self.faults.iter().find_map(on).flatten();
        let dirty = self.faults.iter().find_map(|f| match f {
            Fault::ContactDirty { part, contact, ohms } if part == tag && *contact == pair => {
                Some(f64::from(*ohms))
            }
            _ => None,
        });
        let bit = self.contacts.len();
        self.contacts.push(Contact { name: format!("{tag}.{pair}"), source, forced });
        let (a, b) = (self.node(tag, a), self.node(tag, b));
        self.elements.push(Element::Contact { a, b, bit, siemens: siemens(dirty.unwrap_or(ohm)) });
    }

    fn part(&mut self, part: &Part) -> Result<(), BuildError> {
        let tag = part.tag.as_str();
        match &part.kind {
            Kind::Supply(s) => self.supply(tag, s)?,
            Kind::Switchgear(s) => self.switchgear(tag, s)?,
            Kind::Contactor(c) => self.contactor(tag, c)?,
            Kind::Overload(o) => self.overload(tag, o)?,
            Kind::Transformer(t) => self.transformer(tag, t)?,
            Kind::DcSupply(d) => self.dc_supply(tag, d),
            Kind::Controller(c) => self.controller(tag, c)?,
            Kind::Button(b) => {
                let number = self.buttons.len();
                let stuck = self.has(&Fault::ButtonStuck { part: tag.to_string() });
                self.buttons.push(Tagged { tag: tag.to_string(), data: ButtonData { stuck } });
                let (x, y) = if b.form == Form::Make { ("13", "14") } else { ("11", "12") };
                self.contact(tag, x, y, ContactSource::Button(number, b.form), CONTACT_OHM);
            }
            Kind::Lamp(l) => {
                if l.resistance_mohm == 0 || l.rated_mv == 0 {
                    return Err(self.wrong(tag, "rated voltage and resistance must be above 0"));
                }
                let nodes = (self.node(tag, "X1"), self.node(tag, "X2"));
                self.resistor(nodes.0, nodes.1, f64::from(l.resistance_mohm) / 1000.0);
                self.lamps.push(Tagged { tag: tag.to_string(), data: LampData { lamp: l.clone(), nodes } });
            }
            Kind::Motor(m) => self.motor(tag, m),
            Kind::Strip(s) => {
                for bridge in &s.bridges {
                    for pair in bridge.windows(2) {
                        let (a, b) = (self.node(tag, &pair[0]), self.node(tag, &pair[1]));
                        self.resistor(a, b, CONTACT_OHM);
                    }
                }
            }
        }
        Ok(())
    }

    fn has(&self, fault: &Fault) -> bool {
        self.faults.contains(fault)
    }

    fn wrong(&self, tag: &str, reason: &str) -> BuildError {
        BuildError::Part { tag: tag.to_string(), reason: reason.to_string() }
    }

    fn supply(&mut self, tag: &str, s: &Supply) -> Result<(), BuildError> {
        if s.line_voltage_mv == 0 || s.fault_current_ma == 0 {
            return Err(self.wrong(tag, "line voltage and fault current must be above 0"));
        }
        let phase = f64::from(s.line_voltage_mv) / 1000.0 / 3f64.sqrt();
        // Impedance from the prospective short-circuit current, taken as half resistive: R = X.
        let size = phase / (f64::from(s.fault_current_ma) / 1000.0);
        let part = size / 2f64.sqrt();
        let admittance = Complex::new(part, part).recip();
        let bit = self.top_bits(1);
        let turn = Complex::new(-0.5, 3f64.sqrt() / 2.0);
        for (name, angle) in [("L1", Complex::ONE), ("L2", turn * turn), ("L3", turn)] {
            let a = self.node(tag, name);
            self.elements.push(Element::AcSource { a, bit, volts: angle.scale(phase), admittance });
        }
        let pe = self.node(tag, "PE");
        self.resistor(pe, EARTH, CONDUCTOR_OHM);
        self.supplies.push(Tagged { tag: tag.to_string(), data: bit });
        Ok(())
    }

    fn switchgear(&mut self, tag: &str, s: &Switchgear) -> Result<(), BuildError> {
        if !(1..=3).contains(&s.poles) {
            return Err(self.wrong(tag, "one to three poles are expected"));
        }
        let number = self.switches.len();
        let mut poles = Vec::new();
        for pole in 0..usize::from(s.poles) {
            let (a, b) = ((2 * pole + 1).to_string(), (2 * pole + 2).to_string());
            self.contact(tag, &a, &b, ContactSource::Switch(number, pole), CONTACT_OHM);
            poles.push((self.node(tag, &a), self.node(tag, &b)));
        }
        let data = SwitchData { protection: s.protection, poles };
        self.switches.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    fn contactor(&mut self, tag: &str, c: &Contactor) -> Result<(), BuildError> {
        if c.coil_mv == 0 || c.inrush_mva == 0 || c.sealed_mva == 0 {
            return Err(self.wrong(tag, "coil voltage and apparent powers must be above 0"));
        }
        let number = self.contactors.len();
        let first = self.contacts.len();
        for (a, b) in [("1", "2"), ("3", "4"), ("5", "6")] {
            self.contact(tag, a, b, ContactSource::Main(number), CONTACT_OHM);
        }
        let mains = first..self.contacts.len();
        self.contact(tag, "13", "14", ContactSource::AuxMake(number), CONTACT_OHM);
        self.contact(tag, "21", "22", ContactSource::AuxBreak(number), CONTACT_OHM);
        let coil = (self.node(tag, "A1"), self.node(tag, "A2"));
        let coil_open = self.has(&Fault::CoilOpen { part: tag.to_string() });
        let sealed_bit = self.top_bits(1);
        if !coil_open {
            let volts = f64::from(c.coil_mv) / 1000.0;
            let out = coil_admittance(c.inrush_mva, COIL_PF.0, volts);
            let sealed = coil_admittance(c.sealed_mva, COIL_PF.1, volts);
            // The winding's resistance is the real part of the inrush impedance.
            let siemens_dc = siemens(out.recip().re);
            let (a, b) = coil;
            self.elements.push(Element::Coil { a, b, bit: sealed_bit, out, sealed, siemens_dc });
        }
        let welded = self.has(&Fault::PolesWelded { part: tag.to_string() });
        let data = ContactorData {
            contactor: c.clone(),
            delays: c.delays,
            coil,
            mains,
            coil_open,
            welded,
            interlocked: None,
            sealed_bit,
        };
        self.contactors.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    fn interlocks(&mut self) {
        let tags: Vec<String> = self.contactors.iter().map(|c| c.tag.clone()).collect();
        for c in &mut self.contactors {
            let other = c.data.contactor.interlocked_with.as_deref();
            c.data.interlocked = other.and_then(|t| tags.iter().position(|x| x == t));
        }
    }

    fn overload(&mut self, tag: &str, o: &Overload) -> Result<(), BuildError> {
        if o.dial_ma == 0 || o.dial_ma < o.dial_min_ma || o.dial_ma > o.dial_max_ma {
            return Err(self.wrong(tag, "the dial must stand inside its range"));
        }
        let number = self.overloads.len();
        let poles = [("1", "2"), ("3", "4"), ("5", "6")].map(|(a, b)| (self.node(tag, a), self.node(tag, b)));
        for (a, b) in poles {
            self.resistor(a, b, HEATER_OHM);
        }
        self.contact(tag, "95", "96", ContactSource::TripBreak(number), CONTACT_OHM);
        self.contact(tag, "97", "98", ContactSource::TripMake(number), CONTACT_OHM);
        self.overloads
            .push(Tagged { tag: tag.to_string(), data: OverloadData { overload: o.clone(), poles } });
        Ok(())
    }

    fn transformer(&mut self, tag: &str, t: &Transformer) -> Result<(), BuildError> {
        if t.primary_mv == 0 || t.secondary_mv == 0 || t.rated_mva == 0 || t.impedance_permille == 0 {
            return Err(self.wrong(tag, "voltages, power and impedance must be above 0"));
        }
        let (v1, v2) = (f64::from(t.primary_mv) / 1000.0, f64::from(t.secondary_mv) / 1000.0);
        let power = f64::from(t.rated_mva) / 1000.0;
        // Small control transformers: the short-circuit impedance is nearly all resistance.
        let ohm = f64::from(t.impedance_permille) / 1000.0 * v2 * v2 / power;
        let ratio = v2 / v1;
        let half = ohm / 2.0;
        self.elements.push(Element::Transformer {
            primary: (self.node(tag, "1U"), self.node(tag, "1V")),
            secondary: (self.node(tag, "2U"), self.node(tag, "2V")),
            ratio,
            series: Complex::real(siemens(ohm)),
            magnetising: Complex::new(0.0, -MAGNETISING_PART * power / (v1 * v1)),
            siemens_dc: (siemens(half / (ratio * ratio)), siemens(half)),
        });
        Ok(())
    }

    fn dc_supply(&mut self, tag: &str, d: &DcSupply) {
        let input = (self.node(tag, "L1"), self.node(tag, "L2"));
        let output = (self.node(tag, "+"), self.node(tag, "-"));
        self.resistor(input.0, input.1, DC_INPUT_OHM);
        let bit = self.top_bits(2);
        self.elements.push(Element::DcSource {
            plus: output.0,
            minus: output.1,
            bit,
            volts: f64::from(d.output_mv) / 1000.0,
            limit: f64::from(d.limit_ma) / 1000.0,
        });
        let data = DcData { supply: d.clone(), input, output, bit };
        self.dc_supplies.push(Tagged { tag: tag.to_string(), data });
    }

    fn controller(&mut self, tag: &str, c: &Controller) -> Result<(), BuildError> {
        let count = |groups: &[crate::part::Group]| groups.iter().map(|g| g.channels.len()).sum::<usize>();
        if c.scan_ms == 0 || count(&c.inputs) > 64 || count(&c.outputs) > 64 {
            return Err(
                self.wrong(tag, "a scan of 1 ms or more and at most 64 inputs and outputs are expected")
            );
        }
        let number = self.controllers.len();
        let supply = (self.node(tag, "L+"), self.node(tag, "M"));
        self.resistor(supply.0, supply.1, CONTROLLER_OHM);
        let mut inputs = Vec::new();
        let mut dead = 0u64;
        for group in &c.inputs {
            let common = self.node(tag, &group.common);
            for channel in &group.channels {
                let node = self.node(tag, channel);
                self.resistor(node, common, CHANNEL_OHM);
                if self.has(&Fault::ChannelDead { part: tag.to_string(), input: channel.clone() }) {
                    dead |= 1 << inputs.len();
                }
                inputs.push((node, common));
            }
        }
        let mut outputs = 0;
        for group in &c.outputs {
            for channel in &group.channels {
                self.contact(tag, channel, &group.common, ContactSource::Output(number, outputs), RELAY_OHM);
                outputs += 1;
            }
        }
        let data = ControllerData { controller: c.clone(), supply, inputs, outputs, dead };
        self.controllers.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    fn motor(&mut self, tag: &str, m: &Motor) {
        let nodes = ["U1", "V1", "W1"].map(|n| self.node(tag, n));
        let circuit = circuit(m.model);
        // Star resistance R1 per phase as a delta of 3·R1 between the terminals.
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            self.elements.push(Element::DcOnly {
                a: nodes[a],
                b: nodes[b],
                siemens: siemens(3.0 * circuit.r1),
            });
        }
        let port = self.ports.len();
        self.ports.push(nodes);
        let data = MotorData {
            circuit,
            port,
            nodes,
            load_inertia: f64::from(m.load_inertia_kgmm2) * 1e-6,
            load_friction: f64::from(m.load_friction_mnm) * 1e-3,
        };
        self.motors.push(Tagged { tag: tag.to_string(), data });
    }

    fn conductor(&mut self, c: &Conductor) -> Result<(), BuildError> {
        let end = |t: &Terminal| {
            self.nodes
                .get(t)
                .copied()
                .ok_or_else(|| BuildError::NoTerminal { conductor: c.id.clone(), terminal: t.clone() })
        };
        let (a, b) = (end(&c.from)?, end(&c.to)?);
        if !self.faults.iter().any(|f| f.opens(c)) {
            self.resistor(a, b, CONDUCTOR_OHM);
        }
        Ok(())
    }

    fn finish(self, parts: Vec<Part>, conductors: Vec<Conductor>, plan: &Plan) -> Result<Design, BuildError> {
        let needed = self.contacts.len() + Key::BITS - self.top_bits;
        if needed > Key::BITS {
            return Err(BuildError::TooLarge(needed));
        }
        let scan_ms = self.controllers.first().map_or(10, |c| u32::from(c.data.controller.scan_ms));
        if let (Some(program), Some(c)) = (&plan.program, self.controllers.first()) {
            check_channels(program, &c.data)?;
        }
        let empty = Program::default();
        let compiled = sealin_ladder::compile(plan.program.as_ref().unwrap_or(&empty), scan_ms);
        let mut design = Design {
            parts,
            conductors,
            faults: plan.faults.clone(),
            program: plan.program.clone(),
            network: Network::new(self.nodes.len(), self.elements, self.ports),
            signals: Vec::new(),
            compiled,
            nodes: self.nodes,
            contacts: self.contacts,
            supplies: self.supplies,
            switches: self.switches,
            buttons: self.buttons,
            contactors: self.contactors,
            overloads: self.overloads,
            dc_supplies: self.dc_supplies,
            controllers: self.controllers,
            lamps: self.lamps,
            motors: self.motors,
        };
        design.signals = signals::list(&design);
        Ok(design)
    }
}

/// Every address of the program must be a channel of the controller.
fn check_channels(program: &Program, c: &ControllerData) -> Result<(), BuildError> {
    use sealin_ladder::Area;
    for var in &program.vars {
        if let Some(address) = &var.address {
            let bit = usize::from(address.byte) * 8 + usize::from(address.bit);
            let limit = match address.area {
                Area::Input => c.inputs.len(),
                Area::Output => c.outputs,
                Area::Memory => usize::MAX,
            };
            if bit >= limit {
                return Err(BuildError::NoChannel(format!("{address}")));
            }
        }
    }
    Ok(())
}
