//! When an overload will trip, or will have cooled enough for its reset, by the closed form of its law.
//!
//! With steady currents the heat of a pole follows `θ(t) = i² + (θ₀ − i²)·e^(−t/τ)`, so that it reaches K after
//! `t = τ·ln((i² − θ₀)/(i² − K))`. The deflection is the highest of a few sums of such heats, each of them again of
//! that form: the first that reaches K trips. Only read, never stepped: nothing here changes a trace. A relay that is
//! stepped trips up to one step of heat later.

use super::overload::{DIFFERENCE_PART, OverloadState, RESET_HEAT, TRIP_HEAT, felt, time_constant_s};
use crate::part::{Overload, TripClass};

/// Limits of a class in seconds, three poles, from IEC 60947-4-1, table of limits of operation of time-delay overload
/// relays when energized on all poles: conditions B, C, D.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassLimits {
    /// At 7.2 times the dial from cold it does not trip before.
    pub cold_least_s: f64,
    /// At 7.2 times the dial from cold it has tripped by then.
    pub cold_most_s: f64,
    /// At 1.5 times the dial from equilibrium at the dial it has tripped by then.
    pub hot_most_s: f64,
    /// At 1.2 times the dial, after equilibrium at 1.05, it has tripped by then.
    pub warm_most_s: f64,
}

/// The limits of a class.
pub fn class_limits(class: TripClass) -> ClassLimits {
    let (cold_least_s, cold_most_s, hot_most_s) = match class {
        TripClass::C5 => (0.5, 5.0, 120.0),
        TripClass::C10A => (2.0, 10.0, 120.0),
        TripClass::C10 => (4.0, 10.0, 240.0),
        TripClass::C20 => (6.0, 20.0, 480.0),
        TripClass::C30 => (9.0, 30.0, 720.0),
    };
    ClassLimits { cold_least_s, cold_most_s, hot_most_s, warm_most_s: 7200.0 }
}

/// Seconds until the relay trips with these steady currents of its poles, in multiples of the dial, from this heat of
/// its poles. `None` when it never does; 0 when the heat is there already.
pub fn time_to_trip_s(data: &Overload, heat: [f64; 3], multiple: [f64; 3]) -> Option<f64> {
    let end = multiple.map(|m| m * m);
    let tau = time_constant_s(data.class);
    // Every part of the deflection, at the start and at the end: the highest of them is the deflection.
    let mut first: Option<f64> = None;
    let mut take = |start: f64, end: f64| {
        if let Some(t) = time_to_reach_s(start, end, TRIP_HEAT, tau)
            && first.is_none_or(|least| t < least)
        {
            first = Some(t);
        }
    };
    let mean = |v: [f64; 3]| (v[0] + v[1] + v[2]) / 3.0;
    for a in 0..3 {
        if !data.phase_loss_sensitive {
            take(0.3 * heat[a] + 0.7 * mean(heat), 0.3 * end[a] + 0.7 * mean(end));
            continue;
        }
        for b in 0..3 {
            let sum = |v: [f64; 3]| v[a] + DIFFERENCE_PART * (v[a] - v[b]);
            take(sum(heat), sum(end));
        }
    }
    first
}

/// Seconds until the reset takes with these steady currents (multiples of the dial), from this heat: until every pole
/// is down to [`RESET_HEAT`]. `None` when that never comes.
pub fn time_to_cool_s(class: TripClass, heat: [f64; 3], multiple: [f64; 3]) -> Option<f64> {
    let tau = time_constant_s(class);
    let mut last = 0.0;
    for (theta, m) in heat.into_iter().zip(multiple) {
        if theta <= RESET_HEAT {
            continue;
        }
        let end = m * m;
        if end >= RESET_HEAT {
            return None;
        }
        let t = tau * ln((theta - end) / (RESET_HEAT - end));
        if t > last {
            last = t;
        }
    }
    Some(last)
}

/// Seconds until a value that goes from `start` to `end` with the time constant `tau` has risen to `level`.
fn time_to_reach_s(start: f64, end: f64, level: f64, tau: f64) -> Option<f64> {
    if start >= level {
        Some(0.0)
    } else if end > level {
        Some(tau * ln((end - start) / (end - level)))
    } else {
        None
    }
}

/// Natural logarithm of a positive, finite number, to the last few bits and the same on every target:
/// `x = m·2ᵏ` with m around 1, `ln m = 2·artanh((m − 1)/(m + 1))` by its series.
fn ln(x: f64) -> f64 {
    let (mut m, mut k) = (x, 0.0);
    while m > std::f64::consts::SQRT_2 {
        m *= 0.5;
        k += 1.0;
    }
    while m < std::f64::consts::FRAC_1_SQRT_2 {
        m *= 2.0;
        k -= 1.0;
    }
    let r = (m - 1.0) / (m + 1.0);
    let square = r * r;
    // r is at most 0.1716: what is left out, from r²⁴ on, is below 1e-19 of the sum.
    let mut sum = 0.0;
    for odd in (1..=12u32).rev() {
        sum = sum * square + 1.0 / f64::from(2 * odd - 1);
    }
    2.0 * r * sum + k * std::f64::consts::LN_2
}

impl OverloadState {
    /// Currents of the poles in multiples of the dial, as the bimetals feel them.
    pub fn multiples(&self, data: &Overload) -> [f64; 3] {
        let dial = f64::from(data.dial_ma) / 1000.0 / felt(data);
        self.square.map(|s| s.sqrt() / dial)
    }
}

#[cfg(test)]
mod tests {
    use super::super::overload::HEAT_STEP_MS;
    use super::*;

