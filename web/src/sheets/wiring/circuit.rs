//! What the conductors join: potentials, and the circuit to which each terminal belongs.
//!
//! Drawn from the plan alone, with nothing switched or energised: a question of the wiring schedule, not of the bench.

use sealin_core::part::{CoilCurrent, Contactor, Controller, Kind, Part, Relay};
use sealin_core::plan::{Conductor, Insulation, Terminal};
use std::collections::{BTreeMap, BTreeSet};

/// The kind of circuit a terminal belongs to; it decides the insulation colour (IEC 60204-1 clause 13.2.4).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Power circuit, AC or DC.
    Power,
    /// AC control circuit.
    AcControl,
    /// DC control circuit.
    DcControl,
    /// Protective conductor.
    Earth,
}

impl Class {
    /// Insulation colour of the circuit, IEC 60204-1 clauses 13.2.2 and 13.2.4.
    pub fn colour(self) -> Insulation {
        match self {
            Class::Power => Insulation::Black,
            Class::AcControl => Insulation::Red,
            Class::DcControl => Insulation::DarkBlue,
            Class::Earth => Insulation::GreenYellow,
        }
    }
}

/// Potentials and circuits of a plan.
#[derive(Clone, Debug)]
pub struct Circuit {
    index: BTreeMap<Terminal, usize>,
    /// Representative of the terminals joined by conductors and bridges.
    joined: Vec<usize>,
    /// The same without plug-in links: what carries one wire number.
    numbered: Vec<usize>,
    /// The same as `joined`, through switching devices and fuses too.
    fed: Vec<usize>,
    classes: Vec<BTreeSet<Class>>,
    earth: BTreeSet<Terminal>,
    numbers: BTreeMap<usize, BTreeSet<String>>,
}

impl Circuit {
    /// Joins what the parts and conductors join. Conductors on terminals that do not exist are passed over.
    pub fn new(parts: &[Part], conductors: &[Conductor]) -> Self {
        let mut index = BTreeMap::new();
        for part in parts {
            for name in part.terminals() {
                let next = index.len();
                index.entry(Terminal::new(&part.tag, &name)).or_insert(next);
            }
        }
        let earth = earth(parts, conductors);
        let mut joined = Sets::new(index.len());
        let mut numbered = Sets::new(index.len());
        let mut fed = Sets::new(index.len());
        let mut domain = Sets::new(index.len());
        for part in parts {
            let at = |name: &str| index.get(&Terminal::new(&part.tag, name)).copied();
            for (a, b) in bridges(part) {
                if let (Some(a), Some(b)) = (at(&a), at(&b)) {
                    for sets in [&mut joined, &mut numbered, &mut fed, &mut domain] {
                        sets.join(a, b);
                    }
                }
            }
            for (a, b) in conducting(part) {
                if let (Some(a), Some(b)) = (at(&a), at(&b)) {
                    domain.join(a, b);
                    if matches!(part.kind, Kind::Switchgear(_)) {
                        fed.join(a, b);
                    }
                }
            }
        }
        for c in conductors {
            let (Some(&a), Some(&b)) = (index.get(&c.from), index.get(&c.to)) else { continue };
            // Earthing joins every circuit to the protective conductor; it makes them neither one circuit nor one number.
            if earth.contains(&c.from) != earth.contains(&c.to) {
                continue;
            }
            joined.join(a, b);
            fed.join(a, b);
            domain.join(a, b);
            if !is_link(c) {
                numbered.join(a, b);
            }
        }
        let mut by_domain: BTreeMap<usize, BTreeSet<Class>> = BTreeMap::new();
        for (t, &i) in &index {
            let class = if earth.contains(t) { Some(Class::Earth) } else { source(parts, t) };
            if let Some(class) = class {
                by_domain.entry(domain.root(i)).or_default().insert(class);
            }
        }
        let mut hints: BTreeMap<usize, BTreeSet<Class>> = BTreeMap::new();
        for (t, &i) in &index {
            if let Some(class) = hint(parts, t) {
                hints.entry(domain.root(i)).or_default().insert(class);
            }
        }
        let of_domain = |root: usize| by_domain.get(&root).or_else(|| hints.get(&root)).cloned();
        let classes = (0..index.len()).map(|i| of_domain(domain.root(i)).unwrap_or_default()).collect();
        let mut numbers: BTreeMap<usize, BTreeSet<String>> = BTreeMap::new();
        for c in conductors.iter().filter(|c| !c.number.is_empty()) {
            for end in [&c.from, &c.to] {
                if let Some(&i) = index.get(end)
                    && !earth.contains(end)
                {
                    numbers.entry(numbered.root(i)).or_default().insert(c.number.clone());
                }
            }
        }
        let (joined, numbered, fed) = (joined.roots(), numbered.roots(), fed.roots());
        Circuit { index, joined, numbered, fed, classes, earth, numbers }
    }

