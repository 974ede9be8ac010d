//! What the conductors join: potentials, and the circuit to which each terminal belongs.
//!
//! Drawn from the plan alone, with nothing switched or energised: a question of the wiring schedule, not of the bench.

pub use super::class::{Class, Practice};
use super::class::{conducting, hint, source};
use super::sets::Sets;
use sealin_core::part::{Kind, Part};
use sealin_core::plan::{Conductor, Insulation, Terminal};
use std::collections::{BTreeMap, BTreeSet};

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
    /// Potentials that a conductor joins to the protective conductor.
    grounded: BTreeSet<usize>,
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
        let mut grounded = BTreeSet::new();
        for c in conductors.iter().filter(|c| earth.contains(&c.from) != earth.contains(&c.to)) {
            let end = if earth.contains(&c.from) { &c.to } else { &c.from };
            grounded.extend(index.get(end).map(|&i| joined[i]));
        }
        Circuit { index, joined, numbered, fed, classes, earth, grounded, numbers }
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

    /// Whether a conductor joins the potential of a terminal to the protective conductor.
    pub fn is_grounded(&self, t: &Terminal) -> bool {
        self.potential(t).is_some_and(|p| self.grounded.contains(&p))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wiring::fixture::{paddle, t, wire};

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
