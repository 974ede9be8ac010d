//! The network looked at with some things otherwise: contacts turned over, supplies switched, conductors put in or
//! taken out.

use super::Load;
use super::devices::place;
use crate::complex::Complex;
use crate::design::{Design, Pair};
use crate::devices::channel;
use crate::devices::field::voltages;
use crate::devices::motor_curve::Feed;
use crate::instruments::METER_OHM;
use crate::instruments::source::{impedance_ac, on_load_ac, on_load_dc};
use crate::network::{CONDUCTOR_OHM, DC_SOURCE_OHM, EARTH, Element, Key, Network, Node, Solution, Workspace};
use crate::part::CoilCurrent;
use crate::state::State;
use crate::step::MOST_LIMIT_ROUNDS;
use crate::step::contacts;
use crate::step::controllers::{AC_VOLTS, SUPPLY_VOLTS};
use crate::step::dc_supplies::INPUT_FROM;
use crate::step::lamps::LIT_FROM;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A meter is said to show volts from here, V.
const METER_FROM: f64 = 10.0;

/// A phase is said to be at a motor from this part of the voltage of its supply.
const PHASE_FROM: f64 = 0.6;

/// Something that can be otherwise in the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Item {
    /// A contact, by number: its bit.
    Contact(usize),
    /// A supply, by number.
    Supply(usize),
    /// A DC supply, by number.
    Dc(usize),
    /// A conductor that is there, by index.
    Conductor(usize),
    /// One that is not: node of the load's side, node of the source, and whether it is the way back.
    Join(Node, Node, bool),
}

/// A solution with the currents of the motors.
pub(super) struct Seen {
    solution: Solution,
    drawn: Vec<[Complex; 3]>,
    /// Motors, by number, the terminals of which are apart from every load.
    apart: Vec<bool>,
    /// Those of them whose field stands on.
    stands: Vec<bool>,
    key: Key,
    /// The network, where it is not that of the design.
    network: Option<Network>,
}

impl Seen {
    /// Volts between two nodes: DC, and AC RMS.
    fn across(&self, (a, b): Pair, drawn: &[[Complex; 3]]) -> (f64, f64) {
        let dc = self.solution.dc(a) - self.solution.dc(b);
        (dc, (self.solution.ac(a, drawn) - self.solution.ac(b, drawn)).abs())
    }

    /// With the motors.
    pub fn volts(&self, pair: Pair) -> (f64, f64) {
        self.across(pair, &self.drawn)
    }
}

/// A design and state that are looked at.
pub(super) struct Look<'a> {
    pub design: &'a Design,
    pub state: &'a State,
    /// The contacts as they stand now, by the drawing.
    pub now: Key,
    /// Nodes of each conductor.
    wires: Vec<Pair>,
    solved: RefCell<BTreeMap<Vec<Item>, Rc<Seen>>>,
    workspace: RefCell<Workspace>,
}

fn total((dc, ac): (f64, f64)) -> f64 {
    (dc * dc + ac * ac).sqrt()
}

impl<'a> Look<'a> {
    pub fn new(design: &'a Design, state: &'a State) -> Self {
        let node = |t| design.node(t).unwrap_or(EARTH);
        let wires = design.conductors.iter().map(|c| (node(&c.from), node(&c.to))).collect();
        let now = contacts::key(design, state);
        Look { design, state, now, wires, solved: RefCell::default(), workspace: RefCell::default() }
    }

    /// The key of the present with these things otherwise; limits of DC supplies are not found out.
    pub fn key(&self, items: &[Item]) -> Key {
        let mut key = self.now;
        for item in items {
            let bit = match item {
                Item::Contact(i) => *i,
                Item::Supply(i) => self.design.supplies[*i].data,
                Item::Dc(i) => self.design.dc_supplies[*i].data.bit,
                Item::Conductor(_) | Item::Join(..) => continue,
            };
            key.set(bit, !key.get(bit));
        }
        key
    }

    /// The network with these things otherwise; what was looked at is kept.
    pub fn seen(&self, items: &[Item]) -> Rc<Seen> {
        let mut name = items.to_vec();
        name.sort_unstable();
        if let Some(seen) = self.solved.borrow().get(&name) {
            return Rc::clone(seen);
        }
        let seen = Rc::new(self.solve(items, true));
        self.solved.borrow_mut().insert(name, Rc::clone(&seen));
        seen
    }

    /// The network with these things otherwise. Motors draw what they draw at their present speed; with `fields` those
    /// that run out stand on.
    fn solve(&self, items: &[Item], fields: bool) -> Seen {
        let network = self.rewired(items);
        let mut key = self.key(items);
        let solved = |key: &Key| match &network {
            Some(network) => network.solve(key),
            None => {
                let mut workspace = self.workspace.borrow_mut();
                self.design.network.solve_in(key, &mut workspace);
                workspace.solution()
            }
        };
        let mut solution = solved(&key);
        for _ in 0..MOST_LIMIT_ROUNDS {
            if !self.limit(&mut key, &solution) {
                break;
            }
            solution = solved(&key);
        }
        let mut seen =
            Seen { solution, drawn: Vec::new(), apart: Vec::new(), stands: Vec::new(), key, network };
        self.draw(&mut seen, items, fields);
        seen
    }

