//! The plan taken apart into what a circuit diagram draws apart: contacts away from their coil, each half of a
//! transformer in its own circuit, every channel of a controller by itself (detached representation, IEC 61082-1).

use sealin_core::part::{AuxFunction, Auxiliary, Controller, Form, Kind, Part, Protection};
use sealin_core::plan::{Conductor, Terminal};
use std::collections::{BTreeMap, BTreeSet};

/// What a set of poles is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pole {
    /// Plain disconnector.
    Disconnector,
    /// Fuse disconnector: several poles on one lever.
    FuseDisconnector,
    /// Fuse terminal: one pole.
    Fuse,
    /// Circuit-breaker.
    Breaker,
    /// Motor-protective breaker.
    MotorBreaker,
    /// Main contacts of a contactor.
    Contactor,
    /// Heaters of an overload.
    Heater,
}

/// What works a contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moved {
    /// An armature, a latch or a lever elsewhere on the drawing.
    Elsewhere,
    /// A timer; `true` delays on release.
    Timer(bool),
    /// A push-button.
    Button,
    /// An emergency stop.
    EmergencyStop,
    /// A selector.
    Selector,
    /// The machine.
    Machine,
    /// A bit of the program.
    Output,
}

/// What is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// End of a supply cable.
    Supply,
    /// A half of a transformer; `true` is the side that feeds.
    Winding(bool),
    /// A half of a DC supply; `true` is the side that feeds.
    Converter(bool),
    /// Poles on one lever or armature.
    Poles(Pole),
    /// A contact; `make` is open at rest. `positive`: it is forced open.
    Contact {
        /// Open at rest.
        make: bool,
        /// What works it.
        by: Moved,
        /// It opens positively.
        positive: bool,
    },
    /// A changeover contact: break side, make side, common below.
    Changeover,
    /// Coil of a contactor or relay.
    Coil,
    /// Coil of a brake.
    Brake,
    /// A lamp.
    Lamp,
    /// A motor.
    Motor,
    /// Supply of a controller.
    Controller,
    /// An input channel.
    Input,
    /// Common of a group of channels; `true` of inputs.
    Common(bool),
    /// Connection of a device to the protective conductor.
    Earth,
    /// A terminal of a strip.
    Point,
    /// Terminals of a strip that stand together, not joined.
    Block,
    /// Terminals of a strip that a bridge joins.
    Bar,
}

impl Figure {
    /// Terminals of a strip: conductors come from above and from below.
    pub fn is_strip(self) -> bool {
        matches!(self, Figure::Point | Figure::Block | Figure::Bar)
    }
}

/// The side of a symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Above.
    Top,
    /// Below.
    Bottom,
}

impl Side {
    /// The other one.
    pub fn other(self) -> Side {
        if self == Side::Top { Side::Bottom } else { Side::Top }
    }
}

/// A place of a symbol where lines end.
#[derive(Clone, Debug, PartialEq)]
pub struct Port {
    /// Its terminal; none for a joint inside a device.
    pub terminal: Option<Terminal>,
    /// Its side; of a strip both are used.
    pub side: Side,
}

/// A symbol to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Tag of its part.
    pub tag: String,
    /// What is drawn.
    pub figure: Figure,
    /// Its ports; those of one side from left to right.
    pub ports: Vec<Port>,
    /// Address of a channel, such as `%IX0.4`.
    pub address: String,
    /// Signal of the bench that tells whether it is closed, lit or 1.
    pub signal: String,
}

impl Element {
    fn new(tag: &str, figure: Figure, upper: &[String], lower: &[String]) -> Element {
        let port = |side: Side| move |n: &String| Port { terminal: Some(Terminal::new(tag, n)), side };
        let ports = upper.iter().map(port(Side::Top)).chain(lower.iter().map(port(Side::Bottom))).collect();
        Element { tag: tag.into(), figure, ports, address: String::new(), signal: String::new() }
    }