    /// The potential of a terminal: equal numbers are joined by conductors, bridges and links.
    pub fn potential(&self, t: &Terminal) -> Option<usize> {
        self.index.get(t).map(|&i| self.joined[i])
    }

    /// Whether conductors, bridges and links join two terminals.
    pub fn same(&self, a: &Terminal, b: &Terminal) -> bool {
        matches!((self.potential(a), self.potential(b)), (Some(a), Some(b)) if a == b)
    }

    /// Whether two terminals are joined once every switching device is closed.
    pub fn same_when_closed(&self, a: &Terminal, b: &Terminal) -> bool {
        let root = |t: &Terminal| self.index.get(t).map(|&i| self.fed[i]);
        matches!((root(a), root(b)), (Some(a), Some(b)) if a == b)
    }

    /// The other terminals of the potential.
    pub fn joined_to<'a>(&'a self, t: &'a Terminal) -> impl Iterator<Item = &'a Terminal> {
        let here = self.potential(t);
        self.index.iter().filter(move |(o, i)| *o != t && here == Some(self.joined[**i])).map(|(o, _)| o)
    }

    /// The potential as far as one wire number reaches: links end it.
    pub fn stretch(&self, t: &Terminal) -> Option<usize> {
        self.index.get(t).map(|&i| self.numbered[i])
    }

    /// Wire numbers on the conductors of the terminal's potential.
    pub fn numbers(&self, t: &Terminal) -> impl Iterator<Item = &str> {
        self.stretch(t).and_then(|s| self.numbers.get(&s)).into_iter().flatten().map(String::as_str)
    }

    /// Every potential that carries numbers, with them.
    pub fn numbered(&self) -> &BTreeMap<usize, BTreeSet<String>> {
        &self.numbers
    }

    /// The circuit of a terminal; `None` when it is not known yet, or when circuits have been joined that must not be.
    pub fn class(&self, t: &Terminal) -> Option<Class> {
        let classes = self.classes.get(*self.index.get(t)?)?;
        if classes.len() == 1 { classes.first().copied() } else { None }
    }

    /// Whether the terminal belongs to the protective conductor.
    pub fn is_earth(&self, t: &Terminal) -> bool {
        self.earth.contains(t)
    }

    /// Whether there is such a terminal.
    pub fn has(&self, t: &Terminal) -> bool {
        self.index.contains_key(t)
    }
}

/// A plug-in link: between two terminals of one strip, without a number.
pub fn is_link(c: &Conductor) -> bool {
    c.number.is_empty() && c.from.part == c.to.part
}

