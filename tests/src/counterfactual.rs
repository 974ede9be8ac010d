//! What would be if: the network and the laws of the devices taken again with some things turned over.
//!
//! It shares with the search for reasons only the network's solution and the motor's equations. Thresholds are written
//! out here once more, from the same standards.

use sealin_core::complex::Complex;
use sealin_core::design::SignalSource;
use sealin_core::devices::field::voltages;
use sealin_core::devices::motor::circuit;
use sealin_core::network::{DC_SOURCE_OHM, Element, Key, Network, Node, Solution};
use sealin_core::part::{Controller, Kind, MotorModel};
use sealin_core::why::{Load, Subject};
use sealin_core::{Conductor, Design, Insulation, Plan, State, Terminal};
use std::cell::OnceCell;

/// A bench that is asked what would be.
pub struct What<'a> {
    /// The plan that the design was built from.
    pub plan: &'a Plan,
    /// The design.
    pub design: &'a Design,
    /// The state.
    pub state: &'a State,
    /// The contacts as they stand: the key of the tick after it, before the DC supplies have found their mode.
    pub key: Key,
    /// As if the fields of the motors had faded.
    faded: bool,
    /// Motors the terminals of which are apart as the contacts stand, in the order of the plan.
    apart: OnceCell<Vec<bool>>,
    /// The network with the meter that is asked about, if one is.
    metered: OnceCell<(Load, Network)>,
}

type Volts = (f64, f64);

/// What the terminals of a motor hang on.
struct Feed {
    model: MotorModel,
    open: [Complex; 3],
    z: [[Complex; 3]; 3],
}

impl Feed {
    /// Nothing but insulation, a long cable or a tester joins two of the terminals: more than 10 kilohm.
    fn apart(&self) -> bool {
        let between = |a: usize, b: usize| self.z[a][a] + self.z[b][b] - self.z[a][b] - self.z[b][a];
        [(0, 1), (1, 2), (2, 0)].iter().all(|&(a, b)| between(a, b).abs() > 10e3)
    }
}

impl<'a> What<'a> {
    /// A bench in this state, with its contacts by `key`.
    pub fn new(plan: &'a Plan, design: &'a Design, state: &'a State, key: Key) -> Self {
        What { plan, design, state, key, faded: false, apart: OnceCell::new(), metered: OnceCell::new() }
    }

    /// The same, had the fields of the motors faded.
    #[must_use]
    pub fn faded(self) -> Self {
        What { faded: true, ..self }
    }

    /// Bit of a contact, supply or DC supply in the key.
    pub fn bit(&self, subject: &Subject) -> Option<usize> {
        match subject {
            Subject::Contact(tag, pair) => {
                let signal = self.design.signal(&format!("{tag}.{pair}"))?;
                match self.design.signals[signal].source {
                    SignalSource::Contact(bit) => Some(bit),
                    _ => None,
                }
            }
            Subject::Supply(tag) => {
                let l1 = self.node(tag, "L1")?;
                self.design.network.elements.iter().find_map(|e| match e {
                    Element::AcSource { a, bit, .. } if *a == l1 => Some(*bit),
                    _ => None,
                })
            }
            Subject::DcSupply(tag) => {
                let positive = self.node(tag, "+")?;
                self.design.network.elements.iter().find_map(|e| match e {
                    Element::DcSource { plus, bit, .. } if *plus == positive => Some(*bit),
                    _ => None,
                })
            }
            _ => None,
        }
    }

    fn node(&self, tag: &str, name: &str) -> Option<Node> {
        self.design.node(&Terminal::new(tag, name))
    }

    /// Whether a load has volts with these things turned over; conductors by building the plan anew.
    ///
    /// # Panics
    ///
    /// When a thing is no part of a network.
    pub fn has_volts(&self, load: &Load, flips: &[&Subject]) -> bool {
        let mut key = self.key;
        let mut plan = None;
        for (k, flip) in flips.iter().enumerate() {
            match flip {
                Subject::Conductor(id) => {
                    plan.get_or_insert_with(|| self.plan.clone()).conductors.retain(|c| c.id != *id);
                }
                Subject::Joined { from, to, .. } => {
                    let conductor = Conductor {
                        id: format!("counterfactual {k}"),
                        from: from.clone(),
                        to: to.clone(),
                        section_mm2_x100: 100,
                        colour: Insulation::Black,
                        number: String::new(),
                    };
                    plan.get_or_insert_with(|| self.plan.clone()).conductors.push(conductor);
                }
                other => {
                    let bit = self.bit(other).unwrap_or_else(|| panic!("{other:?} is no part of a network"));
                    key.set(bit, !key.get(bit));
                }
            }
        }
        match plan {
            Some(plan) => {
                self.judge(&Design::build(&plan).expect("one conductor more or less fits"), key, load)
            }
            None => self.judge(self.design, key, load),
        }
    }

