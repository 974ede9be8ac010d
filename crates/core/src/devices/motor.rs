//! The three-phase cage motor from its equivalent circuit, with positive and negative sequence.
//!
//! Per phase in star: `Z(s) = R1 + jX1 + (jXm ‖ Rfe ‖ (R2/s + jX2))`; deep-bar effect and saturation by
//! `R2 = R2'(1 + kR·σ)`, `X1, X2 ×(1 − kX·σ)`, `σ = min(|s|, 1)`. The terminal voltages are split into symmetrical
//! components; the negative sequence sees the slip `2 − s`. The zero-sequence current is nil (no neutral).
//! The rotor's field stands on when the lines open, and fades: [`crate::devices::field`].
//! Limits: no transients of current or flux, so that closing onto a field out of step shows neither the current nor the
//! blow of it; saturation as above only; the star hides which winding of a delta is hottest.

use crate::complex::Complex;
use crate::part::{MotorFigures, MotorModel};

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
    /// Pairs of poles: mains frequency is so many times the synchronous speed.
    pub pole_pairs: f64,
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
            pole_pairs: 2.0,
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
            pole_pairs: 2.0,
            inertia: 0.015,
            friction_w: 40.0,
        },
        MotorModel::Figures(f) => of_figures(&f),
    }
}

/// A circuit from its figures in integers.
fn of_figures(f: &MotorFigures) -> Circuit {
    let thousandth = |value: u32| f64::from(value) / 1000.0;
    let pole_pairs = f64::from(f.pole_pairs);
    Circuit {
        r1: thousandth(f.r1_mohm),
        x1: thousandth(f.x1_mohm),
        r2: thousandth(f.r2_mohm),
        x2: thousandth(f.x2_mohm),
        xm: thousandth(f.xm_mohm),
        rfe: thousandth(f.rfe_mohm),
        k_r: thousandth(f.deep_bar_permille),
        k_x: thousandth(f.saturation_permille),
        synchronous: 2.0 * PI * thousandth(f.frequency_mhz) / pole_pairs,
        pole_pairs,
        inertia: f64::from(f.inertia_kgmm2) / 1e6,
        friction_w: thousandth(f.friction_mw),
    }
}

/// Circuit of a parameter set on a mains of this frequency, mHz: reactances and synchronous speed go with it.
pub fn circuit_at(model: MotorModel, millihertz: u32) -> Circuit {
    let rated = match model {
        MotorModel::Kw4At400V => 50_000,
        MotorModel::Hp5At460V => 60_000,
        MotorModel::Figures(f) => f.frequency_mhz,
    };
    let mut c = circuit(model);
    if millihertz != rated {
        let part = f64::from(millihertz) / f64::from(rated);
        for value in [&mut c.x1, &mut c.x2, &mut c.xm, &mut c.synchronous] {
            *value *= part;
        }
    }
    c
}

/// Admittance of one sequence at a slip, and torque per square of the phase voltage.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sequence {
    pub(super) admittance: Complex,
    /// N·m per V² of phase voltage (RMS).
    pub(super) torque: f64,
    /// Square of the air-gap voltage per square of the phase voltage.
    air_gap: f64,
}

