//! The field that stands on in a rotor when its lines open: while the shaft turns, the terminals show a voltage that
//! fades with the rotor's open-circuit time constant `T0 = (Xm + X2)/(ω·R2)`.
//!
//! Stepped each 10 ms. It counts only while the terminals are apart from every load; what joins them ends the field at
//! once, as a load would within some milliseconds. Limits: its frequency is that of the shaft, the network's is that
//! of the mains: voltages between the motor's own terminals are right, against a live line their phase is not.

use super::motor::{Circuit, TURN};
use super::motor_curve::Feed;
use crate::complex::Complex;

/// Ticks between two steps.
pub const FIELD_STEP_MS: u64 = 10;

/// A voltage below this, V RMS a phase, is none.
const LEAST_VOLTS: f64 = 1.0;

/// Impedance between two terminals above which they are apart, ohm: a tester or a long cable, but no coil or lamp.
const APART_OHM: f64 = 10_000.0;

/// Open-circuit time constant of the rotor, s.
pub fn time_constant_s(c: &Circuit) -> f64 {
    (c.xm + c.x2) / (c.pole_pairs * c.synchronous * c.r2)
}

/// What is left of the field after one step: `e^(−x)` by `(1 − x/2)/(1 + x/2)`, off by less than 0.01 % here.
pub fn step_factor(c: &Circuit) -> f64 {
    let half = FIELD_STEP_MS as f64 / 2000.0 / time_constant_s(c);
    (1.0 - half) / (1.0 + half)
}

/// Voltages of the windings at a speed, V RMS; none when too small. `field`: volts at synchronous speed.
pub fn voltages(c: &Circuit, field: f64, speed: f64) -> Option<[Complex; 3]> {
    let size = if speed < 0.0 { -speed } else { speed } / c.synchronous * field;
    if size < LEAST_VOLTS {
        return None;
    }
    let (second, third) = if speed > 0.0 { (TURN * TURN, TURN) } else { (TURN, TURN * TURN) };
    Some([Complex::real(size), second.scale(size), third.scale(size)])
}

impl Feed {
    /// Nothing joins two of the terminals.
    pub fn apart(&self) -> bool {
        let z = &self.z;
        [(0, 1), (1, 2), (2, 0)]
            .into_iter()
            .all(|(a, b)| (z[a][a] + z[b][b] - z[a][b] - z[b][a]).norm_sqr() > APART_OHM * APART_OHM)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::devices::motor::circuit;
    use crate::part::MotorModel;

    /// By hand: 58.73 Ω / (314.16 · 1.14 Ω) = 0.164 s; 91.9 Ω / (376.99 · 1.25 Ω) = 0.195 s.
    #[test]
    fn time_constants_by_hand() {
        let (kw4, hp5) = (circuit(MotorModel::Kw4At400V), circuit(MotorModel::Hp5At460V));
        assert!((time_constant_s(&kw4) - 0.164).abs() < 0.001, "{}", time_constant_s(&kw4));
        assert!((time_constant_s(&hp5) - 0.195).abs() < 0.001, "{}", time_constant_s(&hp5));
        // To 25 % after ln 4 · T0 = 0.227 s.
        let steps = (1..100).find(|&n| (0..n).fold(1.0, |f, _| f * step_factor(&kw4)) <= 0.25);
        assert_eq!(steps, Some(23));
    }

    #[test]
    fn voltages_follow_the_shaft() {
        let c = circuit(MotorModel::Kw4At400V);
        let v = voltages(&c, 220.0, c.synchronous / 2.0).unwrap();
        assert!(
            (v[0].abs() - 110.0).abs() < 1e-9 && ((v[0] - v[1]).abs() - 110.0 * 3f64.sqrt()).abs() < 1e-9
        );
        let back = voltages(&c, 220.0, -c.synchronous / 2.0).unwrap();
        assert_eq!((back[1], back[2]), (v[2], v[1]));
        assert_eq!(voltages(&c, 220.0, 0.0), None);
    }
}
