//! The three-phase cage motor from its equivalent circuit, with positive and negative sequence.
//!
//! Per phase in star: `Z(s) = R1 + jX1 + (jXm ‖ Rfe ‖ (R2/s + jX2))`; deep-bar effect and saturation by
//! `R2 = R2'(1 + kR·σ)`, `X1, X2 ×(1 − kX·σ)`, `σ = min(|s|, 1)`. The terminal voltages are split into symmetrical
//! components; the negative sequence sees the slip `2 − s`. The zero-sequence current is nil (no neutral).
//! Limits: no transients of flux, so an open terminal shows no back-EMF; saturation as above only.

use crate::complex::Complex;
use crate::part::MotorModel;

/// Figures of an equivalent circuit; ohm per phase in star, kg·m², W.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circuit {
    /// Stator resistance.
    pub r1: f64,
    /// Stator leakage reactance.
    pub x1: f64,
    /// Rotor resistance at rated slip, referred to the stator.
    pub r2: f64,
    /// Rotor leakage reactance at rated slip.
    pub x2: f64,
    /// Magnetising reactance.
    pub xm: f64,
    /// Iron-loss resistance, parallel.
    pub rfe: f64,
    /// Deep-bar factor of R2.
    pub k_r: f64,
    /// Saturation factor of X1 and X2.
    pub k_x: f64,
    /// Synchronous speed, rad/s.
    pub synchronous: f64,
    /// Inertia of the rotor, kg·m².
    pub inertia: f64,
    /// Friction and windage at synchronous speed, W.
    pub friction_w: f64,
}

/// π, for synchronous speeds.
const PI: f64 = std::f64::consts::PI;

/// Circuit of a parameter set, fitted to typical catalogue data.
pub fn circuit(model: MotorModel) -> Circuit {
    match model {
        MotorModel::Kw4At400V => Circuit {
            r1: 1.36,
            x1: 2.24,
            r2: 1.14,
            x2: 3.13,
            xm: 55.6,
            rfe: 864.0,
            k_r: 0.134,
            k_x: 0.283,
            synchronous: PI * 50.0,
            inertia: 0.0125,
            friction_w: 40.0,
        },
        MotorModel::Hp5At460V => Circuit {
            r1: 2.24,
            x1: 3.07,
            r2: 1.25,
            x2: 4.30,
            xm: 87.6,
            rfe: 2936.0,
            k_r: 0.237,
            k_x: 0.267,
            synchronous: PI * 60.0,
            inertia: 0.015,
            friction_w: 40.0,
        },
    }
}

/// Admittance of one sequence at a slip, and torque per square of the phase voltage.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sequence {
    pub(super) admittance: Complex,
    /// N·m per V² of phase voltage (RMS).
    pub(super) torque: f64,
}

/// What a motor draws and gives at one speed.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Drawn {
    /// Currents into U1 V1 W1, A (RMS phasor).
    pub current: [Complex; 3],
    /// Torque, N·m, positive clockwise.
    pub torque: f64,
    /// What the torque gains with speed, N·m per rad/s.
    pub slope: f64,
}

/// Step of slip over which the slope of the torque is taken: half the one at which currents are computed anew.
const SLOPE_SLIP: f64 = 0.001;

impl Circuit {
    pub(super) fn sequence(&self, slip: f64) -> Sequence {
        let size = if slip < 0.0 { -slip } else { slip };
        let sigma = if size < 1.0 { size } else { 1.0 };
        let r2 = self.r2 * (1.0 + self.k_r * sigma);
        let (x1, x2) = (self.x1 * (1.0 - self.k_x * sigma), self.x2 * (1.0 - self.k_x * sigma));
        // Rotor branch s / (R2 + j·s·X2): finite at synchronous speed.
        let rotor = Complex::real(slip) / Complex::new(r2, slip * x2);
        let shunt = Complex::new(1.0 / self.rfe, -1.0 / self.xm) + rotor;
        let stator = Complex::new(self.r1, x1);
        // I = V / (Z1 + 1/Ysh) = V·Ysh / (1 + Z1·Ysh); air-gap voltage V / (1 + Z1·Ysh).
        let loaded = Complex::ONE + stator * shunt;
        let air_gap = loaded.recip();
        Sequence {
            admittance: shunt * air_gap,
            torque: 3.0 * air_gap.norm_sqr() * rotor.norm_sqr() * r2 / slip_or_tiny(slip) / self.synchronous,
        }
    }

    /// Currents **into** the terminals (A, RMS phasor) and torque (N·m, positive clockwise) when the terminals hang
    /// on a source of open-circuit voltages `open` behind the impedances `z[to][from]`, at a speed in rad/s.
    pub fn solve(&self, open: [Complex; 3], z: [[Complex; 3]; 3], speed: f64) -> ([Complex; 3], f64) {
        let drawn = self.drawn(open, z, speed);
        (drawn.current, drawn.torque)
    }