    /// The network as it comes to rest: DC supplies and transistor outputs in the mode that fits.
    fn settle(design: &Design, network: &Network, mut key: Key) -> Solution {
        let mut solution = network.solve(&key);
        for _ in 0..4 {
            let before = key;
            for part in &design.parts {
                let Kind::DcSupply(supply) = &part.kind else { continue };
                let [plus, minus] = ["+", "-"].map(|n| design.node(&Terminal::new(&part.tag, n)).unwrap());
                let bit = network.elements.iter().find_map(|e| match e {
                    Element::DcSource { plus: p, bit, .. } if *p == plus => Some(*bit),
                    _ => None,
                });
                let bit = bit.unwrap();
                let missing = f64::from(supply.output_mv) / 1000.0 - (solution.dc(plus) - solution.dc(minus));
                let most = if key.get(bit + 1) { 0.0 } else { f64::from(supply.limit_ma) / 1000.0 };
                key.set(bit + 1, key.get(bit) && missing / DC_SOURCE_OHM > most);
            }
            for element in &network.elements {
                if let Element::LimitedContact { a, b, bit, limiting_bit, siemens, limit } = element {
                    let amperes = (solution.dc(*a) - solution.dc(*b)) * siemens;
                    key.set(*limiting_bit, key.get(*bit) && amperes > *limit);
                }
            }
            if key == before {
                break;
            }
            solution = network.solve(&key);
        }
        solution
    }

    /// Open-circuit voltages and impedances at the terminals of each motor.
    fn feeds(design: &Design, solution: &Solution) -> Vec<Feed> {
        let motors = design.parts.iter().filter_map(|p| match &p.kind {
            Kind::Motor(motor) => Some((&p.tag, motor.model)),
            _ => None,
        });
        motors
            .enumerate()
            .map(|(port, (tag, model))| {
                let nodes = ["U1", "V1", "W1"].map(|n| design.node(&Terminal::new(tag, n)).unwrap());
                let columns = &solution.response[port];
                let z = nodes.map(|row| [0, 1, 2].map(|k: usize| columns[k][row as usize]));
                Feed { model, open: nodes.map(|n| solution.ac(n, &[])), z }
            })
            .collect()
    }

    /// Currents of the motors at their present speed. A rotor's field outlasts its lines by some tenths of a second, so
    /// that what would be, were the lines open, is without it; but a field that stands on at open terminals now does so
    /// whatever else is otherwise, until something joins the terminals.
    fn drawn(&self, design: &Design, solution: &Solution) -> Vec<[Complex; 3]> {
        let now = self.apart.get_or_init(|| {
            let solution = Self::settle(self.design, &self.design.network, self.key);
            Self::feeds(self.design, &solution).iter().map(Feed::apart).collect()
        });
        Self::feeds(design, solution)
            .iter()
            .zip(now)
            .zip(&self.state.motors)
            .map(|((feed, now), state)| {
                let motor = circuit(feed.model);
                let stands = feed.apart() && *now && !self.faded;
                match if stands { voltages(&motor, state.field, state.stamped) } else { None } {
                    Some(emf) => motor.feed_back(feed.open, feed.z, emf),
                    None if feed.open.iter().all(|v| v.norm_sqr() < 1e-6) => [Complex::ZERO; 3],
                    None => motor.solve(feed.open, feed.z, state.stamped).current,
                }
            })
            .collect()
    }

    /// The network with a meter in it: 10 megohm between its probes.
    fn metered(design: &Design, load: &Load) -> Network {
        let Load::Meter(a, b) = load else { panic!("{load:?} is no meter") };
        let [a, b] = [a, b].map(|t| design.node(t).unwrap());
        let mut elements = Vec::clone(&design.network.elements);
        elements.push(Element::Resistor { a, b, siemens: 1.0 / 10e6 });
        Network::new(design.network.nodes, elements, design.network.ports.clone())
    }

