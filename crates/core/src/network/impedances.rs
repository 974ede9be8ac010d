//! Impedances between nodes, every source dead: many of them for one key from one elimination of each island.
//!
//! Of the inverse of an island's matrix, the entries on the diagonal and at each branch that elimination leaves follow row by row, from
//! the last to the first, each from those before it (K. Takahashi, J. Fagan, M.-S. Chin, "Formation of a sparse bus impedance matrix and
//! its application to short circuit study", 1973): about as much work as the elimination. The impedance between two nodes is
//! `Zaa + Zbb − 2 Zab`. Against one without a difference that loses digits: of two nodes on 5 gigaohm to earth, some microohm.

use super::island::{Factored, Group};
use super::sparse::Scalar;
use super::{Key, Network, Node};
use crate::complex::Complex;
use std::cell::RefCell;
use std::ops::Neg;

/// What stands between any two nodes of a network at a key, motors absent.
#[derive(Debug)]
pub struct Impedances<'a> {
    dc: RefCell<Of<'a, f64>>,
    ac: RefCell<Of<'a, Complex>>,
}

/// Those of one frequency group.
#[derive(Debug)]
struct Of<'a, T> {
    group: &'a Group<T>,
    key: Key,
    /// By island, made when it is first asked for.
    islands: Vec<Option<Factored<T>>>,
}

impl<'a> Impedances<'a> {
    /// Of a network at a key; nothing is computed yet.
    pub fn new(network: &'a Network, key: &Key) -> Impedances<'a> {
        let groups = &network.groups;
        Impedances { dc: RefCell::new(Of::new(&groups.dc, key)), ac: RefCell::new(Of::new(&groups.ac, key)) }
    }

    /// Resistance at DC between two nodes, ohm.
    pub fn dc(&self, a: Node, b: Node) -> f64 {
        self.dc.borrow_mut().between(a, b)
    }

    /// Impedance at mains frequency between two nodes, ohm.
    pub fn ac(&self, a: Node, b: Node) -> Complex {
        self.ac.borrow_mut().between(a, b)
    }
}

impl<'a, T: Scalar + Neg<Output = T>> Of<'a, T> {
    fn new(group: &'a Group<T>, key: &Key) -> Of<'a, T> {
        Of { group, key: *key, islands: group.unfactored() }
    }

    fn between(&mut self, a: Node, b: Node) -> T {
        if a == b {
            return T::ZERO;
        }
        match (self.group.home(a), self.group.home(b)) {
            (Some((island, a)), Some((other, b))) if island == other => {
                let (own, mutual) = (self.own(island, a) + self.own(island, b), self.mutual(island, a, b));
                own + -(mutual + mutual)
            }
            (a, b) => {
                let own =
                    |of: &mut Self, at: Option<(u32, u32)>| at.map_or(T::ZERO, |(i, row)| of.own(i, row));
                own(self, a) + own(self, b)
            }
        }
    }

    fn island(&mut self, island: u32) -> &mut Factored<T> {
        let (group, key) = (self.group, &self.key);
        self.islands[island as usize].get_or_insert_with(|| group.factored(island, key))
    }

    /// From a node to earth.
    fn own(&mut self, island: u32, row: u32) -> T {
        self.island(island).own(row)
    }

    /// What one ampere into one node raises at the other.
    fn mutual(&mut self, island: u32, a: u32, b: u32) -> T {
        let group = self.group;
        self.island(island).mutual(group.structure(island), a, b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::{EARTH, Element};

    /// By hand: 1 ohm and 2 ohm in a row, 3 ohm beside both, and 6 ohm to earth from the first node.
    #[test]
    fn by_hand() {
        let resistor = |a, b, ohm: f64| Element::Resistor { a, b, siemens: 1.0 / ohm };
        let contact = Element::Contact { a: 2, b: 3, bit: 0, siemens: 1.0 };
        let elements = vec![
            resistor(0, 1, 1.0),
            resistor(1, 2, 2.0),
            resistor(0, 2, 3.0),
            resistor(0, EARTH, 6.0),
            contact,
        ];
        let network = Network::new(5, elements, Vec::new());
        for closed in [false, true] {
            let mut key = Key::default();
            key.set(0, closed);
            let impedances = Impedances::new(&network, &key);
            let open = 10e9;
            for (a, b, ohm) in [
                (0, 1, 5.0 / 6.0),
                (1, 2, 4.0 / 3.0),
                (2, 0, 1.5),
                (0, EARTH, 6.0),
                (2, EARTH, 7.5),
                (3, 3, 0.0),
                (3, 0, if closed { 2.5 } else { open / 2.0 }),
                (3, 1, if closed { 1.0 + 4.0 / 3.0 } else { open / 2.0 }),
                (4, 0, open / 2.0),
            ] {
                let (dc, ac) = (impedances.dc(a, b), impedances.ac(a, b));
                assert!((dc - ohm).abs() < 1e-8 * ohm + 1e-5, "{a} to {b}: {dc}, by hand {ohm}");
                assert!((ac - Complex::real(dc)).abs() < 1e-9 * ohm + 1e-5, "{a} to {b}: {ac:?}");
            }
        }
    }
}