    /// As [`Circuit::solve`], with the slope of the torque over the speed at the terminal voltages that stand there.
    pub fn drawn(&self, open: [Complex; 3], z: [[Complex; 3]; 3], speed: f64) -> Drawn {
        let slip = 1.0 - speed / self.synchronous;
        let (positive, negative) = (self.sequence(slip), self.sequence(2.0 - slip));
        let y = admittance_matrix(positive.admittance, negative.admittance);
        // (1 + Z·Y)·V = V_open.
        let mut a = [[Complex::ZERO; 3]; 3];
        for (i, row) in a.iter_mut().enumerate() {
            for (j, cell) in row.iter_mut().enumerate() {
                let mut sum = if i == j { Complex::ONE } else { Complex::ZERO };
                for k in 0..3 {
                    sum += z[i][k] * y[k][j];
                }
                *cell = sum;
            }
        }
        let v = solve_three(a, open);
        let mut i = [Complex::ZERO; 3];
        for (line, current) in i.iter_mut().enumerate() {
            for k in 0..3 {
                *current += y[line][k] * v[k];
            }
        }
        let v1 = (v[0] + TURN * v[1] + TURN * TURN * v[2]).scale(1.0 / 3.0);
        let v2 = (v[0] + TURN * TURN * v[1] + TURN * v[2]).scale(1.0 / 3.0);
        let (square1, square2) = (v1.norm_sqr(), v2.norm_sqr());
        let torque = positive.torque * square1 - negative.torque * square2;
        self.with_slope(i, torque, slip, [square1, square2])
    }

    /// Adds the slope of the torque, from the squares of the voltages of both sequences, V².
    pub(super) fn with_slope(
        &self,
        current: [Complex; 3],
        torque: f64,
        slip: f64,
        [square1, square2]: [f64; 2],
    ) -> Drawn {
        let beside = slip - SLOPE_SLIP;
        let faster = self.sequence(beside).torque * square1 - self.sequence(2.0 - beside).torque * square2;
        Drawn { current, torque, slope: (faster - torque) / (SLOPE_SLIP * self.synchronous) }
    }
}

/// Keeps the quotient `|rotor|²·R2/s` finite: the numerator holds s², so any tiny divisor gives nil at s = 0.
fn slip_or_tiny(slip: f64) -> f64 {
    if slip == 0.0 { 1e-30 } else { slip }
}

/// The operator `a`, a turn by 120°: −1/2 + j·√3/2.
pub(super) const TURN: Complex = Complex { re: -0.5, im: 0.866_025_403_784_438_6 };

/// Phase admittances of a machine with these sequence admittances and no zero sequence.
fn admittance_matrix(y1: Complex, y2: Complex) -> [[Complex; 3]; 3] {
    let a2 = TURN * TURN;
    let cell = |k: usize| {
        let (p, n) = match k {
            0 => (Complex::ONE, Complex::ONE),
            1 => (TURN, a2),
            _ => (a2, TURN),
        };
        (y1 * p + y2 * n).scale(1.0 / 3.0)
    };
    let [c0, c1, c2] = [0, 1, 2].map(cell);
    [[c0, c1, c2], [c2, c0, c1], [c1, c2, c0]]
}

/// Gaussian elimination with row exchange by the larger pivot.
fn solve_three(mut a: [[Complex; 3]; 3], mut b: [Complex; 3]) -> [Complex; 3] {
    for k in 0..3 {
        let mut best = k;
        for row in k + 1..3 {
            if a[row][k].norm_sqr() > a[best][k].norm_sqr() {
                best = row;
            }
        }
        a.swap(k, best);
        b.swap(k, best);
        let inverse = a[k][k].recip();
        for row in k + 1..3 {
            let factor = a[row][k] * inverse;
            let pivot_row = a[k];
            for (cell, pivot) in a[row].iter_mut().zip(pivot_row) {
                *cell -= factor * pivot;
            }
            let value = b[k];
            b[row] -= factor * value;
        }
    }
    for k in (0..3).rev() {
        let mut value = b[k];
        for j in k + 1..3 {
            value -= a[k][j] * b[j];
        }
        b[k] = value * a[k][k].recip();
    }
    b
}

/// State of one motor.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct MotorState {
    /// Speed, rad/s, positive clockwise seen from the drive end.
    pub speed: f64,
    /// Speed at which the currents were last computed.
    pub stamped: f64,
    /// Currents into U1 V1 W1, A (RMS phasor).
    pub current: [Complex; 3],
    /// Torque of the motor at the stamped speed, N·m.
    pub torque: f64,
    /// What the torque gains with speed there, N·m per rad/s.
    pub slope: f64,
    /// The last tick left the speed as it was.
    pub settled: bool,
    /// The machine is blocked.
    pub jammed: bool,
}

/// Change of slip at which the currents are computed anew.
pub const RESTAMP_SLIP: f64 = 0.002;

/// A change of speed per tick under this limit, rad/s, is none: the machine then runs steadily.
pub const STEADY: f64 = 1e-4;

/// Speed above which the shaft is seen to turn, rad/s.
pub const TURNING: f64 = 1.0;

