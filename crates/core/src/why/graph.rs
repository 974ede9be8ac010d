//! The network as what leads and what could: paths over conductors and contacts from a load to the poles of a source.
//!
//! It only proposes; [`super::circuit`] tries every proposal on the network itself.

use super::look::{Item, Look};
use crate::network::{EARTH, Element, Node};
use crate::plan::Terminal;
use std::collections::VecDeque;

/// What has at least this conductance leads, siemens: conductors up to 500 m long, heaters, closed contacts, bridges.
const LEADS_FROM: f64 = 0.05;

/// Most contacts to close on one side of a load.
const LONGEST: usize = 5;

/// Most paths of one side, and most steps spent on them.
const MOST_PATHS: usize = 24;
const MOST_STEPS: usize = 20_000;

/// A source of volts between two poles.
#[derive(Clone, Debug)]
pub(super) struct Source {
    /// Poles: for DC plus and minus.
    pub poles: (Node, Node),
    /// Open-circuit volts.
    pub volts: f64,
    /// It is DC.
    pub dc: bool,
    /// What would have to be switched on.
    pub off: Option<Item>,
    /// The DC supply that it is, if it is on.
    pub on: Option<Item>,
    /// It gives what its other winding gets.
    pub primary: Option<(Node, Node)>,
}

#[derive(Clone, Copy)]
struct Edge {
    to: usize,
    /// The contact or conductor it is, if one.
    item: Option<Item>,
}

/// What leads with some things otherwise.
pub(super) struct Graph {
    /// By node; the last is earth.
    leads: Vec<Vec<Edge>>,
    /// Part of each node: what is joined is one part.
    part: Vec<usize>,
    /// By part: contacts that could be closed, with the part behind them.
    open: Vec<Vec<(usize, usize)>>,
    pub sources: Vec<Source>,
}

impl Graph {
    /// What leads; `loosely` also through coils, lamps, channels and windings.
    pub fn new(look: &Look, items: &[Item], loosely: bool) -> Graph {
        let network = &look.design.network;
        let place = |n: Node| if n == EARTH { network.nodes } else { n as usize };
        let key = look.key(items);
        let mut leads = vec![Vec::new(); network.nodes + 1];
        let mut closable = Vec::new();
        let mut join = |a: Node, b: Node, item: Option<Item>| {
            leads[place(a)].push(Edge { to: place(b), item });
            leads[place(b)].push(Edge { to: place(a), item });
        };
        let removed: Vec<_> = items
            .iter()
            .filter_map(|i| if let Item::Conductor(c) = i { Some(look.conductor(*c)) } else { None })
            .collect();
        for element in &network.elements {
            match element {
                Element::Resistor { a, b, siemens }
                    if *siemens >= LEADS_FROM && !removed.contains(&(*a, *b)) =>
                {
                    let all = 0..look.design.conductors.len();
                    let conductor = all.into_iter().find(|&c| look.conductor(c) == (*a, *b));
                    join(*a, *b, conductor.map(Item::Conductor));
                }
                Element::Contact { a, b, bit, siemens }
                | Element::LimitedContact { a, b, bit, siemens, .. }
                    if *siemens >= LEADS_FROM =>
                {
                    // Beyond the contacts there are failed insulations, which nobody closes.
                    if *bit >= look.design.contacts.len() {
                        if key.get(*bit) {
                            join(*a, *b, None);
                        }
                    } else if key.get(*bit) {
                        join(*a, *b, Some(Item::Contact(*bit)));
                    } else {
                        closable.push((place(*a), place(*b), *bit));
                    }
                }
                Element::Resistor { a, b, siemens } if loosely && *siemens < LEADS_FROM => join(*a, *b, None),
                Element::Coil { a, b, .. } | Element::DcOnly { a, b, .. } if loosely => join(*a, *b, None),
                Element::Transformer { primary, secondary, .. } if loosely => {
                    join(primary.0, primary.1, None);
                    join(secondary.0, secondary.1, None);
                }
                _ => {}
            }
        }
        for item in items {
            if let Item::Join(a, b, _) = item {
                join(*a, *b, None);
            }
        }
        let part = parts(&leads);
        let mut open = vec![Vec::new(); part.len()];
        for (a, b, bit) in closable {
            if part[a] != part[b] {
                open[part[a]].push((bit, part[b]));
                open[part[b]].push((bit, part[a]));
            }
        }
        Graph { leads, part, open, sources: sources(look, items) }
    }

    fn place(&self, node: Node) -> usize {
        if node == EARTH { self.part.len() - 1 } else { node as usize }
    }

    /// Two nodes are joined.
    pub fn joined(&self, a: Node, b: Node) -> bool {
        self.part[self.place(a)] == self.part[self.place(b)]
    }

