//! Islands: the nodes that are joined galvanically, or by a transformer at mains frequency, were every contact closed.
//!
//! An island has its own order of elimination, its own bits of the key, and its own voltages: it is solved again only
//! when one of its bits has changed.

use super::branches::{Branch, Stamps, When};
use super::sparse::{Scalar, Structure};
use super::{EARTH, Key, Node};
use std::sync::Arc;

/// The islands of one frequency group.
#[derive(Clone, Debug, Default)]
pub(super) struct Group<T> {
    islands: Vec<Island<T>>,
    /// Island and row of each node.
    homes: Arc<Vec<(u32, u32)>>,
}

#[derive(Clone, Debug)]
struct Island<T> {
    structure: Arc<Structure>,
    /// Node of each row.
    nodes: Vec<Node>,
    /// Bits that the island reads.
    mask: Key,
    /// What is always there: admittance to earth by row.
    earth: Vec<T>,
    /// What is always there: admittance by branch.
    fixed: Vec<T>,
    /// What is there by the key, to earth.
    switched_earth: Vec<Switched<T>>,
    /// What is there by the key, by branch.
    switched: Vec<Switched<T>>,
    /// Currents into rows.
    sources: Vec<Switched<T>>,
    /// Rows into which one ampere is sent for a response, with the number of the response.
    taps: Vec<(u32, u32)>,
}

#[derive(Clone, Debug)]
struct Switched<T> {
    /// Conditions: the bit of the key, and the value that it must have.
    bits: [(u32, bool); 2],
    /// Row or branch.
    place: u32,
    value: T,
}

/// Numbers of one group while and after it is solved.
#[derive(Clone, Debug, Default)]
pub(super) struct Numbers<T> {
    /// Voltage by node.
    pub volts: Vec<T>,
    /// Voltage by node for one ampere, by tap.
    pub responses: Vec<Vec<T>>,
    /// Islands solved so far.
    pub solved: u64,
    /// Bits with which each island was solved last.
    kept: Vec<Option<Key>>,
    rows: Vec<[T; 2]>,
    branches: Vec<T>,
    inverse: Vec<T>,
    x: Vec<T>,
}

/// An island eliminated for a key, with what is known of the inverse of its matrix.
#[derive(Clone, Debug)]
pub(super) struct Factored<T> {
    branches: Vec<T>,
    inverse: Vec<T>,
    /// From each row to earth.
    diagonal: Vec<T>,
    /// Between the ends of each branch.
    off: Vec<T>,
    /// Whole columns of the rows that were asked for, the last few.
    columns: Vec<(u32, Vec<T>)>,
}

/// Most columns that are kept: more places than one probe stays on.
const MOST_COLUMNS: usize = 4;

impl<T: Scalar> Factored<T> {
    /// The entry on the diagonal.
    pub fn own(&self, row: u32) -> T {
        self.diagonal[row as usize]
    }

    /// The entry of two rows.
    pub fn mutual(&mut self, structure: &Structure, a: u32, b: u32) -> T {
        if let Some(branch) = structure.branch(a, b) {
            return self.off[branch as usize];
        }
        for (row, other) in [(a, b), (b, a)] {
            if let Some((_, column)) = self.columns.iter().find(|(of, _)| *of == row) {
                return column[other as usize];
            }
        }
        let mut column = vec![T::ZERO; structure.nodes()];
        column[b as usize] = T::ONE;
        structure.again(&self.branches, &self.inverse, &mut column, b as usize);
        let found = column[a as usize];
        if self.columns.len() == MOST_COLUMNS {
            self.columns.remove(0);
        }
        self.columns.push((b, column));
        found
    }
}

impl<T: Scalar> Switched<T> {
    fn new(when: When, place: u32, value: T, mask: &mut Key) -> Self {
        for (bit, _) in when {
            mask.set(bit, true);
        }
        Switched { bits: when.map(|(bit, wanted)| (bit as u32, wanted)), place, value }
    }

    /// The value, or zero when it is not there. Without a branch: keys change in ways that no processor foresees.
    #[inline]
    fn now(&self, key: &Key) -> T {
        let [(a, a_wanted), (b, b_wanted)] = self.bits;
        let there = (key.get(a as usize) == a_wanted) & (key.get(b as usize) == b_wanted);
        if there { self.value } else { T::ZERO }
    }
}

