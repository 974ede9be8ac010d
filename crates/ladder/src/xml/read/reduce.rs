//! Points and what passes between them, and the network that it comes to between the left rail and a point.
//!
//! A network is found by the usual reduction of a two-terminal graph: parts with the same ends are put side by side, two
//! parts with a point between them that nothing else touches one after the other, until one part is left. If more are
//! left the network is not series-parallel, which a rung of ours cannot be.

use std::collections::{BTreeMap, VecDeque};

use crate::model::{Contact, Network};
use crate::parse::MAX_NESTING;

/// The left rail.
pub(super) const RAIL: u32 = 0;

/// The deepest network: a text nests [`MAX_NESTING`] parentheses, with a series and a parallel group for each and one of
/// both around them.
const MAX_LEVELS: u32 = 2 * MAX_NESTING + 2;

/// The most parts that are looked at in one body, since several outputs may share what feeds them.
const MAX_WORK: usize = 2_000_000;

/// The most contacts in the rungs of one body.
const MAX_CONTACTS: usize = 100_000;

/// What passes from one point to another.
#[derive(Clone)]
pub(super) enum Part {
    /// A connection.
    Wire,
    /// A contact, by its index in [`Graph::leaves`]; `false` where it passes in the opposite case.
    Leaf(u32, bool),
    Series(u32, VecDeque<Part>),
    /// Side by side, each with its place from the top.
    Parallel(u32, Vec<(u32, Part)>),
}

/// A contact of the graph, or a constant.
pub(super) struct Leaf {
    pub what: What,
    /// The byte at which its element begins.
    pub at: usize,
    /// Whether it is read into a bit of its own before it is used.
    pub latched: bool,
}

pub(super) enum What {
    Contact(Contact),
    Constant(bool),
}

struct Edge {
    from: u32,
    /// Place from the top among what leads to the same point.
    slot: u32,
    /// What passes, or why nothing can be said.
    part: Result<Part, String>,
}

/// Points, each with what leads to it.
pub(super) struct Graph {
    edges: Vec<Vec<Edge>>,
    /// Points at which several end, by what ends there.
    joints: BTreeMap<Vec<u32>, u32>,
    pub leaves: Vec<Leaf>,
    work: usize,
    contacts: usize,
    /// By point: the last search that met it, and its number there.
    met: Vec<(u32, u32)>,
    searches: u32,
}

impl Part {
    fn level(&self) -> u32 {
        match self {
            Part::Wire | Part::Leaf(..) => 0,
            Part::Series(level, _) | Part::Parallel(level, _) => *level,
        }
    }

    fn members(self) -> VecDeque<Part> {
        match self {
            Part::Wire => VecDeque::new(),
            Part::Series(_, parts) => parts,
            other => VecDeque::from([other]),
        }
    }

    fn branches(self, slot: u32) -> Vec<(u32, Part)> {
        match self {
            Part::Parallel(_, branches) => branches,
            other => vec![(slot, other)],
        }
    }

    /// One after the other.
    pub fn then(self, next: Part) -> Part {
        if matches!(self, Part::Wire) {
            return next;
        }
        if matches!(next, Part::Wire) {
            return self;
        }
        let inner =
            |part: &Part| if matches!(part, Part::Series(..)) { part.level() } else { part.level() + 1 };
        let level = inner(&self).max(inner(&next));
        let (mut first, mut second) = (self.members(), next.members());
        // The shorter list moves.
        if first.len() < second.len() {
            while let Some(part) = first.pop_back() {
                second.push_front(part);
            }
            Part::Series(level, second)
        } else {
            first.append(&mut second);
            Part::Series(level, first)
        }
    }

    /// Side by side.
    fn beside(self, slot: u32, other: Part, other_slot: u32) -> Part {
        if matches!((&self, &other), (Part::Wire, Part::Wire)) {
            return self;
        }
        let inner =
            |part: &Part| if matches!(part, Part::Parallel(..)) { part.level() } else { part.level() + 1 };
        let level = inner(&self).max(inner(&other));
        let (mut some, mut more) = (self.branches(slot), other.branches(other_slot));
        if some.len() < more.len() {
            std::mem::swap(&mut some, &mut more);
        }
        some.append(&mut more);
        Part::Parallel(level, some)
    }

    /// Calls `visit` with every contact.
    pub fn each_leaf(&self, visit: &mut dyn FnMut(u32)) {
        match self {
            Part::Wire => {}
            Part::Leaf(leaf, _) => visit(*leaf),
            Part::Series(_, parts) => parts.iter().for_each(|part| part.each_leaf(visit)),
            Part::Parallel(_, branches) => branches.iter().for_each(|(_, part)| part.each_leaf(visit)),
        }
    }