    /// Ways to join two nodes by closing contacts: each from `from` to `to`, the shortest first.
    pub fn ways(&self, from: Node, to: Node) -> Vec<Vec<Item>> {
        let (from, to) = (self.part[self.place(from)], self.part[self.place(to)]);
        let mut found = Vec::new();
        let mut steps = 0;
        for length in 0..=LONGEST {
            let mut way = Way { graph: self, to, seen: vec![from], taken: Vec::new(), steps: &mut steps };
            way.search(from, length, &mut found);
            if found.len() >= MOST_PATHS || steps >= MOST_STEPS {
                break;
            }
        }
        found
    }

    /// Contacts and conductors along what leads from one node to another, if it does.
    pub fn path(&self, from: Node, to: Node) -> Option<Vec<Item>> {
        let (from, to) = (self.place(from), self.place(to));
        let mut came: Vec<Option<(usize, Option<Item>)>> = vec![None; self.leads.len()];
        let mut queue = VecDeque::from([from]);
        while let Some(node) = queue.pop_front() {
            if node == to {
                break;
            }
            for edge in &self.leads[node] {
                if edge.to != from && came[edge.to].is_none() {
                    came[edge.to] = Some((node, edge.item));
                    queue.push_back(edge.to);
                }
            }
        }
        let mut path = Vec::new();
        let mut node = to;
        while node != from {
            let (before, item) = came[node]?;
            path.extend(item);
            node = before;
        }
        path.reverse();
        Some(path)
    }
}

/// A search for ways of one length.
struct Way<'a> {
    graph: &'a Graph,
    to: usize,
    seen: Vec<usize>,
    taken: Vec<Item>,
    steps: &'a mut usize,
}

impl Way<'_> {
    fn search(&mut self, at: usize, left: usize, found: &mut Vec<Vec<Item>>) {
        *self.steps += 1;
        if *self.steps > MOST_STEPS || found.len() >= MOST_PATHS {
            return;
        }
        if left == 0 {
            if at == self.to {
                found.push(self.taken.clone());
            }
            return;
        }
        // A shorter way through the end has been found before.
        if at == self.to {
            return;
        }
        for &(bit, next) in &self.graph.open[at] {
            if self.seen.contains(&next) {
                continue;
            }
            self.seen.push(next);
            self.taken.push(Item::Contact(bit));
            self.search(next, left - 1, found);
            self.taken.pop();
            self.seen.pop();
        }
    }
}

/// Number of the part that each node belongs to.
fn parts(leads: &[Vec<Edge>]) -> Vec<usize> {
    let mut part = vec![usize::MAX; leads.len()];
    for start in 0..leads.len() {
        if part[start] != usize::MAX {
            continue;
        }
        part[start] = start;
        let mut rest = vec![start];
        while let Some(node) = rest.pop() {
            for edge in &leads[node] {
                if part[edge.to] == usize::MAX {
                    part[edge.to] = start;
                    rest.push(edge.to);
                }
            }
        }
    }
    part
}

fn sources(look: &Look, items: &[Item]) -> Vec<Source> {
    let d = look.design;
    let key = look.key(items);
    let mut all = Vec::new();
    let mut phases = Vec::new();
    for element in &d.network.elements {
        match element {
            Element::AcSource { a, bit, volts, .. } => phases.push((*a, *bit, *volts)),
            Element::DcSource { plus, minus, bit, volts, .. } => {
                let number = d.dc_supplies.iter().position(|s| s.data.bit == *bit);
                all.push(Source {
                    poles: (*plus, *minus),
                    volts: *volts,
                    dc: true,
                    off: number.filter(|_| !key.get(*bit)).map(Item::Dc),
                    on: number.filter(|_| key.get(*bit)).map(Item::Dc),
                    primary: None,
                });
            }
            Element::Transformer { primary, secondary, ratio, .. } => {
                all.push(Source {
                    poles: *secondary,
                    // Of the primary's voltage: set below, when the phases are known.
                    volts: *ratio,
                    dc: false,
                    off: None,
                    on: None,
                    primary: Some(*primary),
                });
            }
            _ => {}
        }
    }
    let line = phases.first().map_or(0.0, |(_, _, v)| v.abs() * 3f64.sqrt());
    for source in all.iter_mut().filter(|s| s.primary.is_some()) {
        source.volts *= line;
    }
    for (k, (a, bit, volts)) in phases.iter().enumerate() {
        let number = d.supplies.iter().position(|s| s.data == *bit);
        let off = number.filter(|_| !key.get(*bit)).map(Item::Supply);
        for (b, _, other) in phases.iter().skip(k + 1).filter(|(_, same, _)| same == bit) {
            let volts = (*volts - *other).abs();
            all.push(Source { poles: (*a, *b), volts, dc: false, off, on: None, primary: None });
        }
        // The neutral point can be had at the supply's PE terminal only.
        let pe = number.and_then(|i| d.node(&Terminal::new(&d.supplies[i].tag, "PE"))).unwrap_or(EARTH);
        all.push(Source { poles: (*a, pe), volts: volts.abs(), dc: false, off, on: None, primary: None });
    }
    all
}
