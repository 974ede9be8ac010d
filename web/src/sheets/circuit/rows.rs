//! Which circuit every symbol belongs to, and in which row it stands: from the upper potential down over what lies in
//! series, and what the upper potential does not reach from the lower one up.

use super::element::{Element, Figure, Side};
use super::nets::{At, EARTH, Nets};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// A circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Circuit {
    /// Lines of the supply.
    Power,
    /// Behind a control transformer.
    AcControl,
    /// Behind a DC supply.
    DcControl,
    /// The protective conductor.
    Earth,
    /// Joined to no source.
    Loose,
}

/// Where a symbol hangs on another one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hang {
    /// The other one and its port.
    pub on: At,
    /// Its own port.
    pub by: usize,
}

/// Where a symbol stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Its circuit, by number.
    pub section: usize,
    /// Its row, from 0 downwards.
    pub row: i32,
    /// What it hangs on.
    pub hang: Option<Hang>,
}

/// A circuit on the drawing.
#[derive(Clone, Debug)]
pub struct Section {
    /// Which kind.
    pub circuit: Circuit,
    /// What feeds it.
    pub source: Option<usize>,
    /// Symbols that hang on nothing, from left to right.
    pub roots: Vec<usize>,
    /// Strips of the lower potential, the one nearest to the source first, with their distance from it.
    pub rails: Vec<(usize, i32)>,
}

/// Circuits and rows of everything.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// The circuits, from left to right.
    pub sections: Vec<Section>,
    /// Place of each symbol.
    pub places: BTreeMap<usize, Place>,
}

/// Finds circuit and row of every element, and turns each so that current comes from above.
pub fn rows(elements: &mut [Element], nets: &Nets) -> Rows {
    let mut finding = Finding { elements, nets, rows: Rows::default(), depth: BTreeMap::new() };
    for wanted in [Figure::Supply, Figure::Winding(true), Figure::Converter(true)] {
        for e in 0..finding.elements.len() {
            if finding.elements[e].figure == wanted && !finding.elements[e].ports.is_empty() {
                finding.source(e);
            }
        }
    }
    for section in 0..finding.rows.sections.len() {
        finding.add_from_below(section);
    }
    finding.earth();
    finding.rest();
    for section in 0..finding.rows.sections.len() {
        finding.settle(section);
    }
    finding.rows
}

struct Finding<'a> {
    elements: &'a mut [Element],
    nets: &'a Nets,
    rows: Rows,
    /// Distance from the lower potential of what only it reaches.
    depth: BTreeMap<usize, i32>,
}

/// A symbol met on a potential: how, over how many strips, and on what it hangs.
struct Met {
    at: At,
    strips: i32,
    hang: Option<Hang>,
}

