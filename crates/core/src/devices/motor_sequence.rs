//! The motor on a feed by symmetrical components: two equations in place of three, as no zero sequence flows.
//!
//! With `I1 = Y1·V1`, `I2 = Y2·V2` and the feed `V = V_open − Z·I` in components,
//! `(1 + Z11·Y1)·V1 + Z12·Y2·V2 = V1_open` and `Z21·Y1·V1 + (1 + Z22·Y2)·V2 = V2_open`.

use super::motor::{Circuit, Drawn, TURN};
use crate::complex::Complex;

/// A feed in positive and negative sequence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SequenceFeed {
    /// Open-circuit voltages, V RMS.
    open: [Complex; 2],
    /// Impedances `z[to][from]`, ohm.
    z: [[Complex; 2]; 2],
}

/// Highest impedance of a feed, ohm, that is taken by components: far above any supply with all lines whole, so low that
/// the two equations lose no more than two digits. With a line open the three equations of the terminals are the better
/// ones.
const HIGHEST_OHM: f64 = 100.0;

impl SequenceFeed {
    /// The feed of these open-circuit voltages behind the impedances `z[to][from]`, unless an impedance is too high.
    pub fn of(open: [Complex; 3], z: [[Complex; 3]; 3]) -> Option<SequenceFeed> {
        if z.iter().flatten().any(|z| z.norm_sqr() > HIGHEST_OHM * HIGHEST_OHM) {
            return None;
        }
        let back = TURN * TURN;
        let turns = [[Complex::ONE, TURN, back], [Complex::ONE, back, TURN]];
        let component = |k: usize, of: [Complex; 3]| {
            (turns[k][0] * of[0] + turns[k][1] * of[1] + turns[k][2] * of[2]).scale(1.0 / 3.0)
        };
        // A current of sequence `from` alone is 1, a², a in the lines, or 1, a, a².
        let made =
            |from: usize| z.map(|row| (0..3).fold(Complex::ZERO, |v, j| v + row[j] * turns[1 - from][j]));
        let z = [0, 1].map(|to| [0, 1].map(|from| component(to, made(from))));
        Some(SequenceFeed { open: [component(0, open), component(1, open)], z })
    }
}

impl Circuit {
    /// What the motor draws and gives on this feed at a speed in rad/s: as [`Circuit::solve`], but for rounding.
    pub fn drawn_by_sequence(&self, feed: &SequenceFeed, speed: f64) -> Drawn {
        let slip = 1.0 - speed / self.synchronous;
        let (positive, negative) = (self.sequence(slip), self.sequence(2.0 - slip));
        let [y1, y2] = [positive.admittance, negative.admittance];
        let [[z11, z12], [z21, z22]] = feed.z;
        let (m11, m12) = (Complex::ONE + z11 * y1, z12 * y2);
        let (m21, m22) = (z21 * y1, Complex::ONE + z22 * y2);
        let inverse = (m11 * m22 - m12 * m21).recip();
        let v1 = (feed.open[0] * m22 - m12 * feed.open[1]) * inverse;
        let v2 = (m11 * feed.open[1] - m21 * feed.open[0]) * inverse;
        let (i1, i2) = (y1 * v1, y2 * v2);
        let back = TURN * TURN;
        let current = [i1 + i2, back * i1 + TURN * i2, TURN * i1 + back * i2];
        self.given(current, slip, [positive, negative], [v1.norm_sqr(), v2.norm_sqr()])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::devices::motor::circuit;
    use crate::part::MotorModel;

    fn close(a: Complex, b: Complex) -> bool {
        (a - b).abs() <= 1e-9 * (1.0 + b.abs())
    }

    /// The three equations of the terminals are the oracle: unlike impedances, unlike voltages, all speeds.
    #[test]
    fn components_give_what_the_terminals_give() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut seed = 3u64;
        let mut random = move || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 40) as f64 / (1u64 << 24) as f64
        };
        for round in 0..200 {
            let mut z = [[Complex::ZERO; 3]; 3];
            for (i, row) in z.iter_mut().enumerate() {
                for (j, cell) in row.iter_mut().enumerate() {
                    let size = if i == j { 2.0 } else { 0.2 };
                    *cell = Complex::new(size * random(), size * random());
                }
            }
            let open = [(); 3].map(|()| Complex::new(400.0 * random() - 200.0, 400.0 * random() - 200.0));
            let speed = c.synchronous * (2.4 * random() - 1.2);
            let feed = SequenceFeed::of(open, z).unwrap();
            let (by_three, by_two) = (c.solve(open, z, speed), c.drawn_by_sequence(&feed, speed));
            assert!(
                by_three.current.iter().zip(by_two.current).all(|(a, b)| close(b, *a)),
                "{round}: {by_three:?} {by_two:?}"
            );
            assert!((by_three.torque - by_two.torque).abs() < 1e-7, "{round}: {by_three:?} {by_two:?}");
            assert!((by_three.slope - by_two.slope).abs() < 1e-5, "{round}: {by_three:?} {by_two:?}");
        }
    }

    /// With a line open the feed is left to the three equations.
    #[test]
    fn an_open_line_is_none() {
        let mut z = [[Complex::ZERO; 3]; 3];
        assert!(SequenceFeed::of([Complex::ONE; 3], z).is_some());
        z[2][2] = Complex::real(1e9);
        assert!(SequenceFeed::of([Complex::ONE; 3], z).is_none());
    }
}