impl<T: Scalar> Group<T> {
    /// Finds the islands of `nodes` nodes; `taps` are the nodes whose responses are wanted.
    pub fn new(nodes: usize, stamps: &Stamps<T>, leak: T, taps: &[Node]) -> Group<T> {
        let mut homes = vec![(0, 0); nodes];
        let mut members: Vec<Vec<Node>> = Vec::new();
        for (node, first) in firsts(nodes, &stamps.branches).into_iter().enumerate() {
            if first as usize == node {
                homes[node].0 = members.len() as u32;
                members.push(Vec::new());
            }
            homes[node].0 = homes[first as usize].0;
            let island = &mut members[homes[node].0 as usize];
            homes[node].1 = island.len() as u32;
            island.push(node as Node);
        }
        let mut pairs: Vec<Vec<(u32, u32)>> = vec![Vec::new(); members.len()];
        for b in stamps.branches.iter().filter(|b| b.a != EARTH && b.b != EARTH) {
            let (island, a) = homes[b.a as usize];
            pairs[island as usize].push((a, homes[b.b as usize].1));
        }
        let mut islands = Vec::new();
        for (members, pairs) in members.iter().zip(&pairs) {
            let structure = Structure::new(members.len(), pairs);
            let in_order: Vec<Node> = structure.order().iter().map(|&n| members[n as usize]).collect();
            for (row, &node) in in_order.iter().enumerate() {
                homes[node as usize].1 = row as u32;
            }
            islands.push(Island {
                earth: vec![leak; structure.nodes()],
                fixed: vec![T::ZERO; structure.branches()],
                structure: Arc::new(structure),
                nodes: in_order,
                mask: Key::default(),
                switched_earth: Vec::new(),
                switched: Vec::new(),
                sources: Vec::new(),
                taps: Vec::new(),
            });
        }
        let mut group = Group { islands, homes: Arc::new(homes) };
        group.place(stamps, taps);
        group
    }

    fn place(&mut self, stamps: &Stamps<T>, taps: &[Node]) {
        for b in &stamps.branches {
            let (near, far) = if b.a == EARTH { (b.b, b.a) } else { (b.a, b.b) };
            let Some(&(home, row)) = self.homes.get(near as usize) else { continue };
            let island = &mut self.islands[home as usize];
            let (place, fixed, switched) = match self.homes.get(far as usize) {
                None => (row, &mut island.earth, &mut island.switched_earth),
                Some(&(_, other)) => {
                    let branch =
                        island.structure.branch(row, other).expect("every branch is in the structure");
                    (branch, &mut island.fixed, &mut island.switched)
                }
            };
            match b.when {
                None => fixed[place as usize] += b.admittance,
                Some(when) => switched.push(Switched::new(when, place, b.admittance, &mut island.mask)),
            }
        }
        for i in &stamps.injections {
            let (home, row) = self.homes[i.node as usize];
            let island = &mut self.islands[home as usize];
            island.sources.push(Switched::new(i.when, row, i.amperes, &mut island.mask));
        }
        for (tap, &node) in taps.iter().enumerate() {
            if let Some(&(home, row)) = self.homes.get(node as usize) {
                self.islands[home as usize].taps.push((row, tap as u32));
            }
        }
    }

    /// Keeps once what is equal in another group.
    pub fn share(&mut self, with: &Group<T>) {
        if self.homes == with.homes {
            self.homes = Arc::clone(&with.homes);
        }
        for (own, other) in self.islands.iter_mut().zip(&with.islands) {
            if own.structure == other.structure {
                own.structure = Arc::clone(&other.structure);
            }
        }
    }

    /// Island and row of a node; none of earth.
    pub fn home(&self, node: Node) -> Option<(u32, u32)> {
        self.homes.get(node as usize).copied()
    }

    /// How the nodes of an island are joined.
    pub fn structure(&self, island: u32) -> &Structure {
        &self.islands[island as usize].structure
    }

    /// Room for what is to be known of each island.
    pub fn unfactored(&self) -> Vec<Option<Factored<T>>> {
        self.islands.iter().map(|_| None).collect()
    }

    /// An island eliminated, every source dead.
    pub fn factored(&self, island: u32, key: &Key) -> Factored<T> {
        let island = &self.islands[island as usize];
        let rows = island.nodes.len();
        let mut n = Numbers {
            volts: Vec::new(),
            responses: Vec::new(),
            solved: 0,
            kept: Vec::new(),
            rows: vec![[T::ZERO; 2]; rows],
            branches: vec![T::ZERO; island.fixed.len()],
            inverse: vec![T::ZERO; rows],
            x: vec![T::ZERO; rows],
        };
        island.set_rows(&mut n.rows);
        island.eliminate(key, &mut n);
        let (diagonal, off) = island.structure.inverse(&n.branches, &n.inverse);
        Factored { branches: n.branches, inverse: n.inverse, diagonal, off, columns: Vec::new() }
    }

    /// Memory for the numbers, nothing solved yet.
    pub fn numbers(&self, taps: usize) -> Numbers<T> {
        let most = |of: fn(&Island<T>) -> usize| self.islands.iter().map(of).max().unwrap_or(0);
        let rows = most(|i| i.nodes.len());
        Numbers {
            volts: vec![T::ZERO; self.homes.len()],
            responses: vec![vec![T::ZERO; self.homes.len()]; taps],
            solved: 0,
            kept: vec![None; self.islands.len()],
            rows: vec![[T::ZERO; 2]; rows],
            branches: vec![T::ZERO; most(|i| i.fixed.len())],
            inverse: vec![T::ZERO; rows],
            x: vec![T::ZERO; rows],
        }
    }

