//! The thermal overload: heat of three poles, the trip latch, the reset.
//!
//! Per pole `dθ/dt = (i² − θ)/τ` with `i` in multiples of the dial; trip at `S ≥ K`. One time constant a class meets
//! the trip times of IEC 60947-4-1 (1.05, 1.2, 1.5 and 7.2 times the dial). Heat is stepped each 100 ms with the mean
//! of i² over its ticks, so a trip comes up to 100 ms late.

use crate::part::{Overload, Reset, TripClass};

/// Ticks between two steps of heat.
pub const HEAT_STEP_MS: u64 = 100;

/// Trip threshold K = 1.12²: between 1.05 (no trip in two hours) and 1.2 (trip within two hours).
pub const TRIP_HEAT: f64 = 1.2544;

/// Highest heat of a pole at which the reset takes, as the bimetal has bent back (typical).
pub const RESET_HEAT: f64 = 0.8;

/// Part of the difference between hottest and coldest pole that a phase-loss sensitive relay adds.
pub const DIFFERENCE_PART: f64 = 0.15;

/// Drift of a relay that is not compensated, in parts of the current for each kelvin from 20 °C (typical; IEC 60947-4-1
/// allows such relays up to 0.012).
const DRIFT_PER_K: f64 = 0.005;

/// Time constant of a class, s: fitted to the class limits at 7.2 times the dial, cold.
pub fn time_constant_s(class: TripClass) -> f64 {
    match class {
        TripClass::C5 => 130.0,
        TripClass::C10A => 200.0,
        TripClass::C10 => 270.0,
        TripClass::C20 => 540.0,
        TripClass::C30 => 835.0,
    }
}

/// State of one overload relay.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct OverloadState {
    /// The latch: 95-96 open, 97-98 closed.
    pub tripped: bool,
    /// The red stop actuator is held: 95-96 open while it is.
    pub stop_held: bool,
    /// The reset is held in. It has acted when it was pushed; held, it neither keeps the relay from tripping (trip-free)
    /// nor sets the latch back.
    pub reset_held: bool,
    /// Heat of each pole; 1 is the equilibrium at the dial.
    pub heat: [f64; 3],
    /// i² of each pole now, A².
    pub square: [f64; 3],
    /// Sum of i² over the ticks since the last step of heat, up to `since`.
    pub sum: [f64; 3],
    /// Tick up to which `sum` has been taken.
    pub since: u64,
}

/// `max` of three without the platform's own `max`, whose treatment of −0 differs between targets.
pub(super) fn highest(v: [f64; 3]) -> f64 {
    let m = if v[0] > v[1] { v[0] } else { v[1] };
    if m > v[2] { m } else { v[2] }
}

fn lowest(v: [f64; 3]) -> f64 {
    let m = if v[0] < v[1] { v[0] } else { v[1] };
    if m < v[2] { m } else { v[2] }
}

/// Deflection of a mechanism that is sensitive to the loss of a phase, for the heat of its three poles.
pub(super) fn sensitive_deflection(heat: [f64; 3]) -> f64 {
    highest(heat) + DIFFERENCE_PART * (highest(heat) - lowest(heat))
}

/// Current that the bimetals feel, in parts of the one that flows.
pub fn felt(data: &Overload) -> f64 {
    data.uncompensated_at_c.map_or(1.0, |celsius| 1.0 + DRIFT_PER_K * (f64::from(celsius) - 20.0))
}

impl OverloadState {
    /// Deflection of the mechanism for this heat; the relay trips at [`TRIP_HEAT`].
    pub fn deflection(&self, data: &Overload) -> f64 {
        if data.phase_loss_sensitive {
            sensitive_deflection(self.heat)
        } else {
            0.3 * highest(self.heat) + 0.7 * ((self.heat[0] + self.heat[1] + self.heat[2]) / 3.0)
        }
    }

    /// Takes new currents from this tick on: `square` is i² of each pole, A².
    pub fn set_square(&mut self, square: [f64; 3], tick: u64) {
        if square != self.square {
            self.take_sum(tick);
            self.square = square;
        }
    }