/// What a motor draws and gives at one speed.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Drawn {
    /// Currents **into** U1 V1 W1, A (RMS phasor).
    pub current: [Complex; 3],
    /// Torque, N·m, positive clockwise.
    pub torque: f64,
    /// What the torque gains with speed at the terminal voltages that stand there, N·m per rad/s.
    pub slope: f64,
    /// Air-gap voltage of the stronger sequence, V RMS a phase.
    pub air_gap: f64,
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
            air_gap: air_gap.norm_sqr(),
        }
    }

    /// What the motor does when its terminals hang on a source of open-circuit voltages `open` behind the impedances
    /// `z[to][from]`, at a speed in rad/s.
    pub fn solve(&self, open: [Complex; 3], z: [[Complex; 3]; 3], speed: f64) -> Drawn {
        let slip = 1.0 - speed / self.synchronous;
        let (positive, negative) = (self.sequence(slip), self.sequence(2.0 - slip));
        let y = admittance_matrix(positive.admittance, negative.admittance);
        let v = solve_three(loaded(z, y), open);
        let v1 = (v[0] + TURN * v[1] + TURN * TURN * v[2]).scale(1.0 / 3.0);
        let v2 = (v[0] + TURN * TURN * v[1] + TURN * v[2]).scale(1.0 / 3.0);
        self.given(times(y, v), slip, [positive, negative], [v1.norm_sqr(), v2.norm_sqr()])
    }

    /// What it gives for these currents, from the squares of the voltages of both sequences, V².
    pub(super) fn given(
        &self,
        current: [Complex; 3],
        slip: f64,
        [positive, negative]: [Sequence; 2],
        [square1, square2]: [f64; 2],
    ) -> Drawn {
        let torque = positive.torque * square1 - negative.torque * square2;
        let beside = slip - SLOPE_SLIP;
        let faster = self.sequence(beside).torque * square1 - self.sequence(2.0 - beside).torque * square2;
        let (gap, other) = (positive.air_gap * square1, negative.air_gap * square2);
        Drawn {
            current,
            torque,
            slope: (faster - torque) / (SLOPE_SLIP * self.synchronous),
            air_gap: if gap > other { gap } else { other }.sqrt(),
        }
    }

    /// Currents into the terminals when the windings hold the voltages `emf` behind their reactance at standstill.
    pub fn feed_back(&self, open: [Complex; 3], z: [[Complex; 3]; 3], emf: [Complex; 3]) -> [Complex; 3] {
        let behind = self.sequence(1.0).admittance;
        let y = admittance_matrix(behind, behind);
        // (1 + Z·Y)·(V − E) = V_open − E, as I = Y·(V − E) and V = V_open − Z·I.
        times(y, solve_three(loaded(z, y), [0, 1, 2].map(|k| open[k] - emf[k])))
    }
}

/// Operator `1 + Z·Y`.
fn loaded(z: [[Complex; 3]; 3], y: [[Complex; 3]; 3]) -> [[Complex; 3]; 3] {
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
    a
}

