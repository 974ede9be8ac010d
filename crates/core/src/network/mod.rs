//! The network: every conductor, closed contact, coil, lamp, channel and supply as a linear element, solved at DC and
//! at mains frequency apart and superposed.
//!
//! The nodes fall into islands (`island.rs`), each solved by itself. A [`Solution`] is a pure function of its [`Key`]:
//! always a full elimination in the same order. The motor is a port: the solution holds the voltages with the motor
//! absent and the response to a unit current at each of its terminals, so that the motor's own equations close the
//! loop without another elimination. [`netlist`] writes a network for an outside circuit simulator.

mod branches;
mod element;
mod impedances;
mod island;
pub mod netlist;
pub mod sparse;
#[cfg(test)]
mod tests;

use crate::complex::Complex;
use crate::shared::Shared;
use island::{Group, Numbers};
use std::sync::Arc;

pub use element::{
    CONDUCTOR_OHM, CONTACT_OHM, DC_SOURCE_OHM, Element, HEATER_OHM, LEAK_SIEMENS, LIMIT_SHUNT_SIEMENS,
};
pub use impedances::Impedances;

/// A node number; [`EARTH`] is the reference and has no row.
pub type Node = u32;

/// The reference node: the supply's earthed neutral point.
pub const EARTH: Node = u32::MAX;

/// What the state of all elements is: one bit each, in an order fixed by the design.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Key(pub [u64; 4]);

impl Key {
    /// Number of bits.
    pub const BITS: usize = 256;

    /// Reads a bit.
    #[inline]
    pub fn get(&self, bit: usize) -> bool {
        self.0[bit / 64] >> (bit % 64) & 1 != 0
    }

    /// Writes a bit.
    pub fn set(&mut self, bit: usize, value: bool) {
        let mask = 1u64 << (bit % 64);
        if value {
            self.0[bit / 64] |= mask;
        } else {
            self.0[bit / 64] &= !mask;
        }
    }

    /// Only the bits that are 1 in a mask.
    #[must_use]
    pub fn masked(&self, mask: &Key) -> Key {
        let mut bits = self.0;
        for (word, mask) in bits.iter_mut().zip(mask.0) {
            *word &= mask;
        }
        Key(bits)
    }
}

/// Elements, structure and ports.
#[derive(Clone, Debug, Default)]
pub struct Network {
    /// Number of nodes.
    pub nodes: usize,
    /// Elements in a fixed order. To be read only: what is solved was taken from them by [`Network::new`].
    pub elements: Shared<Vec<Element>>,
    /// Terminals of motors: three nodes each. To be read only, as the elements are.
    pub ports: Vec<[Node; 3]>,
    groups: Arc<Groups>,
}

/// Everything about a network that no key changes.
#[derive(Debug, Default)]
struct Groups {
    dc: Group<f64>,
    ac: Group<Complex>,
}

/// Voltages of all nodes against earth for one key, motors absent, and what a current at a port adds.
#[derive(Clone, Debug)]
pub struct Solution {
    /// DC volts by node.
    pub dc: Vec<f64>,
    /// Mains-frequency volts (RMS phasor) by node.
    pub ac: Vec<Complex>,
    /// For each port and terminal: volts by node for one ampere **into** the network at that terminal.
    pub response: Vec<[Vec<Complex>; 3]>,
}

/// Memory in which one network after another key is solved without taking more, and the last voltages of each island:
/// an island of which no bit has changed is kept. It changes nothing but speed.
#[derive(Clone, Debug, Default)]
pub struct Workspace {
    /// The network that it was last used for.
    of: Option<Arc<Groups>>,
    dc: Numbers<f64>,
    ac: Numbers<Complex>,
}

impl Network {
    /// Finds the islands, the order of elimination of each and all places, once.
    pub fn new(nodes: usize, elements: Vec<Element>, ports: Vec<[Node; 3]>) -> Network {
        let taps: Vec<Node> = ports.iter().flatten().copied().collect();
        let dc = Group::new(nodes, &branches::at_dc(&elements), LEAK_SIEMENS, &[]);
        let ac = Group::new(nodes, &branches::at_ac(&elements), Complex::real(LEAK_SIEMENS), &taps);
        Network { nodes, elements: elements.into(), ports, groups: Arc::new(Groups { dc, ac }) }
    }

