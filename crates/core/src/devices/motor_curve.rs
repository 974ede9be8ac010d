//! Torque and current of a motor over its speed, on the network as it is now. Only read, never stepped.

use super::motor::{Circuit, Drawn};
use crate::complex::Complex;
use crate::design::MotorData;
use crate::network::Solution;
use crate::part::MotorModel;

/// What a motor's terminals hang on: open-circuit voltages behind impedances, from the network as it is now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feed {
    /// Voltages of U1 V1 W1 to the reference node with the motor taken off, V RMS.
    pub open: [Complex; 3],
    /// Impedances `z[to][from]`, ohm.
    pub z: [[Complex; 3]; 3],
}

/// A motor on its feed, to be read over its speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorCurve {
    /// The equivalent circuit.
    pub circuit: Circuit,
    /// The feed as it is now.
    pub feed: Feed,
    /// What hangs on the shaft.
    pub load: ShaftLoad,
}

/// What a shaft sets against its motor, besides inertia.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct ShaftLoad {
    /// Against the motion whatever the speed: friction of load and rotor, and of an applied brake, N·m.
    pub friction: f64,
    /// Against the motion with the square of the speed, N·m per (rad/s)².
    pub fan: f64,
    /// Pull of a weight, N·m, positive clockwise.
    pub pull: f64,
}

/// Torque and currents at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Torque of the motor, N·m, positive clockwise seen from the drive end.
    pub torque_nm: f64,
    /// Currents into U1 V1 W1, A RMS.
    pub amperes: [f64; 3],
}

impl Feed {
    /// The feed of a motor in a solution.
    pub(crate) fn of(data: &MotorData, solution: &Solution) -> Feed {
        let columns = &solution.response[data.port];
        let open = data.nodes.map(|n| solution.ac(n, &[]));
        let mut z = [[Complex::ZERO; 3]; 3];
        for (row, &node) in z.iter_mut().zip(&data.nodes) {
            for (cell, column) in row.iter_mut().zip(columns) {
                *cell = column[node as usize];
            }
        }
        Feed { open, z }
    }

    /// A stiff supply of this line voltage, V RMS, phases in the order U1 V1 W1.
    pub fn stiff(line_volts: f64) -> Feed {
        let v = line_volts / 3f64.sqrt();
        let (half, high) = (-0.5 * v, 0.5 * line_volts);
        let open = [Complex::real(v), Complex::new(half, -high), Complex::new(half, high)];
        Feed { open, z: [[Complex::ZERO; 3]; 3] }
    }

    /// No voltage at all.
    pub fn dead(&self) -> bool {
        self.open.iter().all(|v| v.norm_sqr() < 1e-6)
    }

    /// Currents into the terminals and torque at a speed, rad/s.
    pub fn at(&self, circuit: &Circuit, speed: f64) -> Drawn {
        circuit.solve(self.open, self.z, speed)
    }
}

impl MotorCurve {
    /// Torque and currents at a speed in parts of synchronous speed, from −1 to 1.
    pub fn at(&self, part: f64) -> CurvePoint {
        if self.feed.dead() {
            return CurvePoint { torque_nm: 0.0, amperes: [0.0; 3] };
        }
        let drawn = self.feed.at(&self.circuit, part * self.circuit.synchronous);
        CurvePoint { torque_nm: drawn.torque, amperes: drawn.current.map(Complex::abs) }
    }

    /// Torque that keeps this speed up, in parts of synchronous speed, N·m, positive clockwise; at standstill that which
    /// sets it moving clockwise for 0, and the other way for −0.
    pub fn load_nm(&self, part: f64) -> f64 {
        let speed = part * self.circuit.synchronous;
        let against = self.load.friction + self.load.fan * (speed * speed);
        if part.is_sign_negative() { -against - self.load.pull } else { against - self.load.pull }
    }

    /// Synchronous speed, min⁻¹.
    pub fn synchronous_rpm(&self) -> f64 {
        self.circuit.synchronous * 30.0 / std::f64::consts::PI
    }
}

