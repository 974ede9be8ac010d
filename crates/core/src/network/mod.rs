//! The network: every conductor, closed contact, coil, lamp, channel and supply as a linear element, solved at DC and
//! at mains frequency apart and superposed.
//!
//! A [`Solution`] is a pure function of its [`Key`]: always a full factorisation in the same order. The motor is a
//! port: the solution holds the voltages with the motor absent and the response to a unit current at each of its
//! terminals, so that the motor's own equations close the loop without another factorisation.

pub mod sparse;

use crate::complex::Complex;
use sparse::{Matrix, Structure};

/// A node number; [`EARTH`] is the reference and has no row.
pub type Node = u32;

/// The reference node: the supply's earthed neutral point.
pub const EARTH: Node = u32::MAX;

/// Leak of every node to earth: insulation of 5 gigaohm keeps the matrix regular.
pub const LEAK_SIEMENS: f64 = 1.0 / 5e9;

/// Resistance of a closed contact, ohm (typical).
pub const CONTACT_OHM: f64 = 0.01;

/// Resistance of the heater of an overload pole, ohm (typical).
pub const HEATER_OHM: f64 = 0.01;

/// Resistance of a conductor whose length is not given, ohm (typical).
pub const CONDUCTOR_OHM: f64 = 0.02;

/// What the state of all elements is: one bit each, in an order fixed by the design.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Key(pub [u64; 4]);

impl Key {
    /// Number of bits.
    pub const BITS: usize = 256;

    /// Reads a bit.
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
}

/// A linear element between nodes.
#[derive(Clone, Debug)]
pub enum Element {
    /// A resistance, present at both frequencies.
    Resistor {
        /// One node.
        a: Node,
        /// The other node.
        b: Node,
        /// Conductance, siemens.
        siemens: f64,
    },
    /// A resistance that is present while a bit of the key is 1.
    Contact {
        /// One node.
        a: Node,
        /// The other node.
        b: Node,
        /// Bit of the key.
        bit: usize,
        /// Conductance when closed, siemens.
        siemens: f64,
    },
    /// A coil or winding: an admittance at mains frequency by a bit of the key, a conductance at DC.
    Coil {
        /// One node.
        a: Node,
        /// The other node.
        b: Node,
        /// Bit of the key: armature in.
        bit: usize,
        /// Admittance with the armature out.
        out: Complex,
        /// Admittance with the armature in.
        sealed: Complex,
        /// Conductance at DC, siemens.
        siemens_dc: f64,
    },
    /// A winding seen at DC only; at mains frequency it is a port.
    DcOnly {
        /// One node.
        a: Node,
        /// The other node.
        b: Node,
        /// Conductance, siemens.
        siemens: f64,
    },
    /// A phase of a supply against earth, behind its impedance, while a bit of the key is 1.
    AcSource {
        /// Node of the phase.
        a: Node,
        /// Bit of the key: supply on.
        bit: usize,
        /// Open-circuit voltage, V (RMS).
        volts: Complex,
        /// Internal admittance.
        admittance: Complex,
    },
    /// Output of a DC supply: 24 V behind a resistance, or its limit current, or nothing.
    DcSource {
        /// Positive terminal.
        plus: Node,
        /// Negative terminal.
        minus: Node,
        /// Bit of the key: output on; the next bit: in current limit.
        bit: usize,
        /// Output voltage, V.
        volts: f64,
        /// Limit current, A.
        limit: f64,
    },
    /// Two windings on one core.
    Transformer {
        /// Primary terminals.
        primary: (Node, Node),
        /// Secondary terminals.
        secondary: (Node, Node),
        /// Secondary volts per primary volt.
        ratio: f64,
        /// Series admittance referred to the secondary.
        series: Complex,
        /// Magnetising admittance, across the primary.
        magnetising: Complex,
        /// Conductance of the windings at DC, primary and secondary, siemens.
        siemens_dc: (f64, f64),
    },
}

/// Output resistance of a DC supply, ohm (typical).
pub const DC_SOURCE_OHM: f64 = 0.1;

/// Shunt of a DC supply in current limit, siemens: keeps the voltage finite.
const LIMIT_SHUNT_SIEMENS: f64 = 1e-3;

