//! Heat of a motor's windings, and what becomes of it.
//!
//! Each winding is one body: `dθ/dt = (R·e − c·θ)/τ` with θ the rise over the ambient air, R the rise at rated current,
//! `e` the square of the current in multiples of the rated one with the negative sequence counted above its share, and
//! `c` the cooling, less at standstill as the fan stands too. Stepped each 100 ms, as the overloads' heat.
//! Limits: no heat goes from winding to winding; at light load the iron's losses are left out; air of 20 °C.

use crate::complex::Complex;
use crate::devices::overload::HEAT_STEP_MS;

/// Ambient air, °C.
pub const AMBIENT_C: f64 = 20.0;

/// Rise at rated current, K: class B, the usual design of a motor insulated to class F (IEC 60034-1; typical).
pub const RATED_RISE_K: f64 = 80.0;

/// Time constant while the fan turns, s. Typical: at 6.2 times the rated current the winding heats by 8.5 K/s, and may
/// be locked from cold for some 16 s until class F is reached.
pub const TIME_CONSTANT_S: f64 = 360.0;

/// Cooling at standstill, as a part of the cooling with the fan turning (typical of a totally enclosed motor).
pub const STANDSTILL_COOLING: f64 = 1.0 / 3.0;

/// What a square of negative-sequence current heats every winding beyond its own share (typical: 3 to 6 in all, as the
/// rotor's bars carry it at nearly twice mains frequency).
pub const NEGATIVE_EXTRA: f64 = 2.0;

/// Limit of insulation class F, °C (IEC 60085): above it the insulation ages fast, about twice as fast each 10 K.
pub const CLASS_F_C: f64 = 155.0;

/// Temperature at which the insulation fails at once, °C (typical: enamel softens through at 240 to 300 °C).
pub const FAILS_C: f64 = 250.0;

/// Resistance of a failed insulation between winding and frame, ohm (typical of a burnt-through slot).
pub const FAILED_OHM: f64 = 1.0;

/// Heating, in multiples of that at rated current, from which the time of overheating is counted.
const OVERHEATING: f64 = 1.2;

/// Heat of the three windings.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct WindingState {
    /// Rise over ambient of the winding at U1, V1, W1, K.
    pub rise: [f64; 3],
    /// Heating now, A².
    square: [f64; 3],
    /// Sum of the heating over the ticks since the last step of heat, up to `since`.
    sum: [f64; 3],
    since: u64,
    /// Tick of the first step of heat of the present overheating; 0 for none.
    overheating_since: u64,
    /// The winding, 0 to 2 for U V W, whose insulation to the frame has failed.
    pub failed: Option<u8>,
}

/// What a step of heat has brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeatEvent {
    /// The hottest winding has come above [`CLASS_F_C`], or fallen below it again.
    ClassLimit,
    /// The insulation of this winding has failed, after so many ticks of overheating.
    Failed {
        /// 0 to 2 for U V W.
        winding: u8,
        /// Ticks since the overheating began.
        ticks: u64,
    },
}

/// Square of the negative-sequence part of three currents.
fn negative_square(i: &[Complex; 3]) -> f64 {
    const TURN: Complex = Complex { re: -0.5, im: 0.866_025_403_784_438_6 };
    (i[0] + TURN * TURN * i[1] + TURN * i[2]).scale(1.0 / 3.0).norm_sqr()
}

impl WindingState {
    /// Takes new currents into the terminals from this tick on.
    pub fn set_currents(&mut self, i: &[Complex; 3], tick: u64) {
        self.take_sum(tick);
        let extra = NEGATIVE_EXTRA * negative_square(i);
        self.square = i.map(|i| i.norm_sqr() + extra);
    }

    fn take_sum(&mut self, tick: u64) {
        let ticks = tick.saturating_sub(self.since) as f64;
        for (sum, square) in self.sum.iter_mut().zip(self.square) {
            *sum += square * ticks;
        }
        self.since = tick;
    }

    /// One step of heat, at a tick divisible by [`HEAT_STEP_MS`]. `rated`: rated current, A.
    pub fn heat_step(&mut self, rated: f64, turning: bool, tick: u64) -> Option<HeatEvent> {
        self.take_sum(tick);
        let was_hot = self.hot();
        let cooling = if turning { 1.0 } else { STANDSTILL_COOLING };
        let part = HEAT_STEP_MS as f64 / 1000.0 / TIME_CONSTANT_S;
        let mut most = 0.0;
        for (rise, sum) in self.rise.iter_mut().zip(&mut self.sum) {
            let heating = *sum / HEAT_STEP_MS as f64 / (rated * rated);
            *rise += (RATED_RISE_K * heating - cooling * *rise) * part;
            *sum = 0.0;
            most = if heating > most { heating } else { most };
        }
        self.overheating_since = match self.overheating_since {
            _ if most < OVERHEATING => 0,
            0 => tick - HEAT_STEP_MS,
            since => since,
        };
        let hottest = self.hottest();
        if self.failed.is_none() && self.celsius()[hottest] >= FAILS_C {
            self.failed = Some(hottest as u8);
            let ticks = tick - self.overheating_since;
            return Some(HeatEvent::Failed { winding: hottest as u8, ticks });
        }
        (self.hot() != was_hot).then_some(HeatEvent::ClassLimit)
    }