/// Line voltage for which a motor is built, V.
pub fn rated_line_volts(model: MotorModel) -> f64 {
    match model {
        MotorModel::Kw4At400V => 400.0,
        MotorModel::Hp5At460V => 460.0,
        MotorModel::Figures(f) => f64::from(f.rated_mv) / 1000.0,
    }
}

#[cfg(test)]
mod tests {
    use super::super::motor::circuit;
    use super::*;

    fn on(feed: Feed) -> MotorCurve {
        MotorCurve {
            circuit: circuit(MotorModel::Kw4At400V),
            feed,
            load: ShaftLoad { friction: 6.0, ..ShaftLoad::default() },
        }
    }

    /// Fitted figures of the 4 kW set at rated voltage (slip: A, N·m): 1: 50.6, 58.1; 0.25: 30.4, 73.9; 1.964: 54.3,
    /// 34.2; within 1 %. The three lines carry the same.
    #[test]
    fn over_the_speed_at_rated_voltage() {
        let curve = on(Feed::stiff(rated_line_volts(MotorModel::Kw4At400V)));
        for (part, amperes, torque) in [(0.0, 50.6, 58.1), (0.75, 30.4, 73.9), (-0.964, 54.3, 34.2)] {
            let point = curve.at(part);
            assert!((point.torque_nm / torque - 1.0).abs() < 0.01, "{part}: {point:?}");
            assert!(point.amperes.iter().all(|a| (a / amperes - 1.0).abs() < 0.01), "{part}: {point:?}");
        }
        assert!((curve.synchronous_rpm() - 1500.0).abs() < 1e-9);
        assert!(curve.at(1.0).torque_nm.abs() < 1e-9, "no torque at synchronous speed");
    }

    /// Torque goes with the square of the voltage, current with the voltage: at 85 % the breakdown torque of 73.9 N·m is
    /// 53.4 N·m (hand calculation).
    #[test]
    fn torque_goes_with_the_square_of_the_voltage() {
        let low = on(Feed::stiff(0.85 * 400.0)).at(0.75);
        assert!((low.torque_nm / 53.4 - 1.0).abs() < 0.01, "{low:?}");
        assert!((low.amperes[1] / (0.85 * 30.4) - 1.0).abs() < 0.01, "{low:?}");
    }

    /// Friction of 6 N·m, a fan of 20 N·m at 1500 min⁻¹, and a weight that pulls with 5 N·m clockwise (hand): upwards at
    /// half speed 6 + 5 − 5, the other way −6 − 5 − 5; from standstill 1 and −11.
    #[test]
    fn the_load_has_friction_fan_and_weight() {
        let mut curve = on(Feed::stiff(400.0));
        let fan = 20.0 / (curve.circuit.synchronous * curve.circuit.synchronous);
        curve.load = ShaftLoad { friction: 6.0, fan, pull: 5.0 };
        for (part, expected) in [(0.5, 6.0), (-0.5, -16.0), (0.0, 1.0), (-0.0, -11.0)] {
            assert!((curve.load_nm(part) - expected).abs() < 1e-9, "{part}: {}", curve.load_nm(part));
        }
    }

    /// With a line open the torque passes through nothing at standstill and is odd in the speed: it turns on whichever
    /// way it turns (hand: the two sequences carry equal currents at s = 1). Current √3/2 of 50.6 A = 43.8 A.
    #[test]
    fn one_line_open_has_no_torque_at_standstill() {
        let mut feed = Feed::stiff(400.0);
        feed.z[1][1] = Complex::real(1e9);
        let curve = on(feed);
        let still = curve.at(0.0);
        assert!(still.torque_nm.abs() < 1e-6, "{still:?}");
        assert!((still.amperes[0] / 43.8 - 1.0).abs() < 0.01 && still.amperes[1] < 1e-3, "{still:?}");
        let (up, down) = (curve.at(0.8).torque_nm, curve.at(-0.8).torque_nm);
        assert!(up > 10.0 && (up + down).abs() < 1e-6, "{up} {down}");
    }

    #[test]
    fn without_voltage_there_is_nothing() {
        let point = on(Feed::stiff(0.0)).at(0.3);
        assert_eq!((point.torque_nm, point.amperes), (0.0, [0.0; 3]));
    }
}