    /// Turns it so that its upper side is below.
    pub fn turn(&mut self) {
        for port in &mut self.ports {
            port.side = port.side.other();
        }
    }

    /// Its terminal numbers, such as `13-14`.
    pub fn numbers(&self) -> String {
        if matches!(self.figure, Figure::Poles(_)) {
            let on = |side: Side| self.ports.iter().filter(move |p| p.side == side);
            let name = |p: &Port| p.terminal.as_ref().map_or("", |t| t.name.as_str()).to_string();
            let pair = |(a, b)| {
                let (a, b): (String, String) = (name(a), name(b));
                if b < a { format!("{b}-{a}") } else { format!("{a}-{b}") }
            };
            return on(Side::Top).zip(on(Side::Bottom)).map(pair).collect::<Vec<_>>().join(" ");
        }
        let mut names: Vec<&str> =
            self.ports.iter().filter_map(|p| p.terminal.as_ref()).map(|t| t.name.as_str()).collect();
        names.sort_by_key(|n| (n.parse().unwrap_or(0u32), *n));
        names.join(if names.contains(&"-") { " " } else { "-" })
    }
}

/// Two ports joined inside a device: element and port of either.
pub type Joint = [(usize, usize); 2];

/// Everything that has a conductor, taken apart; with what is joined inside the controllers.
pub fn take_apart(parts: &[Part], conductors: &[Conductor]) -> (Vec<Element>, Vec<Joint>) {
    let wired: BTreeSet<&Terminal> = conductors.iter().flat_map(|c| [&c.from, &c.to]).collect();
    let mut taking = Taking { wired, elements: Vec::new(), joints: Vec::new() };
    for part in parts {
        taking.part(part);
    }
    (taking.elements, taking.joints)
}

struct Taking<'a> {
    wired: BTreeSet<&'a Terminal>,
    elements: Vec<Element>,
    joints: Vec<Joint>,
}

