//! What is joined: the lines of the drawing, the potentials they make, and which of them bridge two that stand apart.

use super::element::{Element, Figure, Joint, index};
use sealin_core::plan::{Conductor, Terminal};
use std::collections::{BTreeMap, VecDeque};

/// Element and port.
pub type At = (usize, usize);

/// A line from port to port: one conductor, or a joint inside a device.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Its place among the conductors; none inside a device.
    pub conductor: Option<usize>,
    /// Where it ends.
    pub ends: [At; 2],
    /// It joins two poles of sources, or one of them with the protective conductor: drawn, but it makes no potential.
    pub bridges: bool,
}

/// Lines and potentials.
#[derive(Clone, Debug)]
pub struct Nets {
    /// All lines.
    pub wires: Vec<Wire>,
    /// Lines at each port.
    pub at: BTreeMap<At, Vec<usize>>,
    /// Potential of each port.
    pub net: BTreeMap<At, usize>,
    /// Ports of each potential.
    pub ports: BTreeMap<usize, Vec<At>>,
    /// The pole of a source, or the protective conductor, to which each port is nearest.
    pub pole: BTreeMap<At, At>,
}

/// The protective conductor among the poles.
pub const EARTH: At = (usize::MAX, 0);

impl Nets {
    /// Joins what conductors, bridges and devices join.
    pub fn new(elements: &[Element], conductors: &[Conductor], joints: &[Joint]) -> Nets {
        let index = index(elements);
        let drawn = conductors.iter().enumerate().filter_map(|(k, c)| {
            let ends = [*index.get(&c.from)?, *index.get(&c.to)?];
            Some(Wire { conductor: Some(k), ends, bridges: false })
        });
        let inside = joints.iter().map(|ends| Wire { conductor: None, ends: *ends, bridges: false });
        let mut wires: Vec<Wire> = drawn.chain(inside).collect();
        let mut at: BTreeMap<At, Vec<usize>> = BTreeMap::new();
        for (k, wire) in wires.iter().enumerate() {
            for end in wire.ends {
                at.entry(end).or_default().push(k);
            }
        }
        let pole = poles(elements, &wires, &at);
        for wire in &mut wires {
            let [a, b] = wire.ends.map(|end| pole.get(&end));
            wire.bridges = a.is_some() && b.is_some() && a != b;
        }
        let mut nets = Nets { wires, at, net: BTreeMap::new(), ports: BTreeMap::new(), pole };
        nets.number(elements);
        nets
    }

    /// Gives each potential a number.
    fn number(&mut self, elements: &[Element]) {
        let all: Vec<At> =
            elements.iter().enumerate().flat_map(|(e, x)| (0..x.ports.len()).map(move |p| (e, p))).collect();
        for start in all {
            if self.net.contains_key(&start) {
                continue;
            }
            let number = self.ports.len();
            let mut open = vec![start];
            while let Some(here) = open.pop() {
                if self.net.insert(here, number).is_none() {
                    self.ports.entry(number).or_default().push(here);
                    open.extend(self.beside(elements, here).into_iter().map(|(to, _)| to));
                }
            }
        }
    }

    /// The common of the channels that a port inside a controller is joined to.
    pub fn common(&self, elements: &[Element], inside: At) -> Option<Terminal> {
        let common =
            self.ports.get(self.net.get(&inside)?)?.iter().find_map(|at| {
                matches!(elements[at.0].figure, Figure::Common(_)).then_some(&elements[at.0])
            })?;
        common.ports.iter().find_map(|port| port.terminal.clone())
    }

    /// What a port is joined to, over a line or over the bridge of a strip.
    pub fn beside(&self, elements: &[Element], here: At) -> Vec<(At, Option<usize>)> {
        let mut all = Vec::new();
        for &k in self.at.get(&here).into_iter().flatten().filter(|k| !self.wires[**k].bridges) {
            let [a, b] = self.wires[k].ends;
            all.push((if a == here { b } else { a }, Some(k)));
        }
        if elements[here.0].figure == Figure::Bar {
            all.extend((0..elements[here.0].ports.len()).map(|p| ((here.0, p), None)));
        }
        all
    }
}

/// The pole that each port is nearest to, counted in conductors.
fn poles(elements: &[Element], wires: &[Wire], at: &BTreeMap<At, Vec<usize>>) -> BTreeMap<At, At> {
    let mut pole: BTreeMap<At, At> = BTreeMap::new();
    let mut open: VecDeque<(At, At)> = VecDeque::new();
    for (e, element) in elements.iter().enumerate() {
        for (p, port) in element.ports.iter().enumerate() {
            let earth = port.terminal.as_ref().is_some_and(|t| t.name == "PE");
            let source =
                matches!(element.figure, Figure::Supply | Figure::Winding(true) | Figure::Converter(true));
            if earth || source {
                open.push_back(((e, p), if earth { EARTH } else { (e, p) }));
            }
        }
    }
    while let Some((here, from)) = open.pop_front() {
        if pole.contains_key(&here) {
            continue;
        }
        pole.insert(here, from);
        if elements[here.0].figure == Figure::Bar {
            // A bridge is no step.
            (0..elements[here.0].ports.len()).for_each(|p| open.push_front(((here.0, p), from)));
        }
        for &k in at.get(&here).into_iter().flatten() {
            let [a, b] = wires[k].ends;
            open.push_back((if a == here { b } else { a }, from));
        }
    }
    pole
}

/// Terminals of one strip that lead to poles of one device become one symbol, so that its lines stay side by side.
pub fn stand_together(elements: &mut [Element], conductors: &[Conductor]) {
    let index = index(elements);
    let mut groups: BTreeMap<(String, usize), Vec<(usize, usize)>> = BTreeMap::new();
    let mut taken = Vec::new();
    for c in conductors {
        let (Some(&a), Some(&b)) = (index.get(&c.from), index.get(&c.to)) else { continue };
        for (point, device) in [(a, b), (b, a)] {
            let several = elements[device.0].ports.len() > 1 && !elements[device.0].figure.is_strip();
            let side = elements[device.0].ports[device.1].side;
            let beside = elements[device.0].ports.iter().filter(|p| p.side == side).count() > 1;
            if elements[point.0].figure == Figure::Point && several && beside && !taken.contains(&point.0) {
                taken.push(point.0);
                groups
                    .entry((elements[point.0].tag.clone(), device.0))
                    .or_default()
                    .push((device.1, point.0));
            }
        }
    }
    let mut gone = Vec::new();
    for mut group in groups.into_values().filter(|g| g.len() > 1) {
        group.sort();
        let ports: Vec<_> = group.iter().flat_map(|(_, e)| elements[*e].ports.clone()).collect();
        let first = group[0].1;
        elements[first].ports = ports;
        elements[first].figure = Figure::Block;
        gone.extend(group[1..].iter().map(|(_, e)| *e));
    }
    // Strips come last of a part and have no joints; the joints of controllers keep their numbers only if nothing before
    // them goes, so what is gone is left empty rather than taken out.
    for e in gone {
        elements[e].ports.clear();
    }
}