    /// Takes a new current of one pole from this tick on: `square` is i², A².
    pub fn set_pole(&mut self, pole: usize, square: f64, tick: u64) {
        if square != self.square[pole] {
            self.take_sum(tick);
            self.square[pole] = square;
        }
    }

    fn take_sum(&mut self, tick: u64) {
        let ticks = tick.saturating_sub(self.since) as f64;
        for (sum, square) in self.sum.iter_mut().zip(self.square) {
            *sum += square * ticks;
        }
        self.since = tick;
    }

    /// One step of heat at a tick divisible by [`HEAT_STEP_MS`]. Returns whether the relay trips by it.
    pub fn heat_step(&mut self, data: &Overload, tick: u64) -> bool {
        self.take_sum(tick);
        let dial = f64::from(data.dial_ma) / 1000.0 / felt(data);
        let part = HEAT_STEP_MS as f64 / 1000.0 / time_constant_s(data.class);
        for (heat, sum) in self.heat.iter_mut().zip(&mut self.sum) {
            let i2 = *sum / HEAT_STEP_MS as f64 / (dial * dial);
            *heat += (i2 - *heat) * part;
            *sum = 0.0;
        }
        let trips = !self.tripped && self.deflection(data) >= TRIP_HEAT;
        self.tripped |= trips;
        trips
    }

    /// Whether pushing the reset would take: cooled down, whatever the latch is.
    pub fn cool(&self) -> bool {
        highest(self.heat) <= RESET_HEAT
    }

    /// Sets the latch back by itself where the relay is made so and has cooled. Returns whether it did.
    pub fn automatic_reset(&mut self, data: &Overload) -> bool {
        let resets = self.tripped && data.reset == Reset::Automatic && self.cool();
        self.tripped &= !resets;
        resets
    }

    /// The reset is pushed. Returns whether the latch is in now: a hot relay keeps it out.
    pub fn push_reset(&mut self) -> bool {
        self.tripped &= !self.cool();
        !self.tripped
    }

