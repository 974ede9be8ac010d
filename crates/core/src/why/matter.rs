//! Which contacts can matter for a load at all: those on a loop with it, were every contact closed.
//!
//! No current flows along what is on no loop, and whether a contact on another loop is closed tells nothing about this
//! one where both meet in one node only. The leak of the insulation, 5 gigaohm a node, closes loops for a meter only.

use super::Load;
use super::look::{Item, Look};
use crate::network::{EARTH, Element, Node};

/// Something between two nodes.
#[derive(Clone, Copy, PartialEq)]
enum Branch {
    Contact(usize),
    Load,
    Other,
}

/// Nodes and branches, walked in depth from node to node: the branches of one block stand together on the stack.
struct Blocks {
    /// By node: branches with the node at their other end.
    next: Vec<Vec<(usize, usize)>>,
    branches: Vec<Branch>,
    /// By node: when it was come to, from 1.
    depth: Vec<usize>,
    walked: Vec<bool>,
    stack: Vec<usize>,
    count: usize,
    found: Vec<Item>,
}

impl Look<'_> {
    /// Contacts that can matter for a load.
    pub(super) fn matter(&self, load: &Load) -> Vec<Item> {
        if matches!(load, Load::Meter(..)) {
            return (0..self.design.contacts.len()).map(Item::Contact).collect();
        }
        let network = &self.design.network;
        let mut blocks = Blocks {
            next: vec![Vec::new(); network.nodes + 1],
            branches: Vec::new(),
            depth: vec![0; network.nodes + 1],
            walked: Vec::new(),
            stack: Vec::new(),
            count: 0,
            found: Vec::new(),
        };
        for element in &network.elements {
            match element {
                Element::Contact { a, b, bit, .. } | Element::LimitedContact { a, b, bit, .. } => {
                    let known = *bit < self.design.contacts.len();
                    blocks.join((*a, *b), if known { Branch::Contact(*bit) } else { Branch::Other });
                }
                Element::Resistor { a, b, .. }
                | Element::Capacitor { a, b, .. }
                | Element::Coil { a, b, .. }
                | Element::DcOnly { a, b, .. } => blocks.join((*a, *b), Branch::Other),
                Element::DcSource { plus, minus, .. } => blocks.join((*plus, *minus), Branch::Other),
                Element::AcSource { a, .. } => blocks.join((*a, EARTH), Branch::Other),
                // What loads one winding loads the other: both are on one loop.
                Element::Transformer { primary, secondary, .. } => {
                    for pair in [*primary, *secondary, (primary.0, secondary.0), (primary.1, secondary.1)] {
                        blocks.join(pair, Branch::Other);
                    }
                }
            }
        }
        for &[u, v, w] in &network.ports {
            [(u, v), (v, w), (w, u)].into_iter().for_each(|pair| blocks.join(pair, Branch::Other));
        }
        let pairs = self.pairs(load).unwrap_or_default();
        pairs.iter().for_each(|&pair| blocks.join(pair, Branch::Load));
        blocks.walked = vec![false; blocks.branches.len()];
        for &(a, _) in &pairs {
            let start = blocks.place(a);
            if blocks.depth[start] == 0 {
                blocks.walk(start);
            }
        }
        blocks.found
    }
}

impl Blocks {
    /// The last place is earth.
    fn place(&self, node: Node) -> usize {
        if node == EARTH { self.next.len() - 1 } else { node as usize }
    }

    fn join(&mut self, (a, b): (Node, Node), branch: Branch) {
        let (a, b) = (self.place(a), self.place(b));
        if a != b {
            self.next[a].push((self.branches.len(), b));
            self.next[b].push((self.branches.len(), a));
            self.branches.push(branch);
        }
    }

    /// Walks on from a node; returns the least depth that a loop comes back to.
    fn walk(&mut self, node: usize) -> usize {
        self.count += 1;
        self.depth[node] = self.count;
        let mut low = self.count;
        for k in 0..self.next[node].len() {
            let (branch, to) = self.next[node][k];
            if self.walked[branch] {
                continue;
            }
            self.walked[branch] = true;
            let start = self.stack.len();
            self.stack.push(branch);
            if self.depth[to] != 0 {
                low = low.min(self.depth[to]);
                continue;
            }
            let back = self.walk(to);
            low = low.min(back);
            if back >= self.depth[node] {
                self.close(start);
            }
        }
        low
    }

    /// A block is complete: its contacts matter if the load is in it.
    fn close(&mut self, start: usize) {
        let block = self.stack.split_off(start);
        if block.iter().any(|&b| self.branches[b] == Branch::Load) {
            let contact = |&b: &usize| match self.branches[b] {
                Branch::Contact(bit) => Some(Item::Contact(bit)),
                _ => None,
            };
            let contacts: Vec<Item> = block.iter().filter_map(contact).collect();
            self.found.extend(contacts);
        }
    }
}