/// Terminals of the protective conductor: those called PE, and what green-yellow conductors and bridges join to them.
fn earth(parts: &[Part], conductors: &[Conductor]) -> BTreeSet<Terminal> {
    let mut earth: BTreeSet<Terminal> = parts
        .iter()
        .flat_map(|p| p.terminals().into_iter().map(|n| Terminal::new(&p.tag, &n)))
        .filter(|t| t.name == "PE")
        .collect();
    // By colour and by number: a conductor of a circuit laid in green-yellow by mistake does not earth that circuit.
    let protective: Vec<&Conductor> = conductors
        .iter()
        .filter(|c| c.colour == Insulation::GreenYellow && (c.number.is_empty() || c.number == "PE"))
        .collect();
    loop {
        let before = earth.len();
        for c in &protective {
            if earth.contains(&c.from) || earth.contains(&c.to) {
                earth.insert(c.from.clone());
                earth.insert(c.to.clone());
            }
        }
        for part in parts {
            for (a, b) in bridges(part) {
                let (a, b) = (Terminal::new(&part.tag, &a), Terminal::new(&part.tag, &b));
                if earth.contains(&a) || earth.contains(&b) {
                    earth.insert(a);
                    earth.insert(b);
                }
            }
        }
        if earth.len() == before {
            return earth;
        }
    }
}

/// Pairs of terminals that a bridge joins.
fn bridges(part: &Part) -> Vec<(String, String)> {
    let Kind::Strip(strip) = &part.kind else { return Vec::new() };
    strip.bridges.iter().flat_map(|b| b.windows(2).map(|w| (w[0].clone(), w[1].clone()))).collect()
}

/// Pairs of terminals that belong to one circuit, through a contact, a fuse, a winding or a load.
fn conducting(part: &Part) -> Vec<(String, String)> {
    let mut pairs = part.contacts();
    let mut add =
        |all: &[(&str, &str)]| pairs.extend(all.iter().map(|(a, b)| (a.to_string(), b.to_string())));
    match &part.kind {
        Kind::Supply(_) => add(&[("L1", "L2"), ("L2", "L3")]),
        Kind::Contactor(_) | Kind::Relay(_) => add(&[("A1", "A2")]),
        Kind::Overload(_) => add(&[("1", "2"), ("3", "4"), ("5", "6")]),
        Kind::Transformer(t) => add(&[t.primary().into(), t.secondary().into()]),
        Kind::DcSupply(_) => add(&[("L1", "L2"), ("+", "-")]),
        Kind::Lamp(_) => add(&[("X1", "X2")]),
        Kind::Motor(_) => add(&[("U1", "V1"), ("V1", "W1")]),
        Kind::Brake(b) if b.dc => add(&[("BD1", "BD2")]),
        Kind::Brake(_) => add(&[("BA1", "BA2")]),
        Kind::Controller(c) => {
            add(&[(Controller::SUPPLY[0], Controller::SUPPLY[1])]);
            for (channels, common) in c.groups() {
                for channel in channels {
                    add(&[(channel, common)]);
                }
            }
        }
        Kind::Switchgear(_) | Kind::Control(_) | Kind::PositionSwitch(_) | Kind::Strip(_) => {}
    }
    pairs
}

/// The circuit that a source feeds from this terminal.
fn source(parts: &[Part], t: &Terminal) -> Option<Class> {
    let part = parts.iter().find(|p| p.tag == t.part)?;
    match (&part.kind, t.name.as_str()) {
        (Kind::Supply(_), "L1") => Some(Class::Power),
        (Kind::Transformer(x), name) if name == x.secondary()[0] => Some(Class::AcControl),
        (Kind::DcSupply(_), "+") => Some(Class::DcControl),
        _ => None,
    }
}