    fn judge(&self, design: &Design, key: Key, load: &Load) -> bool {
        let metered;
        let network = match load {
            Load::Meter(..) if std::ptr::eq(design, self.design) => {
                let (of, network) = self.metered.get_or_init(|| (load.clone(), Self::metered(design, load)));
                assert_eq!(of, load, "one meter at a time");
                network
            }
            Load::Meter(..) => {
                metered = Self::metered(design, load);
                &metered
            }
            _ => &design.network,
        };
        let solution = Self::settle(design, network, key);
        let drawn = self.drawn(design, &solution);
        let node = |tag: &str, name: &str| design.node(&Terminal::new(tag, name)).unwrap();
        let across = |a: Node, b: Node, drawn: &[[Complex; 3]]| -> Volts {
            let ac = solution.ac(a, drawn) - solution.ac(b, drawn);
            (solution.dc(a) - solution.dc(b), ac.abs())
        };
        let total = |(dc, ac): Volts| (dc * dc + ac * ac).sqrt();
        match load {
            // IEC 60947-4-1: picks up at 0.75, drops out at 0.5 of the rated voltage (typical inside its limits).
            Load::Coil(tag) => {
                let (_, ac) = across(node(tag, "A1"), node(tag, "A2"), &drawn);
                let Some(Kind::Contactor(c)) = self.design.part(tag).map(|p| &p.kind) else {
                    panic!("{tag}")
                };
                let part = ac * 1000.0 / f64::from(c.coil.rated_mv);
                if part >= 0.75 { true } else { part >= 0.5 && self.attracted(tag) }
            }
            // Lit from 0.6 of the rated voltage.
            Load::Lamp(tag) => {
                let Some(Kind::Lamp(l)) = self.design.part(tag).map(|p| &p.kind) else { panic!("{tag}") };
                total(across(node(tag, "X1"), node(tag, "X2"), &drawn))
                    >= 0.6 * f64::from(l.rated_mv) / 1000.0
            }
            // IEC 61131-2, type 3: on from 9.5 V, off to 7.1 V; AC above 5 V leaves it.
            Load::Channel(tag, k) => {
                let (channel, common) = self.channel(tag, *k);
                let (dc, ac) = across(node(tag, &channel), node(tag, &common), &drawn);
                let now = self.controller(tag).1.raw >> k & 1 != 0;
                match dc {
                    _ if ac > 5.0 => now,
                    on if on >= 9.5 => true,
                    off if off <= 7.1 => false,
                    _ => now,
                }
            }
            // Works from 0.8 of the rated input voltage.
            Load::Primary(tag) => {
                let Some(Kind::DcSupply(s)) = self.design.part(tag).map(|p| &p.kind) else { panic!("{tag}") };
                let (_, ac) = across(node(tag, "L1"), node(tag, "L2"), &drawn);
                ac >= 0.8 * f64::from(s.input_mv) / 1000.0
            }
            Load::Controller(tag) => across(node(tag, "L+"), node(tag, "L-"), &drawn).0 >= 19.0,
            // Releases at 0.75, holds down to 0.4 of the rated voltage (typical).
            Load::Brake(tag) => {
                let Some(Kind::Brake(b)) = self.design.part(tag).map(|p| &p.kind) else { panic!("{tag}") };
                let [x, y] = &b.terminals()[..] else { panic!("{tag}") };
                let (dc, ac) = across(node(tag, x), node(tag, y), &drawn);
                let part = if b.dc { dc.abs() } else { ac } * 1000.0 / f64::from(b.coil_mv);
                let i = self.design.parts.iter().filter(|p| matches!(p.kind, Kind::Brake(_)));
                let place = i.map(|p| &p.tag).position(|t| t == tag).unwrap();
                if part >= 0.75 { true } else { part >= 0.4 && self.state.brakes[place].energised }
            }
            // Three phases without the motor, each of 0.6 of 400 V at least.
            Load::Motor(tag) => {
                let n = ["U1", "V1", "W1"].map(|n| node(tag, n));
                [(0, 1), (1, 2), (2, 0)].iter().all(|&(a, b)| across(n[a], n[b], &[]).1 >= 0.6 * 400.0)
            }
            Load::Meter(a, b) => {
                let [a, b] = [a, b].map(|t| design.node(t).unwrap());
                total(across(a, b, &drawn)) >= 10.0
            }
        }
    }

    fn attracted(&self, tag: &str) -> bool {
        let tags = self.design.parts.iter().filter(|p| matches!(p.kind, Kind::Contactor(_))).map(|p| &p.tag);
        let place = tags.into_iter().position(|t| t == tag).unwrap();
        self.state.contactors[place].attracted
    }

    /// A controller's data and state, by tag.
    pub fn controller(&self, tag: &str) -> (&Controller, &sealin_core::state::ControllerState) {
        let all = self.design.parts.iter().filter_map(|p| match &p.kind {
            Kind::Controller(c) => Some((&p.tag, c)),
            _ => None,
        });
        let (place, (_, data)) = all.enumerate().find(|(_, (t, _))| *t == tag).unwrap();
        (data, &self.state.controllers[place])
    }

    /// Terminal and common of an input channel.
    fn channel(&self, tag: &str, number: u8) -> (String, String) {
        let groups = self.controller(tag).0.inputs.iter();
        let mut all = groups.flat_map(|g| g.channels.iter().map(|c| (c.clone(), g.common.clone())));
        all.nth(usize::from(number)).unwrap()
    }
}
