//! Networks with their contacts resolved, and their way into gates.

use super::Lowering;
use crate::gate::{CONTACTS, Gate, Literal};
use crate::model::Network;

/// A network whose contacts are bits.
pub(super) enum Tree {
    Literal(Literal),
    /// Parts joined by OR (any) or by AND; never empty.
    Group {
        any: bool,
        parts: Vec<Tree>,
        literals: u32,
    },
}

impl Tree {
    fn literals(&self) -> u32 {
        match self {
            Tree::Literal(_) => 1,
            Tree::Group { literals, .. } => *literals,
        }
    }
}

impl Lowering {
    /// Resolves the contacts of a network in reading order.
    pub(super) fn tree(&mut self, logic: &Network) -> Tree {
        let (any, parts) = match logic {
            Network::Contact(contact) => return Tree::Literal(self.contact(contact)),
            Network::True => return Tree::Literal(self.always()),
            Network::False => return Tree::Literal(self.never()),
            Network::Series(parts) => (false, parts),
            Network::Parallel(parts) => (true, parts),
        };
        if parts.is_empty() {
            return Tree::Literal(if any { self.never() } else { self.always() });
        }
        let parts: Vec<Tree> = parts.iter().map(|part| self.tree(part)).collect();
        let literals = parts.iter().map(Tree::literals).sum();
        Tree::Group { any, parts, literals }
    }

    /// Writes what a tree passes to a slot.
    pub(super) fn put(&mut self, tree: Tree, target: u32) {
        let mut row = Vec::new();
        let mut value = self.in_a_row(tree, &mut row);
        let mut rest = row.as_slice();
        while rest.len() >= CONTACTS {
            let (now, later) = rest.split_at(CONTACTS - 1);
            let part = self.next_part();
            self.gate(value, now, part);
            (value, rest) = (part << 1, later);
        }
        self.gate(value, rest, target);
    }

    /// A first bit and, in `row`, what is joined to it one after the other. All but the largest part of a group stand in a
    /// bit written before, unless they are one; nothing has side effects, so the order does not matter.
    fn in_a_row(&mut self, tree: Tree, row: &mut Vec<(Literal, bool)>) -> Literal {
        match tree {
            Tree::Literal(literal) => literal,
            Tree::Group { any, mut parts, .. } => {
                let largest = (0..parts.len()).rev().max_by_key(|k| parts[*k].literals()).unwrap_or(0);
                let largest = parts.remove(largest);
                let others: Vec<Literal> = parts.into_iter().map(|part| self.literal(part)).collect();
                let first = self.in_a_row(largest, row);
                row.extend(others.into_iter().map(|literal| (literal, any)));
                first
            }
        }
    }

    /// A bit that is what a tree passes.
    fn literal(&mut self, tree: Tree) -> Literal {
        match tree {
            Tree::Literal(literal) => literal,
            group => {
                let part = self.next_part();
                self.put(group, part);
                part << 1
            }
        }
    }

    /// One instruction, see [`Gate::new`].
    pub(super) fn gate(&mut self, first: Literal, further: &[(Literal, bool)], target: u32) {
        let gate = Gate::new(first, further, self.always(), target);
        self.compiled.gates.push(gate);
    }

    /// A bit that is 1.
    pub(super) fn always(&self) -> Literal {
        self.zero << 1 | 1
    }

    /// A bit that is 0.
    pub(super) fn never(&self) -> Literal {
        self.zero << 1
    }
}