impl Taking<'_> {
    fn is_wired(&self, tag: &str, name: &str) -> bool {
        self.wired.contains(&Terminal::new(tag, name))
    }

    /// Adds an element that has a conductor anywhere.
    fn add(&mut self, element: Element) {
        let wired = |p: &Port| p.terminal.as_ref().is_some_and(|t| self.wired.contains(t));
        if element.ports.iter().any(wired) {
            self.elements.push(element);
        }
    }

    fn simple(&mut self, tag: &str, figure: Figure, upper: &[&str], lower: &[&str]) {
        let owned = |names: &[&str]| names.iter().map(ToString::to_string).collect::<Vec<_>>();
        self.add(Element::new(tag, figure, &owned(upper), &owned(lower)));
    }

    fn poles(&mut self, tag: &str, pole: Pole, pairs: &[(String, String)]) {
        let (a, b): (Vec<_>, Vec<_>) = pairs.iter().cloned().unzip();
        if !a.is_empty() {
            self.add(Element::new(tag, Figure::Poles(pole), &a, &b));
        }
    }

    fn contact(&mut self, tag: &str, (a, b): &(String, String), make: bool, by: Moved, positive: bool) {
        let figure = Figure::Contact { make, by, positive };
        let signal = format!("{tag}.{a}-{b}");
        self.add(Element {
            signal,
            ..Element::new(tag, figure, std::slice::from_ref(a), std::slice::from_ref(b))
        });
    }

    fn auxiliaries(&mut self, tag: &str, all: &[Auxiliary], released: Option<bool>) {
        for aux in all {
            let gaps = aux.gaps();
            if matches!(aux.function, AuxFunction::Changeover | AuxFunction::SpecialChangeover) {
                let signal = format!("{tag}.{}-{}", gaps[1].a, gaps[1].b);
                self.add(Element {
                    signal,
                    ..Element::new(tag, Figure::Changeover, &aux.upper(), &aux.lower())
                });
                continue;
            }
            for gap in gaps {
                let by = match released {
                    Some(released) if gap.special => Moved::Timer(released),
                    _ => Moved::Elsewhere,
                };
                self.contact(tag, &(gap.a, gap.b), !gap.at_rest, by, false);
            }
        }
    }

    fn part(&mut self, part: &Part) {
        let tag = part.tag.as_str();
        match &part.kind {
            Kind::Supply(_) => self.simple(tag, Figure::Supply, &[], &["L1", "L2", "L3"]),
            Kind::Switchgear(gear) => {
                let pole = match gear.protection {
                    Protection::None => Pole::Disconnector,
                    Protection::FuseGg { .. } | Protection::FuseFast { .. } if gear.poles == 1 => Pole::Fuse,
                    Protection::FuseGg { .. } | Protection::FuseFast { .. } => Pole::FuseDisconnector,
                    Protection::Breaker { .. } => Pole::Breaker,
                    Protection::Motor { .. } => Pole::MotorBreaker,
                };
                self.poles(tag, pole, &gear.mains());
                self.auxiliaries(tag, &gear.auxiliaries, None);
            }
            Kind::Contactor(contactor) => {
                self.poles(tag, Pole::Contactor, &contactor.mains());
                self.simple(tag, Figure::Coil, &["A1"], &["A2"]);
                self.auxiliaries(tag, &contactor.auxiliaries, None);
            }
            Kind::Relay(relay) => {
                self.simple(tag, Figure::Coil, &["A1"], &["A2"]);
                let released = relay.timing.map(|t| t.function == sealin_core::part::TimerFunction::OffDelay);
                self.auxiliaries(tag, &relay.contacts, released);
            }
            Kind::Overload(_) => {
                let pair = |a: &str, b: &str| (a.to_string(), b.to_string());
                self.poles(tag, Pole::Heater, &[pair("1", "2"), pair("3", "4"), pair("5", "6")]);
                self.contact(tag, &pair("95", "96"), false, Moved::Elsewhere, false);
                self.contact(tag, &pair("97", "98"), true, Moved::Elsewhere, false);
            }
            Kind::Transformer(t) => {
                self.simple(tag, Figure::Winding(false), &t.primary(), &[]);
                self.simple(tag, Figure::Winding(true), &[], &t.secondary());
            }
            Kind::DcSupply(_) => {
                self.simple(tag, Figure::Converter(false), &["L1", "L2"], &[]);
                // The lower pole at the left: its line goes down past the strip under the upper one.
                self.simple(tag, Figure::Converter(true), &[], &["-", "+"]);
            }
            Kind::Controller(controller) => self.controller(tag, controller),
            Kind::Control(control) => {
                let by = match control.actuator {
                    sealin_core::part::Actuator::Button => Moved::Button,
                    sealin_core::part::Actuator::EmergencyStop => Moved::EmergencyStop,
                    sealin_core::part::Actuator::Selector { .. } => Moved::Selector,
                };
                for contact in &control.contacts {
                    let make = !contact.closed(control.start());
                    let pair = (contact.a.clone(), contact.b.clone());
                    self.contact(tag, &pair, make, by, control.opens_positively(contact));
                }
            }
            Kind::PositionSwitch(switch) => {
                for (pair, form) in switch.contacts().iter().zip(&switch.contacts) {
                    let positive = switch.opens_positively(&format!("{}-{}", pair.0, pair.1));
                    self.contact(tag, pair, *form == Form::Make, Moved::Machine, positive);
                }
            }
            Kind::Lamp(_) => self.simple(tag, Figure::Lamp, &["X1"], &["X2"]),
            Kind::Brake(brake) => {
                let names = brake.terminals();
                self.add(Element::new(tag, Figure::Brake, &names[..1], &names[1..]));
            }
            Kind::Motor(_) => self.simple(tag, Figure::Motor, &["U1", "V1", "W1"], &[]),
            Kind::Strip(strip) => self.strip(tag, &strip.terminals, &strip.bridges),
        }
        if !matches!(part.kind, Kind::Strip(_)) && part.terminals().iter().any(|n| n == "PE") {
            self.simple(tag, Figure::Earth, &["PE"], &[]);
        }
    }

    fn strip(&mut self, tag: &str, terminals: &[String], bridges: &[Vec<String>]) {
        let mut left: Vec<&String> = terminals.iter().filter(|n| self.is_wired(tag, n)).collect();
        for bridge in bridges {
            let joined: Vec<String> = bridge.iter().filter(|n| left.contains(n)).cloned().collect();
            if joined.len() > 1 {
                left.retain(|n| !joined.contains(n));
                self.add(Element::new(tag, Figure::Bar, &joined, &[]));
            }
        }
        for name in left.into_iter().cloned().collect::<Vec<_>>() {
            self.add(Element::new(tag, Figure::Point, &[name], &[]));
        }
    }

    fn controller(&mut self, tag: &str, controller: &Controller) {
        self.simple(tag, Figure::Controller, &[Controller::SUPPLY[0]], &[Controller::SUPPLY[1]]);
        let mut bit = 0;
        for group in &controller.inputs {
            self.group(tag, (&group.channels, &group.common), &mut bit, true);
        }
        bit = 0;
        for group in &controller.outputs {
            self.group(tag, (&group.channels, &group.common), &mut bit, false);
        }
    }

    /// The channels of a group that are wired, and their common even where it is not: an open common is to be seen.
    fn group(&mut self, tag: &str, (channels, common): (&[String], &String), bit: &mut usize, input: bool) {
        let first = self.elements.len();
        for name in channels {
            let image = format!("{}X{}.{}", if input { 'I' } else { 'Q' }, *bit / 8, *bit % 8);
            *bit += 1;
            if !self.is_wired(tag, name) {
                continue;
            }
            let terminal = Some(Terminal::new(tag, name));
            let mut inside =
                [Port { terminal, side: Side::Top }, Port { terminal: None, side: Side::Bottom }];
            let (figure, signal) = if input {
                (Figure::Input, format!("{tag}.{image}"))
            } else {
                inside.swap(0, 1);
                inside[0].side = Side::Top;
                inside[1].side = Side::Bottom;
                let by = Moved::Output;
                (Figure::Contact { make: true, by, positive: false }, format!("{tag}.{name}-{common}"))
            };
            let address = format!("%{image}");
            let tag = tag.to_string();
            self.elements.push(Element { tag, figure, ports: inside.to_vec(), address, signal });
        }
        if first == self.elements.len() && !self.is_wired(tag, common) {
            return;
        }
        let terminal = Port { terminal: Some(Terminal::new(tag, common)), side: Side::Bottom };
        let inner = Port { terminal: None, side: Side::Top };
        let ports = if input {
            vec![inner, terminal]
        } else {
            vec![Port { side: Side::Top, ..terminal }, Port { side: Side::Bottom, ..inner }]
        };
        let here = self.elements.len();
        let blank = String::new();
        let figure = Figure::Common(input);
        self.elements.push(Element { tag: tag.into(), figure, ports, address: blank.clone(), signal: blank });
        // From the common to its first channel and on from each to the next, as a bus lies in the device.
        let inner =
            |e: usize| self.elements[e].ports.iter().position(|p| p.terminal.is_none()).map(|p| (e, p));
        let chain: Vec<(usize, usize)> = std::iter::once(here).chain(first..here).filter_map(inner).collect();
        self.joints.extend(chain.windows(2).map(|w| [w[0], w[1]]));
    }
}

/// Element and port of each terminal.
pub fn index(elements: &[Element]) -> BTreeMap<Terminal, (usize, usize)> {
    let mut index = BTreeMap::new();
    for (e, element) in elements.iter().enumerate() {
        for (p, port) in element.ports.iter().enumerate() {
            if let Some(t) = &port.terminal {
                index.insert(t.clone(), (e, p));
            }
        }
    }
    index
}