fn times(y: [[Complex; 3]; 3], v: [Complex; 3]) -> [Complex; 3] {
    let mut i = [Complex::ZERO; 3];
    for (line, current) in i.iter_mut().enumerate() {
        for k in 0..3 {
            *current += y[line][k] * v[k];
        }
    }
    i
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

#[cfg(test)]
mod tests {
    use super::*;

    fn supply(order: [usize; 3]) -> [Complex; 3] {
        let v = 400.0 / 3f64.sqrt();
        let phases = [Complex::real(v), (TURN * TURN).scale(v), TURN.scale(v)];
        order.map(|k| phases[k])
    }

    fn solve(c: &Circuit, open: [Complex; 3], z: [[Complex; 3]; 3], speed: f64) -> ([Complex; 3], f64) {
        let flow = c.solve(open, z, speed);
        (flow.current, flow.torque)
    }

    const STIFF: [[Complex; 3]; 3] = [[Complex::ZERO; 3]; 3];

    /// Test points of the 4 kW set (slip: A, N·m), within 1 %.
    #[test]
    fn test_points() {
        let c = circuit(MotorModel::Kw4At400V);
        for (slip, amperes, torque) in
            [(1.0, 50.6, 58.1), (0.5, 39.8, 66.7), (0.25, 30.4, 73.9), (0.1, 17.5, 56.9), (1.964, 54.3, 34.2)]
        {
            let (i, t) = solve(&c, supply([0, 1, 2]), STIFF, c.synchronous * (1.0 - slip));
            assert!((i[0].abs() / amperes - 1.0).abs() < 0.01, "{slip}: {} A", i[0].abs());
            assert!((t / torque - 1.0).abs() < 0.01, "{slip}: {t} N·m");
        }
    }

    /// Exchanging two lines turns it the other way with the same currents.
    #[test]
    fn exchanging_two_lines_reverses() {
        let c = circuit(MotorModel::Kw4At400V);
        let (_, right) = solve(&c, supply([0, 1, 2]), STIFF, 0.0);
        let (_, left) = solve(&c, supply([2, 1, 0]), STIFF, 0.0);
        assert!(right > 50.0 && (right + left).abs() < 1e-9, "{right} {left}");
    }

    /// One line open at standstill, by hand: |I| = √3/2 of the three-phase locked-rotor current, no torque.
    #[test]
    fn one_line_open_hums() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut z = STIFF;
        z[2][2] = Complex::real(1e9);
        let (i, t) = solve(&c, supply([0, 1, 2]), z, 0.0);
        let (three, _) = solve(&c, supply([0, 1, 2]), STIFF, 0.0);
        assert!((i[0].abs() / three[0].abs() - 0.866).abs() < 0.001, "{}", i[0].abs());
        assert!(i[2].abs() < 1e-3 && t.abs() < 1e-6, "{} {t}", i[2].abs());
    }

    /// Torque of the rotor's own friction, N·m.
    fn own_friction(c: &Circuit) -> f64 {
        c.friction_w / c.synchronous
    }

    /// Slip between these at which the torque is `torque`, by halving; the torque rises with the slip there.
    fn slip_at(torque: f64, mut low: f64, mut high: f64, at: impl Fn(f64) -> f64) -> f64 {
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if at(middle) < torque {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    /// Rating plates of both sets: typical catalogue data, and how near the fit comes to each. Shaft torque is the
    /// air gap's less the rotor's own friction. Everything is within 1 %.
    #[test]
    fn rating_plates() {
        // Volts, min⁻¹, A, N·m, cos φ, η, locked rotor current and torque, breakdown torque and its slip, no-load A.
        let plates = [
            (MotorModel::Kw4At400V, [400.0, 1446.0, 8.17, 26.4, 0.816, 0.866, 6.2, 2.2, 2.8, 0.25, 3.99]),
            (MotorModel::Hp5At460V, [460.0, 1750.0, 6.31, 20.4, 0.836, 0.887, 6.5, 1.9, 2.75, 0.19, 2.93]),
        ];
        for (model, [volts, rpm, amperes, torque, cos, eta, lri, lrt, most, most_slip, idle]) in plates {
            let c = circuit(model);
            let open = crate::devices::motor_curve::Feed::stiff(volts).open;
            let at = |slip: f64| solve(&c, open, STIFF, c.synchronous * (1.0 - slip));
            let near = |what: &str, is: f64, should: f64| {
                assert!((is / should - 1.0).abs() < 0.01, "{model:?} {what}: {is} for {should}");
            };
            let slip = slip_at(torque + own_friction(&c), 0.0, 0.15, |s| at(s).1);
            let speed = c.synchronous * (1.0 - slip);
            near("speed", speed * 30.0 / PI, rpm);
            let (i, _) = at(slip);
            near("current", i[0].abs(), amperes);
            let power = 3.0 * open[0].re * i[0].re;
            near("power factor", power / (3.0 * open[0].re * i[0].abs()), cos);
            near("efficiency", torque * speed / power, eta);
            let (i, t) = at(1.0);
            near("locked rotor current", i[0].abs() / amperes, lri);
            near("locked rotor torque", t / torque, lrt);
            let (best, peak) = (1..1000)
                .map(|k| f64::from(k) / 1000.0)
                .map(|s| (s, at(s).1))
                .fold((0.0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
            near("breakdown torque", peak / torque, most);
            near("breakdown slip", best, most_slip);
            let (i, _) = at(slip_at(own_friction(&c), 0.0, 0.1, |s| at(s).1));
            near("no-load current", i[0].abs(), idle);
        }
    }

    /// Models: one line of the 4 kW motor opens. At rated torque it runs on with 2.03 times the current at 5.6 % slip,
    /// at half torque with 1.14 times; at standstill 5.4 times, 0.866 of the locked-rotor current, and no torque.
    #[test]
    fn on_two_lines() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut z = STIFF;
        z[2][2] = Complex::real(1e9);
        let at = |slip: f64| solve(&c, supply([0, 1, 2]), z, c.synchronous * (1.0 - slip));
        for (torque, times, expected) in [(26.4, 2.03, Some(0.056)), (13.2, 1.14, None)] {
            let slip = slip_at(torque, 0.002, 0.15, |s| at(s).1);
            let (i, _) = at(slip);
            assert!((i[0].abs() / 8.17 / times - 1.0).abs() < 0.01, "{} A", i[0].abs());
            assert!(expected.is_none_or(|e: f64| (slip / e - 1.0).abs() < 0.02), "{slip}");
        }
        let (i, t) = at(1.0);
        assert!((i[0].abs() / 8.17 / 5.4 - 1.0).abs() < 0.01 && t.abs() < 1e-6, "{} A {t}", i[0].abs());
        assert!((i[0] + i[1]).abs() < 1e-3);
    }
}
