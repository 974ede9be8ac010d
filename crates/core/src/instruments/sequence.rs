//! The phase-sequence indicator: three probes, three equal resistors in star.

use super::probes::Seen;
use super::{Measured, Shown};
use crate::complex::Complex;
use crate::network::Node;

/// Resistance of each leg of the indicator's star, ohm (typical).
pub const SEQUENCE_OHM: f64 = 100e3;

/// A leg shows its phase from this voltage, V RMS (typical: 60 V between lines).
const LIT_VOLTS: f64 = 35.0;

/// The other sequence must be below this part of the one that is told (typical).
const CLEAR: f64 = 0.3;

/// What the indicator tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Turn {
    /// The probes stand on L1, L2, L3 in this order: a motor connected so turns clockwise (IEC 60034-8).
    Clockwise,
    /// The order is L1, L3, L2.
    Counterclockwise,
    /// No sequence: a phase is missing, or two probes stand on one. True for each leg that is lit.
    Missing([bool; 3]),
}

pub(super) fn sequence(seen: Seen<'_>, nodes: [Node; 3]) -> Measured {
    Measured::plain(Shown::Turn(turn(legs(seen, nodes))))
}

/// Voltages at the three legs. The currents of the star sum to nothing, so only the network's impedances between the
/// pairs count: with D the impedance between two probes,
/// `V1 − V3 = (D13 + 2R) i1 + ((D13 + D23 − D12) / 2 + R) i2`, and likewise for 2.
fn legs(seen: Seen<'_>, n: [Node; 3]) -> [Complex; 3] {
    let v = n.map(|node| seen.solution.ac(node, seen.drawn));
    let between = |a: Node, b: Node| seen.impedance_ac(a, b);
    let (d12, d13, d23) = (between(n[0], n[1]), between(n[0], n[2]), between(n[1], n[2]));
    let r = Complex::real(SEQUENCE_OHM);
    let own = |d: Complex| d + r + r;
    let mutual = (d13 + d23 - d12).scale(0.5) + r;
    let (a, b) = (v[0] - v[2], v[1] - v[2]);
    let determinant = own(d13) * own(d23) - mutual * mutual;
    let i1 = (a * own(d23) - b * mutual) / determinant;
    let i2 = (b * own(d13) - a * mutual) / determinant;
    [i1, i2, -(i1 + i2)].map(|i| i.scale(SEQUENCE_OHM))
}

fn turn(legs: [Complex; 3]) -> Turn {
    let lit = legs.map(|v| v.norm_sqr() >= LIT_VOLTS * LIT_VOLTS);
    // Symmetrical components: V1 + a V2 + a² V3, and with a and a² exchanged.
    let a = Complex::new(-0.5, 3f64.sqrt() / 2.0);
    let [v1, v2, v3] = legs;
    let forward = (v1 + a * v2 + a * a * v3).norm_sqr();
    let backward = (v1 + a * a * v2 + a * v3).norm_sqr();
    match lit {
        [true, true, true] if backward < CLEAR * CLEAR * forward => Turn::Clockwise,
        [true, true, true] if forward < CLEAR * CLEAR * backward => Turn::Counterclockwise,
        _ => Turn::Missing(lit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: phasors of 230 V at 0°, −120°, +120° are L1, L2, L3; exchanged, the other sequence; with two probes on
    /// one phase the components are equal; with L3 open the star stands on half of the line voltage, 200 V a leg.
    #[test]
    fn sequences_by_hand() {
        let third = 3f64.sqrt() / 2.0;
        let [l1, l2, l3] =
            [(1.0, 0.0), (-0.5, -third), (-0.5, third)].map(|(re, im)| Complex::new(re * 230.0, im * 230.0));
        assert_eq!(turn([l1, l2, l3]), Turn::Clockwise);
        assert_eq!(turn([l2, l3, l1]), Turn::Clockwise);
        assert_eq!(turn([l2, l1, l3]), Turn::Counterclockwise);
        let star = (l1 + l1 + l2).scale(1.0 / 3.0);
        assert_eq!(turn([l1 - star, l1 - star, l2 - star]), Turn::Missing([true; 3]));
        let half = (l1 - l2).scale(0.5);
        assert_eq!(turn([half, -half, Complex::ZERO]), Turn::Missing([true, true, false]));
        assert_eq!(turn([Complex::ZERO; 3]), Turn::Missing([false; 3]));
    }
}
