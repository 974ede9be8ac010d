//! Elements of the network, linear at one instant, with the constants they are built from.

use super::Node;
use crate::complex::Complex;

/// Leak of every node to earth: insulation of 5 gigaohm keeps the matrix regular.
pub const LEAK_SIEMENS: f64 = 1.0 / 5e9;

/// Resistance of a closed contact, ohm (typical).
pub const CONTACT_OHM: f64 = 0.01;

/// Resistance of the heater of an overload pole, ohm (typical).
pub const HEATER_OHM: f64 = 0.01;

/// Resistance of a conductor whose length is not given, ohm (typical).
pub const CONDUCTOR_OHM: f64 = 0.02;

/// Output resistance of a DC supply, ohm (typical).
pub const DC_SOURCE_OHM: f64 = 0.1;

/// Shunt of a DC supply in current limit, siemens: keeps the voltage finite.
pub const LIMIT_SHUNT_SIEMENS: f64 = 1e-3;

/// A linear element between nodes.
#[derive(Clone, Debug, PartialEq)]
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
    /// A contact that limits its current: while one bit of the key is 1 it conducts, and while the other is 1 besides it
    /// drives its limit current from `a` to `b` at DC, beside [`LIMIT_SHUNT_SIEMENS`].
    LimitedContact {
        /// Node where the current comes in.
        a: Node,
        /// Node where it goes out.
        b: Node,
        /// Bit of the key: closed.
        bit: usize,
        /// Bit of the key: in current limit.
        limiting_bit: usize,
        /// Conductance when closed, siemens.
        siemens: f64,
        /// Limit current, A.
        limit: f64,
    },
    /// A capacitance, as between two conductors of one cable: seen at mains frequency only.
    Capacitor {
        /// One node.
        a: Node,
        /// The other node.
        b: Node,
        /// Susceptance ωC at mains frequency, siemens, above 0; the admittance is `j` times it.
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
        /// Bit of the key: burnt open.
        burnt: usize,
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
    /// Output of a DC supply: its voltage behind [`DC_SOURCE_OHM`], or its limit current, or nothing. At mains
    /// frequency the output capacitor of a switched-mode supply is as good as a short: [`DC_SOURCE_OHM`], on or off.
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

impl Element {
    /// Everything it is, as numbers that are equal if two elements do the same: of most it does not matter which node is which.
    pub(crate) fn words(&self) -> [u64; 12] {
        let mut words = [0; 12];
        let mut put = |all: &[u64]| words[..all.len()].copy_from_slice(all);
        let (n, f) = (u64::from, f64::to_bits);
        let (low, high) = (|a: Node, b| n(a.min(b)), |a: Node, b| n(a.max(b)));
        match *self {
            Element::Resistor { a, b, siemens } => put(&[1, low(a, b), high(a, b), f(siemens)]),
            Element::Contact { a, b, bit, siemens } => {
                put(&[2, low(a, b), high(a, b), bit as u64, f(siemens)]);
            }
            Element::LimitedContact { a, b, bit, limiting_bit, siemens, limit } => {
                put(&[3, n(a), n(b), bit as u64, limiting_bit as u64, f(siemens), f(limit)]);
            }
            Element::Capacitor { a, b, siemens } => put(&[4, low(a, b), high(a, b), f(siemens)]),
            Element::Coil { a, b, bit, burnt, out, sealed, siemens_dc } => {
                let (out, sealed) = ((f(out.re), f(out.im)), (f(sealed.re), f(sealed.im)));
                let bits = (bit as u64, burnt as u64);
                put(&[
                    5,
                    low(a, b),
                    high(a, b),
                    bits.0,
                    bits.1,
                    out.0,
                    out.1,
                    sealed.0,
                    sealed.1,
                    f(siemens_dc),
                ]);
            }
            Element::DcOnly { a, b, siemens } => put(&[6, low(a, b), high(a, b), f(siemens)]),
            Element::AcSource { a, bit, volts, admittance } => {
                let (v, y) = (volts, admittance);
                put(&[7, n(a), bit as u64, f(v.re), f(v.im), f(y.re), f(y.im)]);
            }
            Element::DcSource { plus, minus, bit, volts, limit } => {
                put(&[8, n(plus), n(minus), bit as u64, f(volts), f(limit)]);
            }
            Element::Transformer {
                primary: p,
                secondary: s,
                ratio,
                series,
                magnetising: m,
                siemens_dc: g,
            } => {
                let (p, s) = ((n(p.0), n(p.1)), (n(s.0), n(s.1)));
                // A tap changes the ratio, an open winding a conductance.
                let (z, y) = ((f(series.re), f(series.im)), (f(m.re), f(m.im)));
                put(&[9, p.0, p.1, s.0, s.1, f(ratio), z.0, z.1, y.0, y.1, f(g.0), f(g.1)]);
            }
        }
        words
    }
}