    /// Keeps once what is equal in another network.
    pub(crate) fn share(&mut self, with: &Network) {
        if (&self.elements, &self.ports, self.nodes) == (&with.elements, &with.ports, with.nodes) {
            self.elements = with.elements.clone();
            self.groups = Arc::clone(&with.groups);
        } else if let Some(groups) = Arc::get_mut(&mut self.groups) {
            groups.dc.share(&with.groups.dc);
            groups.ac.share(&with.groups.ac);
        }
    }

    /// Solves for a key: DC and mains frequency, and the response at every port.
    pub fn solve(&self, key: &Key) -> Solution {
        let mut workspace = Workspace::default();
        self.solve_in(key, &mut workspace);
        workspace.solution()
    }

    /// The same, in memory that is used again.
    pub fn solve_in(&self, key: &Key, workspace: &mut Workspace) {
        if !workspace.of.as_ref().is_some_and(|groups| Arc::ptr_eq(groups, &self.groups)) {
            *workspace = Workspace {
                of: Some(Arc::clone(&self.groups)),
                dc: self.groups.dc.numbers(0),
                ac: self.groups.ac.numbers(3 * self.ports.len()),
            };
        }
        self.groups.dc.solve(key, &mut workspace.dc);
        self.groups.ac.solve(key, &mut workspace.ac);
    }

    /// Thevenin resistance at DC between two nodes, ohm, all sources dead (source impedances stay).
    pub fn resistance_dc(&self, key: &Key, a: Node, b: Node) -> f64 {
        self.groups.dc.driving_point(key, a, b)
    }

    /// DC volts of every node against earth for one ampere into `a` and out of `b`, all sources dead.
    pub fn injected_dc(&self, key: &Key, a: Node, b: Node) -> Vec<f64> {
        self.groups.dc.injected(key, a, b)
    }

    /// Mains-frequency volts of every node against earth for one ampere into `a` and out of `b`, all sources dead, motors
    /// absent.
    pub fn injected_ac(&self, key: &Key, a: Node, b: Node) -> Vec<Complex> {
        self.groups.ac.injected(key, a, b)
    }
}

impl Workspace {
    /// DC volts by node, for the last key.
    pub fn dc(&self) -> &[f64] {
        &self.dc.volts
    }

    /// Mains-frequency volts (RMS phasor) by node, for the last key.
    pub fn ac(&self) -> &[Complex] {
        &self.ac.volts
    }

    /// Islands solved so far, both frequency groups counted: those that were kept, and those without a live source
    /// and without a port, do not count.
    pub fn islands_solved(&self) -> u64 {
        self.dc.solved + self.ac.solved
    }

    /// The solution for the last key.
    pub fn solution(&self) -> Solution {
        let response = self.ac.responses.chunks_exact(3);
        Solution {
            dc: self.dc.volts.clone(),
            ac: self.ac.volts.clone(),
            response: response.map(|r| [r[0].clone(), r[1].clone(), r[2].clone()]).collect(),
        }
    }
}

/// Value at a node; `zero` for earth.
fn at<T: Copy>(values: &[T], node: Node, zero: T) -> T {
    values.get(node as usize).copied().unwrap_or(zero)
}

impl Solution {
    /// DC volts of a node against earth.
    pub fn dc(&self, node: Node) -> f64 {
        at(&self.dc, node, 0.0)
    }

    /// Mains-frequency volts of a node against earth, with these currents drawn **out** at the ports.
    pub fn ac(&self, node: Node, drawn: &[[Complex; 3]]) -> Complex {
        let mut v = at(&self.ac, node, Complex::ZERO);
        for (columns, currents) in self.response.iter().zip(drawn) {
            for (column, &current) in columns.iter().zip(currents) {
                v -= at(column, node, Complex::ZERO) * current;
            }
        }
        v
    }
}
