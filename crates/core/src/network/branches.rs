//! What each element is to one frequency group: admittances between two nodes, and currents into nodes.
//!
//! Everything is a branch, the two-port of a transformer included: its rows sum to zero, so that it is a lattice of
//! branches of both signs between its four terminals.

use super::{DC_SOURCE_OHM, EARTH, Element, LIMIT_SHUNT_SIEMENS, Node};
use crate::complex::Complex;

/// When something is present: both of these bits of the key have these values. One condition stands twice.
pub(super) type When = [(usize, bool); 2];

/// Between two nodes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Branch<T> {
    pub a: Node,
    pub b: Node,
    pub admittance: T,
    /// `None` for always.
    pub when: Option<When>,
}

/// Into a node, A.
#[derive(Clone, Copy, Debug)]
pub(super) struct Injection<T> {
    pub node: Node,
    pub amperes: T,
    pub when: When,
}

/// All elements as one frequency group sees them, in the order of the elements.
#[derive(Clone, Debug)]
pub(super) struct Stamps<T> {
    pub branches: Vec<Branch<T>>,
    pub injections: Vec<Injection<T>>,
}

impl<T> Stamps<T> {
    fn new() -> Self {
        Stamps { branches: Vec::new(), injections: Vec::new() }
    }

    fn branch(&mut self, (a, b): (Node, Node), admittance: T, when: Option<When>) {
        if a != b {
            self.branches.push(Branch { a, b, admittance, when });
        }
    }

    fn inject(&mut self, node: Node, amperes: T, when: When) {
        if node != EARTH {
            self.injections.push(Injection { node, amperes, when });
        }
    }
}

/// The elements at DC.
pub(super) fn at_dc(elements: &[Element]) -> Stamps<f64> {
    let mut s = Stamps::new();
    for e in elements {
        match *e {
            Element::Resistor { a, b, siemens } | Element::DcOnly { a, b, siemens } => {
                s.branch((a, b), siemens, None);
            }
            Element::Contact { a, b, bit, siemens } => s.branch((a, b), siemens, Some([(bit, true); 2])),
            Element::LimitedContact { a, b, bit, limiting_bit, siemens, limit } => {
                s.branch((a, b), siemens, Some([(bit, true), (limiting_bit, false)]));
                let when = [(bit, true), (limiting_bit, true)];
                s.branch((a, b), LIMIT_SHUNT_SIEMENS, Some(when));
                s.inject(a, -limit, when);
                s.inject(b, limit, when);
            }
            Element::Capacitor { .. } => {}
            Element::Coil { a, b, burnt, siemens_dc, .. } => {
                s.branch((a, b), siemens_dc, Some([(burnt, false); 2]));
            }
            Element::AcSource { a, bit, admittance, .. } => {
                s.branch((a, EARTH), admittance.abs(), Some([(bit, true); 2]));
            }
            Element::DcSource { plus, minus, bit, volts, limit } => {
                let modes =
                    [(false, 1.0 / DC_SOURCE_OHM, volts / DC_SOURCE_OHM), (true, LIMIT_SHUNT_SIEMENS, limit)];
                for (limiting, siemens, amperes) in modes {
                    let when = [(bit, true), (bit + 1, limiting)];
                    s.branch((plus, minus), siemens, Some(when));
                    s.inject(plus, amperes, when);
                    s.inject(minus, -amperes, when);
                }
            }
            Element::Transformer { primary, secondary, siemens_dc, .. } => {
                s.branch(primary, siemens_dc.0, None);
                s.branch(secondary, siemens_dc.1, None);
            }
        }
    }
    s
}

/// The elements at mains frequency.
pub(super) fn at_ac(elements: &[Element]) -> Stamps<Complex> {
    let mut s = Stamps::new();
    for e in elements {
        match *e {
            Element::Resistor { a, b, siemens } => s.branch((a, b), Complex::real(siemens), None),
            Element::Contact { a, b, bit, siemens } | Element::LimitedContact { a, b, bit, siemens, .. } => {
                s.branch((a, b), Complex::real(siemens), Some([(bit, true); 2]));
            }
            Element::Capacitor { a, b, siemens } => {
                s.branch((a, b), Complex::new(0.0, siemens), None);
            }
            Element::Coil { a, b, bit, burnt, out, sealed, .. } => {
                s.branch((a, b), out, Some([(bit, false), (burnt, false)]));
                s.branch((a, b), sealed, Some([(bit, true), (burnt, false)]));
            }
            Element::DcOnly { .. } => {}
            Element::AcSource { a, bit, volts, admittance } => {
                s.branch((a, EARTH), admittance, Some([(bit, true); 2]));
                s.inject(a, volts * admittance, [(bit, true); 2]);
            }
            Element::DcSource { plus, minus, .. } => {
                s.branch((plus, minus), Complex::real(1.0 / DC_SOURCE_OHM), None);
            }
            Element::Transformer { primary: p, secondary: q, ratio, series, magnetising, .. } => {
                s.branch(p, magnetising, None);
                s.branch(q, series, None);
                s.branch(p, series.scale(ratio * ratio), None);
                let mutual = series.scale(ratio);
                s.branch((p.0, q.0), mutual, None);
                s.branch((p.1, q.1), mutual, None);
                s.branch((p.0, q.1), -mutual, None);
                s.branch((p.1, q.0), -mutual, None);
            }
        }
    }
    s
}