    /// The network with conductors put in or taken out, if any are.
    fn rewired(&self, items: &[Item]) -> Option<Network> {
        let wiring = |i: &&Item| matches!(i, Item::Conductor(_) | Item::Join(..));
        items.iter().find(wiring)?;
        let network = &self.design.network;
        let mut elements = Vec::clone(&network.elements);
        for item in items {
            match item {
                Item::Conductor(c) => {
                    let (a, b) = self.conductor(*c);
                    let at = elements.iter().position(
                        |e| matches!(e, Element::Resistor { a: x, b: y, .. } if (*x, *y) == (a, b)),
                    );
                    // One that is broken has no element.
                    at.map(|at| elements.remove(at));
                }
                Item::Join(a, b, _) => {
                    elements.push(Element::Resistor { a: *a, b: *b, siemens: 1.0 / CONDUCTOR_OHM });
                }
                _ => {}
            }
        }
        Some(Network::new(network.nodes, elements, network.ports.clone()))
    }

    /// Nodes of a conductor, by its index.
    pub fn conductor(&self, index: usize) -> Pair {
        self.wires[index]
    }

    /// Puts DC supplies and transistor outputs into the mode that fits, as a tick does. Returns whether one changed.
    fn limit(&self, key: &mut Key, solution: &Solution) -> bool {
        let mut flipped = false;
        for d in &self.design.dc_supplies {
            let output = solution.dc(d.data.output.0) - solution.dc(d.data.output.1);
            let volts = f64::from(d.data.supply.output_mv) / 1000.0;
            let amperes = f64::from(d.data.supply.limit_ma) / 1000.0;
            let was = key.get(d.data.bit + 1);
            let limits = key.get(d.data.bit)
                && if was { output < volts } else { (volts - output) / DC_SOURCE_OHM > amperes };
            key.set(d.data.bit + 1, limits);
            flipped |= was != limits;
        }
        for (c, s) in self.design.controllers.iter().zip(&self.state.controllers) {
            for (k, output) in c.data.outputs.iter().enumerate() {
                let Some(bit) = output.transistor else { continue };
                let across = solution.dc(output.nodes.0) - solution.dc(output.nodes.1);
                let limits = key.get(output.contact) && !s.contacts[k].damaged && channel::limits(across);
                flipped |= key.get(bit) != limits;
                key.set(bit, limits);
            }
        }
        flipped
    }

    /// What the motors draw. The field of one that is apart already stands on as it is now; of one that only these things
    /// take apart it is taken as faded, as they are asked about for good.
    fn draw(&self, seen: &mut Seen, items: &[Item], fields: bool) {
        seen.drawn = vec![[Complex::ZERO; 3]; self.design.network.ports.len()];
        for (i, (m, s)) in self.design.motors.iter().zip(&self.state.motors).enumerate() {
            let (circuit, feed) = (&m.data.circuit, Feed::of(&m.data, &seen.solution));
            seen.apart.push(feed.apart());
            let stands = fields && seen.apart[i] && (items.is_empty() || self.seen(&[]).apart[i]);
            let emf = if stands { voltages(circuit, s.field, s.stamped) } else { None };
            seen.stands.push(emf.is_some());
            seen.drawn[m.data.port] = match emf {
                Some(emf) => circuit.feed_back(feed.open, feed.z, emf),
                None if feed.dead() => continue,
                None => feed.at(circuit, s.stamped).current,
            };
        }
    }

    /// Pairs of nodes between which a load wants volts; none for a load that is not there.
    pub fn pairs(&self, load: &Load) -> Option<Vec<Pair>> {
        let d = self.design;
        let one = |pair: Option<Pair>| pair.map(|p| vec![p]);
        match load {
            Load::Coil(t) => one(d.contactors.iter().find(|c| c.tag == *t).map(|c| c.data.coil)),
            Load::Lamp(t) => one(d.lamps.iter().find(|l| l.tag == *t).map(|l| l.data.nodes)),
            Load::Channel(t, k) => {
                let c = d.controllers.iter().find(|c| c.tag == *t)?;
                one(c.data.inputs.get(usize::from(*k)).map(|input| input.nodes))
            }
            Load::Primary(t) => one(d.dc_supplies.iter().find(|s| s.tag == *t).map(|s| s.data.input)),
            Load::Controller(t) => one(d.controllers.iter().find(|c| c.tag == *t).map(|c| c.data.supply)),
            Load::Brake(t) => one(d.brakes.iter().find(|b| b.tag == *t).map(|b| b.data.coil)),
            Load::Motor(t) => {
                let n = d.motors.iter().find(|m| m.tag == *t)?.data.nodes;
                Some(vec![(n[0], n[1]), (n[1], n[2]), (n[2], n[0])])
            }
            Load::Meter(a, b) => one(d.node(a).zip(d.node(b))),
        }
    }