    /// Number of the hottest winding.
    pub fn hottest(&self) -> usize {
        let r = &self.rise;
        let first = if r[0] >= r[1] { 0 } else { 1 };
        if r[first] >= r[2] { first } else { 2 }
    }

    /// Temperature of each winding, °C.
    pub fn celsius(&self) -> [f64; 3] {
        self.rise.map(|r| r + AMBIENT_C)
    }

    /// The hottest winding is above the limit of class F.
    pub fn hot(&self) -> bool {
        self.celsius()[self.hottest()] > CLASS_F_C
    }

    /// Hands every floating-point value to `take`.
    pub(crate) fn floats(&self, take: &mut dyn FnMut(f64)) {
        self.rise.iter().chain(&self.square).chain(&self.sum).for_each(|&v| take(v));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Balanced currents of this size.
    fn balanced(a: f64) -> [Complex; 3] {
        let high = 0.866_025_403_784_438_6 * a;
        [Complex::real(a), Complex::new(-0.5 * a, -high), Complex::new(-0.5 * a, high)]
    }

    fn seconds_to(s: &mut WindingState, i: [Complex; 3], turning: bool, celsius: f64) -> Option<f64> {
        s.set_currents(&i, 0);
        s.since = 0;
        (1..=100_000u64)
            .find(|k| {
                s.heat_step(8.2, turning, k * HEAT_STEP_MS);
                s.celsius()[s.hottest()] >= celsius
            })
            .map(|k| k as f64 / 10.0)
    }

    /// By hand: locked from cold with 6.17 times the rated current, θ grows towards 80 K · 38.1 / (1/3) = 9137 K with
    /// 1080 s: 155 °C after 1080 s · ln(9137 / (9137 − 135)) = 16.1 s, 250 °C after 1080 s · ln(9137 / 8907) = 27.5 s.
    #[test]
    fn locked_from_cold_by_hand() {
        let mut s = WindingState::default();
        let hot = seconds_to(&mut s, balanced(50.6), false, CLASS_F_C).unwrap();
        assert!((hot - 16.1).abs() < 0.2, "{hot}");
        let mut s = WindingState::default();
        let fails = seconds_to(&mut s, balanced(50.6), false, FAILS_C).unwrap();
        assert!((fails - 27.5).abs() < 0.3, "{fails}");
        assert_eq!(s.failed, Some(0));
    }

    /// At rated current the rise is that of class B, 80 K, and no limit is ever passed.
    #[test]
    fn rated_current_is_borne_for_ever() {
        let mut s = WindingState::default();
        assert_eq!(seconds_to(&mut s, balanced(8.2), true, 101.0), None);
        assert!((s.rise[0] - 80.0).abs() < 0.1 && s.failed.is_none(), "{:?}", s.rise);
    }

    /// One line open, I into U and out of V: |I1| = |I2| = I/√3, so both windings are heated by I²(1 + 2/3), the third
    /// by I²·2/3 from the rotor. At 1.14 times (half load) the rise goes to 80 K · 1.14² · 5/3 = 173 K: above class F for
    /// good, which a relay without sensitivity to phase loss never ends, and short of failing.
    #[test]
    fn single_phasing_at_half_load_ages_the_windings() {
        let mut s = WindingState::default();
        let i = Complex::real(1.14 * 8.2);
        let fed = [i, -i, Complex::ZERO];
        let hot = seconds_to(&mut s, fed, true, CLASS_F_C).unwrap();
        let from = (hot * 10.0) as u64 + 1;
        for k in from..from + 100_000 {
            s.heat_step(8.2, true, k * HEAT_STEP_MS);
        }
        assert!((s.rise[0] - 173.3).abs() < 0.5 && (s.rise[1] - s.rise[0]).abs() < 1e-9, "{:?}", s.rise);
        assert!((s.rise[2] - 69.3).abs() < 0.5 && s.failed.is_none());
    }

    /// Standing still, it cools three times as slowly: to 1/e after 1080 s.
    #[test]
    fn a_standing_motor_cools_slowly() {
        let mut s = WindingState { rise: [100.0; 3], ..WindingState::default() };
        let cool = (1..20_000u64).find(|k| {
            s.heat_step(8.2, false, k * HEAT_STEP_MS);
            s.rise[0] <= 36.788
        });
        assert!((cool.unwrap() as f64 / 10.0 - 1080.0).abs() < 1.0, "{cool:?}");
    }
}