impl MotorState {
    /// The slip has moved by [`RESTAMP_SLIP`] or more since the currents were computed, or has come to rest elsewhere.
    pub fn off_stamp(&self, circuit: &Circuit) -> bool {
        let slip = (self.speed - self.stamped) / circuit.synchronous;
        slip >= RESTAMP_SLIP || slip <= -RESTAMP_SLIP || self.settled && self.speed != self.stamped
    }

    /// The way in which the shaft is seen to turn: 1 clockwise, −1 counter-clockwise, 0 not.
    pub fn turning(&self) -> i8 {
        i8::from(self.speed > TURNING) - i8::from(self.speed < -TURNING)
    }

    /// One tick of the shaft. `inertia` (kg·m², rotor and load), `friction` (N·m, load, against the motion) and the
    /// rotor's own friction. Returns whether the speed changed.
    pub fn turn(&mut self, circuit: &Circuit, load_inertia: f64, load_friction: f64) -> bool {
        let before = self.speed;
        if self.jammed {
            self.speed = 0.0;
            self.settled = before == 0.0;
            return !self.settled;
        }
        let friction = load_friction + circuit.friction_w / circuit.synchronous;
        let drive = self.torque + self.slope * (self.speed - self.stamped);
        let net = if self.speed > 0.0 {
            drive - friction
        } else if self.speed < 0.0 || drive < -friction {
            drive + friction
        } else if drive > friction {
            drive - friction
        } else {
            0.0
        };
        let change = net / (circuit.inertia + load_inertia) * 0.001;
        let size = if change < 0.0 { -change } else { change };
        let mut speed = self.speed + change;
        // Friction stops the shaft; it does not turn it back.
        let crosses = self.speed > 0.0 && speed < 0.0 || self.speed < 0.0 && speed > 0.0;
        let held = drive <= friction && drive >= -friction;
        if crosses && held {
            speed = 0.0;
        } else if size < STEADY && !(held && self.speed != 0.0) {
            speed = self.speed;
        }
        self.speed = speed;
        self.settled = speed == before;
        !self.settled
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn supply(order: [usize; 3]) -> [Complex; 3] {
        let v = 400.0 / 3f64.sqrt();
        let phases = [Complex::real(v), (TURN * TURN).scale(v), TURN.scale(v)];
        order.map(|k| phases[k])
    }

    const STIFF: [[Complex; 3]; 3] = [[Complex::ZERO; 3]; 3];

    /// Test points of the 4 kW set (slip: A, N·m), within 1 %.
    #[test]
    fn test_points() {
        let c = circuit(MotorModel::Kw4At400V);
        for (slip, amperes, torque) in
            [(1.0, 50.6, 58.1), (0.5, 39.8, 66.7), (0.25, 30.4, 73.9), (0.1, 17.5, 56.9), (1.964, 54.3, 34.2)]
        {
            let (i, t) = c.solve(supply([0, 1, 2]), STIFF, c.synchronous * (1.0 - slip));
            assert!((i[0].abs() / amperes - 1.0).abs() < 0.01, "{slip}: {} A", i[0].abs());
            assert!((t / torque - 1.0).abs() < 0.01, "{slip}: {t} N·m");
        }
    }

    /// Exchanging two lines turns it the other way with the same currents.
    #[test]
    fn exchanging_two_lines_reverses() {
        let c = circuit(MotorModel::Kw4At400V);
        let (_, right) = c.solve(supply([0, 1, 2]), STIFF, 0.0);
        let (_, left) = c.solve(supply([2, 1, 0]), STIFF, 0.0);
        assert!(right > 50.0 && (right + left).abs() < 1e-9, "{right} {left}");
    }

    /// One line open at standstill, by hand: |I| = √3/2 of the three-phase locked-rotor current, no torque.
    #[test]
    fn one_line_open_hums() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut z = STIFF;
        z[2][2] = Complex::real(1e9);
        let (i, t) = c.solve(supply([0, 1, 2]), z, 0.0);
        let (three, _) = c.solve(supply([0, 1, 2]), STIFF, 0.0);
        assert!((i[0].abs() / three[0].abs() - 0.866).abs() < 0.001, "{}", i[0].abs());
        assert!(i[2].abs() < 1e-3 && t.abs() < 1e-6, "{} {t}", i[2].abs());
    }

    /// Runs up to near synchronous speed, and coasts to a stand by friction without turning back.
    #[test]
    fn runs_up_and_coasts() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut m = MotorState::default();
        for _ in 0..2000 {
            (m.current, m.torque) = c.solve(supply([0, 1, 2]), STIFF, m.speed);
            m.turn(&c, 0.05, 6.0);
        }
        let rpm = m.speed * 60.0 / (2.0 * PI);
        assert!((1450.0..1500.0).contains(&rpm), "{rpm}");
        m.torque = 0.0;
        for _ in 0..5000 {
            m.turn(&c, 0.05, 6.0);
            assert!(m.speed >= 0.0);
        }
        assert_eq!(m.speed, 0.0);
    }
}