impl Finding<'_> {
    fn lower(&self, section: usize) -> Option<usize> {
        let e = self.rows.sections[section].source?;
        let poles = self.elements[e].ports.len();
        // The earthed pole is the lower one; else the negative or the second.
        let earthed = |p: &usize| {
            self.nets.wires.iter().any(|w| {
                let [a, b] = w.ends.map(|end| self.nets.pole.get(&end).copied());
                w.bridges && (a, b) != (None, None) && {
                    let pair = [a, b];
                    pair.contains(&Some((e, *p))) && pair.contains(&Some(EARTH))
                }
            })
        };
        if self.elements[e].figure == Figure::Supply {
            return None;
        }
        let negative =
            |p: &usize| self.elements[e].ports[*p].terminal.as_ref().is_some_and(|t| t.name == "-");
        Some((0..poles).rev().find(earthed).or((0..poles).find(negative)).unwrap_or(poles - 1))
    }

    fn open_section(&mut self, circuit: Circuit, source: Option<usize>) -> usize {
        self.rows.sections.push(Section { circuit, source, roots: Vec::new(), rails: Vec::new() });
        self.rows.sections.len() - 1
    }

    fn put(&mut self, e: usize, section: usize, row: i32, hang: Option<Hang>) {
        self.rows.places.insert(e, Place { section, row, hang });
        if hang.is_none() {
            self.rows.sections[section].roots.push(e);
        }
    }

    fn source(&mut self, e: usize) {
        let circuit = match self.elements[e].figure {
            Figure::Winding(_) => Circuit::AcControl,
            Figure::Converter(_) => Circuit::DcControl,
            _ => Circuit::Power,
        };
        let section = self.open_section(circuit, Some(e));
        self.put(e, section, 0, None);
        let lower = self.lower(section);
        let upper: Vec<At> =
            (0..self.elements[e].ports.len()).filter(|p| Some(*p) != lower).map(|p| (e, p)).collect();
        self.descend(section, upper.into_iter().map(|at| (self.nets.net[&at], 0)).collect());
    }

    /// Follows potentials downwards: each with the row of what it comes from.
    fn descend(&mut self, section: usize, start: Vec<(usize, i32)>) {
        let mut open: VecDeque<(usize, i32)> = start.into();
        let mut seen = BTreeSet::new();
        while let Some((net, base)) = open.pop_front() {
            if !seen.insert(net) {
                continue;
            }
            let met = self.spread(section, net);
            let strips = met.iter().map(|m| m.strips).max().unwrap_or(0);
            for m in met {
                let (e, p) = m.at;
                if self.rows.places.contains_key(&e) {
                    continue;
                }
                if self.elements[e].figure.is_strip() {
                    self.put(e, section, base + m.strips, m.hang);
                    continue;
                }
                if self.elements[e].ports[p].side == Side::Bottom {
                    self.elements[e].turn();
                }
                let row = base + strips + 1;
                self.put(e, section, row, m.hang);
                for (q, port) in self.elements[e].ports.iter().enumerate() {
                    if port.side == Side::Bottom && !self.nets.pole.contains_key(&(e, q)) {
                        open.push_back((self.nets.net[&(e, q)], row));
                    }
                }
            }
        }
    }

    fn is_in(&self, section: usize, e: usize) -> bool {
        self.rows.places.get(&e).is_some_and(|p| p.section == section)
    }

    /// What is met on a potential, going out from the symbols of a circuit on it that have their place.
    fn spread(&self, section: usize, net: usize) -> Vec<Met> {
        let mut open: VecDeque<(At, i32, Option<At>)> = VecDeque::new();
        for at in self.nets.ports.get(&net).into_iter().flatten() {
            if self.is_in(section, at.0) {
                open.push_back((*at, 0, Some(*at)));
            }
        }
        self.walk(section, open)
    }

    /// Breadth first along the lines of a potential. With every port goes what it hangs on: the last strip or symbol that
    /// has its place already, so that devices looped from one to the next hang side by side.
    fn walk(&self, section: usize, mut open: VecDeque<(At, i32, Option<At>)>) -> Vec<Met> {
        let mut seen: BTreeSet<At> = open.iter().map(|(at, ..)| *at).collect();
        let mut met: BTreeMap<usize, usize> = BTreeMap::new();
        let mut all: Vec<Met> = Vec::new();
        while let Some((here, strips, hang)) = open.pop_front() {
            for (to, wire) in self.nets.beside(self.elements, here) {
                if !seen.insert(to) {
                    continue;
                }
                let strip = self.elements[to.0].figure.is_strip();
                let fresh = !met.contains_key(&to.0) && !self.rows.places.contains_key(&to.0);
                let over = if wire.is_some() && strip && fresh { strips + 1 } else { strips };
                if fresh {
                    met.insert(to.0, all.len());
                    all.push(Met { at: to, strips: over, hang: hang.map(|on| Hang { on, by: to.1 }) });
                }
                let here = met.contains_key(&to.0) || self.is_in(section, to.0);
                let next = if strip && here { Some(to) } else { hang };
                // A bridge is no step, so that what hangs on a strip hangs on its own terminal.
                if wire.is_none() {
                    open.push_front((to, over, next));
                } else {
                    open.push_back((to, over, next));
                }
            }
        }
        all
    }

    /// Takes up what only the lower potential of a circuit reaches.
    fn add_from_below(&mut self, section: usize) {
        let (Some(e), Some(p)) = (self.rows.sections[section].source, self.lower(section)) else { return };
        let mut open: VecDeque<(usize, i32)> = VecDeque::from([(self.nets.net[&(e, p)], 0)]);
        let mut seen = BTreeSet::new();
        while let Some((net, base)) = open.pop_front() {
            if !seen.insert(net) {
                continue;
            }
            let met = if base == 0 {
                self.walk(section, VecDeque::from([((e, p), 0, None)]))
            } else {
                self.spread(section, net)
            };
            let strips = met.iter().map(|m| m.strips).max().unwrap_or(0);
            for m in met {
                let (e, p) = m.at;
                if self.rows.places.contains_key(&e) {
                    continue;
                }
                if self.elements[e].figure.is_strip() {
                    if base == 0 {
                        self.rows.sections[section].rails.push((e, m.strips));
                        self.rows.places.insert(e, Place { section, row: 0, hang: None });
                    } else {
                        self.depth.insert(e, base + m.strips);
                        self.put(e, section, 0, m.hang);
                    }
                    continue;
                }
                if self.elements[e].ports[p].side == Side::Top {
                    self.elements[e].turn();
                }
                let depth = base + 1 + if base == 0 { 0 } else { strips };
                self.depth.insert(e, depth);
                // What stands on a rail hangs on nothing: its place is where there is room.
                self.put(e, section, 0, m.hang.filter(|_| base > 0));
                for (q, port) in self.elements[e].ports.iter().enumerate() {
                    if port.side == Side::Top && !self.nets.pole.contains_key(&(e, q)) {
                        open.push_back((self.nets.net[&(e, q)], depth));
                    }
                }
            }
        }
    }

    /// The protective conductor, from the strip that holds most of it.
    fn earth(&mut self) {
        let of_earth = |e: &usize| {
            !self.rows.places.contains_key(e)
                && (0..self.elements[*e].ports.len()).any(|p| self.nets.pole.get(&(*e, p)) == Some(&EARTH))
        };
        let largest = (0..self.elements.len()).filter(of_earth).max_by_key(|e| {
            (self.elements[*e].figure.is_strip(), self.elements[*e].ports.len(), usize::MAX - e)
        });
        let Some(root) = largest else { return };
        let section = self.open_section(Circuit::Earth, None);
        self.put(root, section, 0, None);
        let nets = (0..self.elements[root].ports.len()).map(|p| (self.nets.net[&(root, p)], 0)).collect();
        self.descend(section, nets);
    }

    /// What hangs on something that has its place, then what is joined to nothing.
    fn rest(&mut self) {
        let mut loose = None;
        loop {
            let open: Vec<usize> = (0..self.elements.len())
                .filter(|e| !self.elements[*e].ports.is_empty() && !self.rows.places.contains_key(e))
                .collect();
            let Some(&first) = open.first() else { return };
            let beside = open
                .iter()
                .flat_map(|e| (0..self.elements[*e].ports.len()).map(|p| (*e, p)))
                .find_map(|at| {
                    let net = *self.nets.net.get(&at)?;
                    let placed = self.nets.ports[&net].iter().filter_map(|o| self.rows.places.get(&o.0));
                    placed.max_by_key(|p| p.row).map(|p| (p.section, net, p.row))
                });
            if let Some((section, net, row)) = beside {
                self.descend(section, vec![(net, row)]);
                continue;
            }
            let section = *loose.get_or_insert_with(|| {
                self.rows.sections.push(Section {
                    circuit: Circuit::Loose,
                    source: None,
                    roots: Vec::new(),
                    rails: Vec::new(),
                });
                self.rows.sections.len() - 1
            });
            self.put(first, section, 0, None);
        }
    }

    /// Loads go to the lowest row, side by side; what was found from below counts up from there; rails lie under all.
    fn settle(&mut self, section: usize) {
        let here: Vec<usize> =
            self.rows.places.iter().filter(|(_, p)| p.section == section).map(|(e, _)| *e).collect();
        let rails: BTreeMap<usize, i32> = self.rows.sections[section].rails.iter().copied().collect();
        let lowest = here
            .iter()
            .filter(|e| !rails.contains_key(e))
            .map(|e| self.depth.get(e).copied().unwrap_or(self.rows.places[e].row))
            .max()
            .unwrap_or(0);
        let lower = self.lower(section).zip(self.rows.sections[section].source).map(|(p, e)| (e, p));
        let on_lower = |e: usize| {
            self.elements[e].ports.iter().enumerate().any(|(p, port)| {
                port.side == Side::Bottom && lower.is_some() && self.nets.pole.get(&(e, p)) == lower.as_ref()
            })
        };
        let far = rails.values().max().copied().unwrap_or(0);
        let mut row: BTreeMap<usize, i32> = BTreeMap::new();
        for &e in &here {
            let at = if let Some(strips) = rails.get(&e) {
                lowest + 1 + far - strips
            } else if let Some(depth) = self.depth.get(&e) {
                lowest + 1 - depth
            } else if Some(e) != self.rows.sections[section].source && on_lower(e) {
                lowest
            } else {
                self.rows.places[&e].row
            };
            row.insert(e, at);
        }
        // A channel stands right above its common.
        for &e in here.iter().filter(|e| self.elements[**e].figure == Figure::Input) {
            let common = (0..self.elements[e].ports.len())
                .filter_map(|p| self.nets.net.get(&(e, p)))
                .find_map(|net| {
                    let of = |at: &&At| matches!(self.elements[at.0].figure, Figure::Common(_));
                    self.nets.ports[net].iter().find(of).map(|at| at.0)
                });
            if let Some(common) = common.and_then(|c| row.get(&c).copied()).filter(|c| *c > row[&e]) {
                row.insert(e, common - 1);
            }
        }
        for (e, at) in row {
            if let Some(place) = self.rows.places.get_mut(&e) {
                place.row = at;
            }
        }
    }
}