    /// 95-96 is closed.
    pub fn break_shut(&self) -> bool {
        !self.tripped && !self.stop_held
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn relay(class: TripClass, sensitive: bool) -> Overload {
        Overload {
            class,
            dial_ma: 8200,
            dial_min_ma: 7000,
            dial_max_ma: 10000,
            phase_loss_sensitive: sensitive,
            reset: Reset::Manual,
            uncompensated_at_c: None,
        }
    }

    /// Seconds to trip with these multiples of the dial, from this heat; `None` when not within two hours.
    fn trip_s(data: &Overload, multiple: [f64; 3], heat: f64) -> Option<f64> {
        let mut s = OverloadState { heat: [heat; 3], ..OverloadState::default() };
        s.set_square(multiple.map(|m| m * m * 8.2 * 8.2), 0);
        (1..=72_000u64).find(|k| s.heat_step(data, k * HEAT_STEP_MS)).map(|k| k as f64 / 10.0)
    }

    /// IEC 60947-4-1: conditions A to D for three poles, compensated, by class (limits of the standard).
    #[test]
    fn trip_times_are_within_the_class_limits() {
        let classes = [
            (TripClass::C5, 0.5, 5.0, 120.0),
            (TripClass::C10A, 2.0, 10.0, 120.0),
            (TripClass::C10, 4.0, 10.0, 240.0),
            (TripClass::C20, 6.0, 20.0, 480.0),
            (TripClass::C30, 9.0, 30.0, 720.0),
        ];
        for (class, least, most, most_hot) in classes {
            let data = relay(class, true);
            assert_eq!(trip_s(&data, [1.05; 3], 0.0), None, "A {class:?}");
            assert!(trip_s(&data, [1.2; 3], 1.05 * 1.05).is_some(), "B {class:?}");
            let hot = trip_s(&data, [1.5; 3], 1.0).unwrap();
            assert!(hot < most_hot, "C {class:?} {hot}");
            let cold = trip_s(&data, [7.2; 3], 0.0).unwrap();
            assert!(least < cold && cold <= most, "D {class:?} {cold}");
        }
    }

    /// Hand calculation, class 10: 270 s · ln(51.84 / (51.84 − 1.2544)) = 6.61 s at 7.2 times; 61.4 s at 1.5 hot.
    #[test]
    fn class_10_by_hand() {
        let data = relay(TripClass::C10, true);
        assert!((trip_s(&data, [7.2; 3], 0.0).unwrap() - 6.61).abs() <= 0.11);
        assert!((trip_s(&data, [1.5; 3], 1.0).unwrap() - 61.4).abs() <= 0.2);
    }

    /// IEC 60947-4-1 phase loss: a sensitive relay holds at 1.0/1.0/0.9 and trips at 1.15/1.15/0; a plain one trips
    /// at 1.32/1.32/0.
    #[test]
    fn phase_loss() {
        assert_eq!(trip_s(&relay(TripClass::C10, true), [1.0, 1.0, 0.9], 0.0), None);
        assert!(trip_s(&relay(TripClass::C10, true), [1.15, 1.15, 0.0], 1.0).is_some());
        assert!(trip_s(&relay(TripClass::C10, false), [1.32, 1.32, 0.0], 1.0).is_some());
        assert_eq!(trip_s(&relay(TripClass::C10, false), [1.0; 3], 1.0), None);
    }

    /// Cooling from the trip to the reset, by hand: 270 s · ln(1.2544 / 0.8) = 121 s.
    #[test]
    fn cooling_takes_two_minutes() {
        let data = relay(TripClass::C10, true);
        let mut s = OverloadState { heat: [TRIP_HEAT; 3], tripped: true, ..OverloadState::default() };
        let steps = (1..10_000u64)
            .find(|k| {
                s.heat_step(&data, k * HEAT_STEP_MS);
                s.cool()
            })
            .unwrap();
        assert!((steps as f64 / 10.0 - 121.4).abs() < 0.3, "{steps}");
    }
    /// Automatic reset: with the command gone it closes 95-96 by itself after those 121 s, a manual one never does.
    #[test]
    fn automatic_reset_after_cooling() {
        let mut data = relay(TripClass::C10, true);
        let hot = OverloadState { heat: [TRIP_HEAT; 3], tripped: true, ..OverloadState::default() };
        let resets_after = |data: &Overload| {
            let mut s = hot;
            (1..10_000u64).find(|k| {
                s.heat_step(data, k * HEAT_STEP_MS);
                s.automatic_reset(data)
            })
        };
        assert_eq!(resets_after(&data), None);
        data.reset = Reset::Automatic;
        let steps = resets_after(&data).unwrap();
        assert!((steps as f64 / 10.0 - 121.4).abs() < 0.3, "{steps}");
    }

    /// IEC 60947-4-1, trip-free: a reset that is held in does not keep the relay from tripping, and a push takes only
    /// when it is cool.
    #[test]
    fn trip_free() {
        let data = relay(TripClass::C10, true);
        let mut s = OverloadState { reset_held: true, heat: [1.25; 3], ..OverloadState::default() };
        s.set_square([51.84 * 8.2 * 8.2; 3], 0);
        assert!(s.heat_step(&data, HEAT_STEP_MS) && s.tripped && !s.break_shut());
        assert!(!s.push_reset() && s.tripped);
        s.heat = [RESET_HEAT; 3];
        assert!(s.push_reset() && s.break_shut());
    }

    /// By hand: at 40 °C an uncompensated relay feels 1 + 0.005 · 20 = 1.1 times the current, so that 1.05 times the dial
    /// is felt as 1.155, above √1.2544 = 1.12, and trips; at −5 °C 1.2 is felt as 1.05 and holds. A compensated one does
    /// as at 20 °C.
    #[test]
    fn ambient_temperature() {
        let at = |celsius| Overload { uncompensated_at_c: Some(celsius), ..relay(TripClass::C10, true) };
        assert!(trip_s(&at(40), [1.05; 3], 0.0).is_some());
        assert_eq!(trip_s(&at(-5), [1.2; 3], 1.0), None);
        assert_eq!(trip_s(&at(20), [1.05; 3], 0.0), None);
        assert!(trip_s(&at(20), [1.2; 3], 1.0).is_some());
    }
}