    /// Whether a load has volts enough, judged as the tick does it, from its present value on.
    pub fn present(&self, load: &Load, items: &[Item]) -> bool {
        self.level(load, items).0
    }

    /// The same, of which nothing is kept.
    pub fn tried(&self, load: &Load, items: &[Item]) -> bool {
        self.judged(load, &self.solve(items, true)).is_some_and(|(has, _)| has)
    }

    /// A load has its volts from the field of a motor that runs out.
    pub fn by_field(&self, load: &Load) -> bool {
        self.seen(&[]).stands.contains(&true)
            && self.present(load, &[])
            && self.judged(load, &self.solve(&[], false)).is_some_and(|(has, _)| !has)
    }

    /// Whether a load has volts enough, and how many V; nothing for a load that is not there.
    pub fn level(&self, load: &Load, items: &[Item]) -> (bool, f64) {
        self.judged(load, &self.seen(items)).unwrap_or((false, 0.0))
    }

    fn judged(&self, load: &Load, seen: &Seen) -> Option<(bool, f64)> {
        let (d, s) = (self.design, self.state);
        let pairs = self.pairs(load)?;
        let (dc, ac) = seen.volts(pairs[0]);
        let rated = |mv: u32| f64::from(mv) / 1000.0;
        Some(match load {
            Load::Coil(t) => {
                let i = place(&d.contactors, t)?;
                let coil = &d.contactors[i].data.electrics;
                let volts = if coil.current == CoilCurrent::Dc { dc.abs() } else { ac };
                (coil.attracts(coil.part(dc, ac), s.contactors[i].attracted), volts)
            }
            Load::Lamp(t) => {
                let least = LIT_FROM * rated(d.lamps[place(&d.lamps, t)?].data.lamp.rated_mv);
                (dc * dc + ac * ac >= least * least, total((dc, ac)))
            }
            Load::Channel(t, k) => {
                let i = place(&d.controllers, t)?;
                let now = s.controllers[i].raw >> k & 1 != 0;
                let levels = d.controllers[i].data.inputs.get(usize::from(*k))?.levels;
                let on = if ac > AC_VOLTS { now } else { levels.bit(dc, now) };
                (on, total((dc, ac)))
            }
            Load::Primary(t) => {
                let data = &d.dc_supplies[place(&d.dc_supplies, t)?].data;
                (ac >= INPUT_FROM * rated(data.supply.input_mv), ac)
            }
            Load::Controller(_) => (dc >= SUPPLY_VOLTS, total((dc, ac))),
            Load::Brake(t) => {
                let i = place(&d.brakes, t)?;
                let brake = &d.brakes[i].data.brake;
                let size = if brake.dc { dc.abs() } else { ac };
                let mut after = s.brakes[i];
                after.read(size / rated(brake.coil_mv));
                (after.energised, size)
            }
            Load::Motor(_) => {
                let volts = pairs.iter().map(|&p| seen.across(p, &[]).1);
                let least = volts.fold(f64::INFINITY, |least, v| if v < least { v } else { least });
                (least > 0.0 && least >= PHASE_FROM * self.line_volts(), least)
            }
            // A meter takes from what it measures, never more.
            Load::Meter(..) if total((dc, ac)) < METER_FROM => (false, total((dc, ac))),
            Load::Meter(..) => {
                // What floats shows next to nothing: the meter pulls it down.
                let network = seen.network.as_ref().unwrap_or(&d.network);
                let (a, b) = pairs[0];
                let dc = on_load_dc(dc, METER_OHM, || network.resistance_dc(&seen.key, a, b));
                let of = (network, &seen.key, &seen.solution);
                let source = || impedance_ac((d, s), of, |i| seen.stands[i], (a, b));
                let shown = total((dc, on_load_ac(ac, METER_OHM, source)));
                (shown >= METER_FROM, shown)
            }
        })
    }

    /// A pair of a motor's terminals has the volts of two phases, as they stand without the motor.
    pub fn phase(&self, pair: Pair, items: &[Item]) -> bool {
        self.seen(items).across(pair, &[]).1 >= PHASE_FROM * self.line_volts()
    }

    /// Voltage between the lines of the first supply, V RMS.
    fn line_volts(&self) -> f64 {
        let phase = self.design.network.elements.iter().find_map(|e| match e {
            Element::AcSource { volts, .. } => Some(volts.abs()),
            _ => None,
        });
        phase.unwrap_or(0.0) * 3f64.sqrt()
    }
}