/// Elements, structure and ports.
#[derive(Clone, Debug, Default)]
pub struct Network {
    /// Number of nodes.
    pub nodes: usize,
    /// Elements in a fixed order.
    pub elements: Vec<Element>,
    /// Terminals of motors: three nodes each.
    pub ports: Vec<[Node; 3]>,
    structure: Structure,
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

impl Network {
    /// Computes the structure once.
    pub fn new(nodes: usize, elements: Vec<Element>, ports: Vec<[Node; 3]>) -> Network {
        let mut pairs = Vec::new();
        for e in &elements {
            match e {
                Element::Resistor { a, b, .. }
                | Element::Contact { a, b, .. }
                | Element::Coil { a, b, .. }
                | Element::DcOnly { a, b, .. }
                | Element::DcSource { plus: a, minus: b, .. } => pairs.push((*a, *b)),
                Element::AcSource { .. } => {}
                Element::Transformer { primary: (p, q), secondary: (s, t), .. } => {
                    pairs.extend([(*p, *q), (*s, *t), (*p, *s), (*p, *t), (*q, *s), (*q, *t)]);
                }
            }
        }
        pairs.retain(|(a, b)| *a != EARTH && *b != EARTH);
        let structure = Structure::new(nodes, &pairs);
        Network { nodes, elements, ports, structure }
    }

    /// Solves for a key: DC and mains frequency, and the response at every port.
    pub fn solve(&self, key: &Key) -> Solution {
        let (m, rhs) = self.dc_matrix(key, true);
        let dc = self.structure.solve(&m, &rhs);
        let (m, rhs) = self.ac_matrix(key);
        let ac = self.structure.solve(&m, &rhs);
        let unit = |node: Node| {
            let mut rhs = vec![Complex::ZERO; self.nodes];
            rhs[node as usize] = Complex::ONE;
            self.structure.solve(&m, &rhs)
        };
        let response = self.ports.iter().map(|p| p.map(unit)).collect();
        Solution { dc, ac, response }
    }

    /// Thevenin resistance at DC between two nodes, ohm, all sources dead (source impedances stay).
    pub fn resistance_dc(&self, key: &Key, a: Node, b: Node) -> f64 {
        let (m, _) = self.dc_matrix(key, false);
        let mut rhs = vec![0.0; self.nodes];
        inject(&mut rhs, a, 1.0);
        inject(&mut rhs, b, -1.0);
        let v = self.structure.solve(&m, &rhs);
        at(&v, a, 0.0) - at(&v, b, 0.0)
    }

    /// Thevenin impedance at mains frequency between two nodes, motors absent.
    pub fn impedance_ac(&self, key: &Key, a: Node, b: Node) -> Complex {
        let (m, _) = self.ac_matrix(key);
        let mut rhs = vec![Complex::ZERO; self.nodes];
        inject(&mut rhs, a, Complex::ONE);
        inject(&mut rhs, b, -Complex::ONE);
        let v = self.structure.solve(&m, &rhs);
        at(&v, a, Complex::ZERO) - at(&v, b, Complex::ZERO)
    }

    fn dc_matrix(&self, key: &Key, live: bool) -> (Matrix<f64>, Vec<f64>) {
        let mut m = self.structure.zeros::<f64>();
        let mut rhs = vec![0.0; self.nodes];
        for node in 0..self.nodes as u32 {
            m.add_diagonal(self.structure.diagonal(node), LEAK_SIEMENS);
        }
        for e in &self.elements {
            match e {
                Element::Resistor { a, b, siemens } | Element::DcOnly { a, b, siemens } => {
                    self.stamp(&mut m, *a, *b, *siemens);
                }
                Element::Contact { a, b, bit, siemens } if key.get(*bit) => {
                    self.stamp(&mut m, *a, *b, *siemens);
                }
                Element::Contact { .. } => {}
                Element::Coil { a, b, siemens_dc, .. } => self.stamp(&mut m, *a, *b, *siemens_dc),
                Element::AcSource { a, bit, admittance, .. } if key.get(*bit) => {
                    self.stamp(&mut m, *a, EARTH, admittance.abs());
                }
                Element::AcSource { .. } => {}
                Element::DcSource { plus, minus, bit, volts, limit } => {
                    if !key.get(*bit) {
                        continue;
                    }
                    let (siemens, amperes) = if key.get(*bit + 1) {
                        (LIMIT_SHUNT_SIEMENS, *limit)
                    } else {
                        (1.0 / DC_SOURCE_OHM, volts / DC_SOURCE_OHM)
                    };
                    self.stamp(&mut m, *plus, *minus, siemens);
                    if live {
                        inject(&mut rhs, *plus, amperes);
                        inject(&mut rhs, *minus, -amperes);
                    }
                }
                Element::Transformer { primary, secondary, siemens_dc, .. } => {
                    self.stamp(&mut m, primary.0, primary.1, siemens_dc.0);
                    self.stamp(&mut m, secondary.0, secondary.1, siemens_dc.1);
                }
            }
        }
        self.structure.factorise(&mut m);
        (m, rhs)
    }