/// The circuit that a terminal is made for, used as long as no source reaches it.
fn hint(parts: &[Part], t: &Terminal) -> Option<Class> {
    let part = parts.iter().find(|p| p.tag == t.part)?;
    match (&part.kind, t.name.as_str()) {
        (Kind::Controller(c), name) => {
            let input = c.inputs.iter().any(|g| g.common == name || g.channels.iter().any(|n| n == name));
            (input || Controller::SUPPLY.contains(&name)).then_some(Class::DcControl)
        }
        (Kind::Contactor(Contactor { coil, .. }) | Kind::Relay(Relay { coil, .. }), "A1" | "A2") => {
            Some(match coil.current {
                CoilCurrent::Ac => Class::AcControl,
                CoilCurrent::Dc => Class::DcControl,
            })
        }
        (Kind::Contactor(_) | Kind::Overload(_), "1" | "2" | "3" | "4" | "5" | "6") => Some(Class::Power),
        (Kind::Motor(_), _) => Some(Class::Power),
        // Up to 50 V AC or 120 V DC is extra-low voltage (IEC 61140); such lamps are fed with DC here.
        (Kind::Lamp(lamp), _) if lamp.rated_mv <= 50_000 => Some(Class::DcControl),
        _ => None,
    }
}

/// Disjoint sets.
struct Sets(Vec<usize>);

impl Sets {
    fn new(count: usize) -> Self {
        Sets((0..count).collect())
    }

    fn root(&self, mut i: usize) -> usize {
        while self.0[i] != i {
            i = self.0[i];
        }
        i
    }

    /// The smaller number becomes the root, so that a result does not depend on the order of joining.
    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }

    fn roots(&self) -> Vec<usize> {
        (0..self.0.len()).map(|i| self.root(i)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::{paddle, t, wire};

    #[test]
    fn circuits_of_the_paddle_panel() {
        let (parts, given) = paddle();
        let c = Circuit::new(&parts, &given);
        for (terminal, class) in [
            ("QB1:1", Class::Power),
            ("MA1:W1", Class::Power),
            ("TA1:1V", Class::Power),
            ("TB1:L2", Class::Power),
            ("FC1:95", Class::AcControl),
            ("KF1:CQ1", Class::AcControl),
            ("KF1:Q3", Class::AcControl),
            ("XD3:4", Class::AcControl),
            ("QA2:A2", Class::AcControl),
            ("XD4:7", Class::DcControl),
            ("KF1:I4", Class::DcControl),
            ("PF1:X1", Class::DcControl),
            ("XD5:6", Class::DcControl),
            ("XE1:10", Class::Earth),
            ("MA1:PE", Class::Earth),
        ] {
            assert_eq!(c.class(&t(terminal)), Some(class), "{terminal}");
        }
        assert_eq!(c.class(&t("QA1:13")), None, "nothing reaches the free contact yet");
    }

    #[test]
    fn numbers_follow_bridges_and_stop_at_links_and_earth() {
        let (parts, given) = paddle();
        let c = Circuit::new(&parts, &given);
        let numbers = |terminal: &str| c.numbers(&t(terminal)).collect::<Vec<_>>();
        assert_eq!(numbers("XD4:7"), ["201"]);
        assert_eq!(numbers("XD4:9"), ["202"]);
        assert_eq!(numbers("XD5:6"), ["299"]);
        assert_eq!(numbers("XD2:5"), ["220"]);
        assert_eq!(numbers("XD3:1"), ["101"]);
        assert_eq!(numbers("XD3:2"), ["102"]);
        assert!(c.same(&t("XD3:1"), &t("XD3:2")));
        assert!(!c.same(&t("XD3:3"), &t("XD5:1")), "joined through earth only");
        assert!(numbers("XE1:9").is_empty());
    }

    #[test]
    fn a_contact_belongs_to_the_circuit_that_feeds_it() {
        let (parts, mut all) = paddle();
        all.push(wire("L1", "XD4:7", "QA1:13", "201"));
        let c = Circuit::new(&parts, &all);
        assert_eq!(c.class(&t("QA1:14")), Some(Class::DcControl));
        assert!(!c.same(&t("QA1:13"), &t("QA1:14")));
        all.push(wire("L2", "QA1:14", "XD3:3", "199"));
        let c = Circuit::new(&parts, &all);
        assert_eq!(c.class(&t("QA1:14")), None, "two circuits have been joined");
    }
}