    /// As a network, by way of what stands for each contact.
    pub fn network(self, leaf: &dyn Fn(u32, bool) -> Network) -> Network {
        match self {
            Part::Wire => Network::True,
            Part::Leaf(index, straight) => leaf(index, straight),
            Part::Series(_, parts) => {
                Network::Series(parts.into_iter().map(|part| part.network(leaf)).collect())
            }
            Part::Parallel(_, mut branches) => {
                branches.sort_by_key(|(slot, _)| *slot);
                Network::Parallel(branches.into_iter().map(|(_, part)| part.network(leaf)).collect())
            }
        }
    }
}

impl Graph {
    pub fn new() -> Self {
        Graph {
            edges: vec![Vec::new()],
            joints: BTreeMap::new(),
            leaves: Vec::new(),
            work: 0,
            contacts: 0,
            met: Vec::new(),
            searches: 0,
        }
    }

    /// A new point that nothing leads to yet.
    pub fn point(&mut self) -> u32 {
        self.edges.push(Vec::new());
        self.edges.len() as u32 - 1
    }

    /// Lets something pass from one point to another, below what already leads there.
    pub fn lead(&mut self, from: u32, to: u32, part: Result<Part, String>) {
        let slot = self.edges[to as usize].len() as u32;
        self.edges[to as usize].push(Edge { from, slot, part });
    }

    /// A new point, with what leads to it.
    pub fn after(&mut self, from: u32, part: Result<Part, String>) -> u32 {
        let to = self.point();
        self.lead(from, to, part);
        to
    }

    pub fn leaf(&mut self, what: What, at: usize) -> Part {
        self.leaves.push(Leaf { what, at, latched: false });
        Part::Leaf(self.leaves.len() as u32 - 1, true)
    }

    /// The point that is on when any of these is; none for none.
    pub fn joint(&mut self, mut points: Vec<u32>) -> Option<u32> {
        let mut known = std::collections::BTreeSet::new();
        points.retain(|point| known.insert(*point));
        if points.len() < 2 {
            return points.first().copied();
        }
        if let Some(joint) = self.joints.get(&points) {
            return Some(*joint);
        }
        let joint = self.point();
        for point in &points {
            self.lead(*point, joint, Ok(Part::Wire));
        }
        self.joints.insert(points, joint);
        Some(joint)
    }

    /// What passes exactly when this does not. A contact that remembers its bit cannot be turned round; it is read into
    /// a bit of its own.
    pub fn opposite(&mut self, part: Part) -> Part {
        match part {
            Part::Wire => self.leaf(What::Constant(false), 0),
            Part::Leaf(index, straight) => {
                let leaf = &mut self.leaves[index as usize];
                leaf.latched |=
                    matches!(&leaf.what, What::Contact(Contact::Bit { test, .. }) if test.is_edge());
                Part::Leaf(index, !straight)
            }
            Part::Series(level, parts) => {
                let parts = parts.into_iter().map(|part| self.opposite(part)).enumerate();
                Part::Parallel(level, parts.map(|(slot, part)| (slot as u32, part)).collect())
            }
            Part::Parallel(level, mut branches) => {
                branches.sort_by_key(|(slot, _)| *slot);
                Part::Series(level, branches.into_iter().map(|(_, part)| self.opposite(part)).collect())
            }
        }
    }

    /// The point that is on exactly when another one is not.
    pub fn inverted(&mut self, point: u32) -> Result<u32, String> {
        let part = self.reduce(point)?;
        let part = self.opposite(part);
        Ok(self.after(RAIL, Ok(part)))
    }

    /// What passes from the left rail to a point; the error says why nothing can be said.
    pub fn reduce(&mut self, target: u32) -> Result<Part, String> {
        if target == RAIL {
            return Ok(Part::Wire);
        }
        let too_many = format!("the body comes to more than {MAX_CONTACTS} contacts");
        if self.contacts > MAX_CONTACTS {
            return Err(too_many);
        }
        let mut reduction = self.search(target)?;
        reduction.run()?;
        let part = reduction.result()?;
        let mut leaves = 0;
        part.each_leaf(&mut |_| leaves += 1);
        self.contacts += leaves;
        if self.contacts > MAX_CONTACTS {
            return Err(too_many);
        }
        Ok(part)
    }