    /// Solves the islands whose bits differ from those with which they were solved last.
    pub fn solve(&self, key: &Key, n: &mut Numbers<T>) {
        for (number, island) in self.islands.iter().enumerate() {
            let bits = key.masked(&island.mask);
            if n.kept[number] != Some(bits) {
                n.kept[number] = Some(bits);
                island.solve(key, n);
            }
        }
    }

    /// Voltage of `a` against `b` for one ampere into `a` and out of `b`, every source dead.
    pub fn driving_point(&self, key: &Key, a: Node, b: Node) -> T
    where
        T: std::ops::Neg<Output = T>,
    {
        let volts = self.injected(key, a, b);
        let at = |node: Node| volts.get(node as usize).copied().unwrap_or(T::ZERO);
        at(a) + -at(b)
    }

    /// Voltage of every node for one ampere into `a` and out of `b`, every source dead.
    pub fn injected(&self, key: &Key, a: Node, b: Node) -> Vec<T>
    where
        T: std::ops::Neg<Output = T>,
    {
        let mut volts = vec![T::ZERO; self.homes.len()];
        if a == b {
            return volts;
        }
        let mut n = self.numbers(0);
        let ends = [(a, T::ONE), (b, -T::ONE)];
        let ends = ends.map(|(node, current)| (self.homes.get(node as usize), current));
        for (home, _) in ends {
            let Some(&(number, _)) = home else { continue };
            let island = &self.islands[number as usize];
            island.set_rows(&mut n.rows);
            for (other, current) in ends {
                if let Some(&(_, row)) = other.filter(|other| other.0 == number) {
                    n.rows[row as usize][1] = current;
                }
            }
            island.eliminate(key, &mut n);
            for (&node, &value) in island.nodes.iter().zip(&n.x) {
                volts[node as usize] = value;
            }
        }
        volts
    }
}

impl<T: Scalar> Island<T> {
    fn solve(&self, key: &Key, n: &mut Numbers<T>) {
        if self.sources.is_empty() && self.taps.is_empty() {
            return;
        }
        let count = self.nodes.len();
        self.set_rows(&mut n.rows);
        for source in &self.sources {
            n.rows[source.place as usize][1] += source.now(key);
        }
        let live = self.sources.iter().any(|s| n.rows[s.place as usize][1] != T::ZERO);
        if !live && self.taps.is_empty() {
            for &node in &self.nodes {
                n.volts[node as usize] = T::ZERO;
            }
            return;
        }
        self.eliminate(key, n);
        n.solved += 1;
        for (&node, &volts) in self.nodes.iter().zip(&n.x) {
            n.volts[node as usize] = volts;
        }
        for &(row, tap) in &self.taps {
            let x = &mut n.x[..count];
            x.fill(T::ZERO);
            x[row as usize] = T::ONE;
            self.structure.again(&n.branches, &n.inverse, x, row as usize);
            let response = &mut n.responses[tap as usize];
            for (&node, &volts) in self.nodes.iter().zip(x.iter()) {
                response[node as usize] = volts;
            }
        }
    }

    /// Puts in what is always there to earth, and no current.
    fn set_rows(&self, rows: &mut [[T; 2]]) {
        for (row, &earth) in rows.iter_mut().zip(&self.earth) {
            *row = [earth, T::ZERO];
        }
    }

    /// Solves for the currents in the rows.
    fn eliminate(&self, key: &Key, n: &mut Numbers<T>) {
        let rows = &mut n.rows[..self.earth.len()];
        for s in &self.switched_earth {
            rows[s.place as usize][0] += s.now(key);
        }
        let branches = &mut n.branches[..self.fixed.len()];
        branches.copy_from_slice(&self.fixed);
        for s in &self.switched {
            branches[s.place as usize] += s.now(key);
        }
        let count = rows.len();
        self.structure.eliminate(rows, branches, &mut n.inverse[..count], &mut n.x[..count]);
    }
}

/// The lowest node that each node is joined to.
fn firsts<T>(nodes: usize, branches: &[Branch<T>]) -> Vec<Node> {
    fn find(first: &mut [Node], mut node: Node) -> Node {
        while first[node as usize] != node {
            first[node as usize] = first[first[node as usize] as usize];
            node = first[node as usize];
        }
        node
    }
    let mut first: Vec<Node> = (0..nodes as Node).collect();
    for b in branches.iter().filter(|b| b.a != EARTH && b.b != EARTH) {
        let (a, b) = (find(&mut first, b.a), find(&mut first, b.b));
        let (low, high) = if a < b { (a, b) } else { (b, a) };
        first[high as usize] = low;
    }
    (0..nodes as Node).map(|node| find(&mut first, node)).collect()
}