    fn relay(class: TripClass, sensitive: bool) -> Overload {
        Overload {
            class,
            dial_ma: 8200,
            dial_min_ma: 7000,
            dial_max_ma: 10_000,
            phase_loss_sensitive: sensitive,
            reset: Default::default(),
            uncompensated_at_c: None,
        }
    }

    /// Tables of logarithms, to 12 places.
    #[test]
    fn logarithms() {
        for (x, expected) in [
            (1.0, 0.0),
            (3.0, 1.098_612_288_668),
            (7.0, 1.945_910_149_055),
            (0.3, -1.203_972_804_326),
            (1.5, 0.405_465_108_108),
            (7200.0, 8.881_836_305_005),
            (1.0001, 0.000_099_995_000),
        ] {
            assert!((ln(x) - expected).abs() < 2e-12, "{x}: {}", ln(x));
        }
    }

    /// Hand calculation with τ of each class: at 7.2 and 6 times the dial cold, and at 1.5 from equilibrium at the dial.
    /// Class 10: 270 s · ln(51.84/50.5856) = 6.61 s; ln(36/34.7456)·270 = 9.58 s; ln(1.25/0.9956)·270 = 61.4 s.
    #[test]
    fn by_hand() {
        let table = [
            (TripClass::C5, 3.2, 4.6, 30.0),
            (TripClass::C10A, 4.9, 7.1, 46.0),
            (TripClass::C10, 6.6, 9.6, 61.0),
            (TripClass::C20, 13.2, 19.2, 123.0),
            (TripClass::C30, 20.5, 29.6, 190.0),
        ];
        for (class, at_7_2, at_6, hot) in table {
            let t = |heat: f64, m: f64| time_to_trip_s(&relay(class, true), [heat; 3], [m; 3]).unwrap();
            assert!((t(0.0, 7.2) - at_7_2).abs() < 0.06, "{class:?} {}", t(0.0, 7.2));
            assert!((t(0.0, 6.0) - at_6).abs() < 0.06, "{class:?} {}", t(0.0, 6.0));
            assert!((t(1.0, 1.5) - hot).abs() < 0.6, "{class:?} {}", t(1.0, 1.5));
            let limits = class_limits(class);
            assert!(limits.cold_least_s < t(0.0, 7.2) && t(0.0, 7.2) <= limits.cold_most_s);
            assert!(t(1.0, 1.5) < limits.hot_most_s && t(1.1025, 1.2) < limits.warm_most_s);
        }
        // 1.05² = 1.1025 stays below K = 1.2544.
        assert_eq!(time_to_trip_s(&relay(TripClass::C10, true), [0.0; 3], [1.05; 3]), None);
        assert_eq!(time_to_trip_s(&relay(TripClass::C10, true), [1.3; 3], [0.0; 3]), Some(0.0));
    }

    /// One line open at standstill, from cold, at 5.4 times the rated current of 8.17 A on a dial of 8.2 A, by hand:
    /// sensitive 270 s · ln(1.15·28.95/(1.15·28.95 − 1.2544)) = 10.4 s; plain, with 0.3 + 0.7·2/3 = 0.7667 of the
    /// heat, 270 s · ln(22.19/20.94) = 15.7 s.
    #[test]
    fn phase_loss_by_hand() {
        let m = 5.4 * 8.17 / 8.2;
        let t = |sensitive| time_to_trip_s(&relay(TripClass::C10, sensitive), [0.0; 3], [m, m, 0.0]).unwrap();
        assert!((t(true) - 10.4).abs() < 0.1, "{}", t(true));
        assert!((t(false) - 15.7).abs() < 0.1, "{}", t(false));
        // The hottest pole may change on the way: pole 3 cools while pole 1 takes over.
        let crossing = time_to_trip_s(&relay(TripClass::C10, true), [0.0, 0.0, 1.0], [2.0, 0.0, 0.0]);
        // 1.15·4 − 0.15·0 = 4.6 from 0: 270 s · ln(4.6/3.3456) = 86.0 s.
        assert!((crossing.unwrap() - 86.0).abs() < 0.1, "{crossing:?}");
    }

    /// 270 s · ln(1.2544/0.8) = 121.4 s without current; with 0.5 times the dial 270 s · ln(1.0044/0.55) = 162.6 s; with
    /// 0.9 times (0.81) never.
    #[test]
    fn cooling_by_hand() {
        let t = |m: f64| time_to_cool_s(TripClass::C10, [TRIP_HEAT; 3], [m; 3]);
        assert!((t(0.0).unwrap() - 121.4).abs() < 0.1);
        assert!((t(0.5).unwrap() - 162.6).abs() < 0.1);
        assert_eq!(t(0.9), None);
        assert_eq!(time_to_cool_s(TripClass::C10, [0.79; 3], [0.0; 3]), Some(0.0));
    }

    /// The stepped relay trips at the first step of heat from there on; by its straight steps of 0.1 s it runs ahead by
    /// t · 0.1 s / 2τ, here 1 ms.
    #[test]
    fn the_stepped_relay_trips_then() {
        let data = relay(TripClass::C10, true);
        let amperes = [50.6, 44.0, 3.0];
        let mut s = OverloadState { heat: [0.3, 0.5, 0.2], ..OverloadState::default() };
        s.set_square(amperes.map(|a| a * a), 0);
        let expected = time_to_trip_s(&data, s.heat, s.multiples(&data)).unwrap();
        let steps = (1..1000u64).find(|k| s.heat_step(&data, k * HEAT_STEP_MS)).unwrap();
        let late = steps as f64 / 10.0 - expected;
        assert!((-0.002..=0.1).contains(&late), "{expected} {late}");
    }
}