    fn ac_matrix(&self, key: &Key) -> (Matrix<Complex>, Vec<Complex>) {
        let mut m = self.structure.zeros::<Complex>();
        let mut rhs = vec![Complex::ZERO; self.nodes];
        for node in 0..self.nodes as u32 {
            m.add_diagonal(self.structure.diagonal(node), Complex::real(LEAK_SIEMENS));
        }
        for e in &self.elements {
            match e {
                Element::Resistor { a, b, siemens } => self.stamp(&mut m, *a, *b, Complex::real(*siemens)),
                Element::Contact { a, b, bit, siemens } if key.get(*bit) => {
                    self.stamp(&mut m, *a, *b, Complex::real(*siemens));
                }
                Element::Contact { .. } | Element::DcOnly { .. } => {}
                Element::Coil { a, b, bit, out, sealed, .. } => {
                    self.stamp(&mut m, *a, *b, if key.get(*bit) { *sealed } else { *out });
                }
                Element::AcSource { a, bit, volts, admittance } if key.get(*bit) => {
                    self.stamp(&mut m, *a, EARTH, *admittance);
                    inject(&mut rhs, *a, *volts * *admittance);
                }
                Element::AcSource { .. } => {}
                // The output capacitor of a switched-mode supply is a short at mains frequency.
                Element::DcSource { plus, minus, .. } => {
                    self.stamp(&mut m, *plus, *minus, Complex::real(1.0 / DC_SOURCE_OHM));
                }
                Element::Transformer { primary, secondary, ratio, series, magnetising, .. } => {
                    self.stamp(&mut m, primary.0, primary.1, *magnetising);
                    self.stamp(&mut m, secondary.0, secondary.1, *series);
                    self.stamp(&mut m, primary.0, primary.1, series.scale(ratio * ratio));
                    let mutual = series.scale(-ratio);
                    self.couple(&mut m, *primary, *secondary, mutual);
                }
            }
        }
        self.structure.factorise(&mut m);
        (m, rhs)
    }

    fn stamp<T: sparse::Scalar>(&self, m: &mut Matrix<T>, a: Node, b: Node, y: T) {
        if a == b {
            return;
        }
        for node in [a, b] {
            if node != EARTH {
                m.add_diagonal(self.structure.diagonal(node), y);
            }
        }
        if a != EARTH && b != EARTH {
            self.add_between(m, a, b, T::ZERO - y);
        }
    }

    /// Mutual admittance between two pairs of terminals.
    fn couple(&self, m: &mut Matrix<Complex>, p: (Node, Node), s: (Node, Node), y: Complex) {
        for (a, b, value) in [(p.0, s.0, y), (p.1, s.1, y), (p.0, s.1, -y), (p.1, s.0, -y)] {
            if a == b {
                // One terminal shared by both windings: the coupling falls on the diagonal, from both sides.
                m.add_diagonal(self.structure.diagonal(a), value + value);
            } else {
                self.add_between(m, a, b, value);
            }
        }
    }

    fn add_between<T: sparse::Scalar>(&self, m: &mut Matrix<T>, a: Node, b: Node, y: T) {
        if let Some(place) = self.structure.entry(a, b) {
            m.add_entry(place, y);
        } else {
            debug_assert!(false, "every pair of an element is in the structure");
        }
    }
}

fn inject<T: sparse::Scalar>(rhs: &mut [T], node: Node, value: T) {
    if node != EARTH {
        rhs[node as usize] += value;
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