    /// Everything that leads from the left rail to a point, with points numbered anew: 0 the rail, 1 the target.
    fn search(&mut self, target: u32) -> Result<Reduction, String> {
        self.searches += 1;
        self.met.resize(self.edges.len(), (0, 0));
        let search = self.searches;
        self.met[RAIL as usize] = (search, 0);
        self.met[target as usize] = (search, 1);
        let mut count = 2;
        let mut found = Vec::new();
        let mut todo = vec![target];
        while let Some(point) = todo.pop() {
            let to = self.met[point as usize].1;
            if self.edges[point as usize].is_empty() {
                return Err("something that feeds it is not connected at its left".to_owned());
            }
            for edge in &self.edges[point as usize] {
                let part = edge.part.as_ref().map_err(Clone::clone)?;
                self.work += 1;
                part.each_leaf(&mut |_| self.work += 1);
                if self.work > MAX_WORK {
                    return Err("its body shares too many parts between outputs".to_owned());
                }
                let part = part.clone();
                let met = &mut self.met[edge.from as usize];
                if met.0 != search {
                    *met = (search, count);
                    count += 1;
                    todo.push(edge.from);
                }
                found.push((met.1, to, edge.slot, part));
            }
        }
        let mut reduction = Reduction::of(count as usize);
        for (from, to, slot, part) in found {
            reduction.add(from, to, slot, part)?;
        }
        Ok(reduction)
    }
}

/// A graph that is being reduced.
struct Reduction {
    /// What is left, by its ends.
    parts: BTreeMap<(u32, u32), (u32, Part)>,
    /// By point: those at the other ends, with some that are gone.
    before: Vec<Vec<u32>>,
    after: Vec<Vec<u32>>,
    /// By point: how many parts end and begin there.
    into: Vec<u32>,
    out: Vec<u32>,
    todo: VecDeque<u32>,
}

impl Reduction {
    fn of(points: usize) -> Self {
        Reduction {
            parts: BTreeMap::new(),
            before: vec![Vec::new(); points],
            after: vec![Vec::new(); points],
            into: vec![0; points],
            out: vec![0; points],
            todo: (2..points as u32).collect(),
        }
    }

    fn add(&mut self, from: u32, to: u32, slot: u32, part: Part) -> Result<(), String> {
        let part = match self.parts.remove(&(from, to)) {
            Some((other_slot, other)) => {
                let part = other.beside(other_slot, part, slot);
                self.todo.extend([from, to]);
                (slot.min(other_slot), part)
            }
            None => {
                self.before[to as usize].push(from);
                self.after[from as usize].push(to);
                self.into[to as usize] += 1;
                self.out[from as usize] += 1;
                (slot, part)
            }
        };
        if part.1.level() > MAX_LEVELS {
            return Err(format!("its network is nested more than {MAX_LEVELS} deep"));
        }
        self.parts.insert((from, to), part);
        Ok(())
    }

    fn run(&mut self) -> Result<(), String> {
        while let Some(point) = self.todo.pop_front() {
            let index = point as usize;
            // The two ends are never taken out.
            if point < 2 || self.into[index] != 1 || self.out[index] != 1 {
                continue;
            }
            let parts = &self.parts;
            let from = self.before[index].iter().copied().find(|from| parts.contains_key(&(*from, point)));
            let to = self.after[index].iter().copied().find(|to| parts.contains_key(&(point, *to)));
            let (Some(from), Some(to)) = (from, to) else { continue };
            let (Some((_, first)), Some((slot, second))) =
                (self.parts.remove(&(from, point)), self.parts.remove(&(point, to)))
            else {
                continue;
            };
            (self.into[index], self.out[index]) = (0, 0);
            self.out[from as usize] -= 1;
            self.into[to as usize] -= 1;
            let is_wire = matches!(second, Part::Wire);
            let mut part = first.then(second);
            if let (true, Part::Parallel(_, branches)) = (is_wire, &mut part) {
                // What stood side by side before the connection stands together at its place behind it.
                branches.sort_by_key(|(slot, _)| *slot);
                branches.iter_mut().for_each(|branch| branch.0 = slot);
            }
            self.add(from, to, slot, part)?;
            self.todo.extend([from, to]);
        }
        Ok(())
    }

    fn result(mut self) -> Result<Part, String> {
        match self.parts.pop_first() {
            Some(((0, 1), (_, part))) if self.parts.is_empty() => Ok(part),
            _ => {
                Err("its contacts are neither in series nor side by side, so no rung can show them"
                    .to_owned())
            }
        }
    }
}
