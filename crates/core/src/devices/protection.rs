//! What opens by itself: fuse links, miniature breakers and motor-protective breakers.
//!
//! Slow part: heat of a pole, `dθ/dt = ((I/In)² − θ)/τ`, opens at θ ≥ K. Fast part: a fuse link melts when the
//! integral of I² reaches its melting value; a breaker opens when the current reaches its magnetic limit. A
//! motor-protective breaker takes the heat of its three poles together, as an overload relay of class 10 does.

use super::overload::{RESET_HEAT, TRIP_HEAT, highest, sensitive_deflection, time_constant_s};
use crate::part::{Protection, TripClass};

/// Multiples of rated current above which the fast part counts. Above 6.25, where the gate of a 32 A gG link still
/// asks for 0.1 s, and below 9.4, where that of a 16 A link asks for melting within 0.1 s (IEC 60269-1).
const FAST_FROM: f64 = 7.0;

/// Heat at which a gG link opens, 1.55²: between the conventional non-fusing and fusing currents, 1.25 (below 16 A: 1.5)
/// and 1.6 (below 16 A: 1.9 or more) times rated current (IEC 60269-1; below 16 A IEC 60269-2).
const GG_OPENS_AT: f64 = 2.4;

/// Time constant of a gG link, s: fitted to its gates at 5 s and 10 s.
const GG_TAU_S: f64 = 30.0;

/// Melting integral of a gG link in parts of In², s: inside the limits of IEC 60269-1, such as 1000 to 3000 A²s at 25 A.
const GG_MELTING_S: f64 = 2.8;

/// Magnetic release of a motor-protective breaker in multiples of the highest value of its dial (typical, ± 20 %).
const MOTOR_MAGNETIC: f64 = 13.0;

/// Heat and fast integral of the poles of one device.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct PoleHeat {
    /// Heat of the slow part; 1 is the equilibrium at rated current.
    pub heat: f64,
    /// Integral of I² of the present surge, A²s.
    pub surge: f64,
}

/// Figures of a protective element, computed once a design.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    rated: f64,
    opens_at: f64,
    tau_s: f64,
    /// Melting integral, A²s, or none for a breaker.
    melting: Option<f64>,
    /// Magnetic limit, A.
    magnetic: Option<f64>,
}

/// The figures of a protection; none for a plain switch.
pub fn curve(p: Protection) -> Option<Curve> {
    let amperes = |ma: u32| f64::from(ma) / 1000.0;
    match p {
        Protection::None => None,
        Protection::FuseGg { rated_ma } => {
            let rated = amperes(rated_ma);
            Some(Curve {
                rated,
                opens_at: GG_OPENS_AT,
                tau_s: GG_TAU_S,
                melting: Some(GG_MELTING_S * rated * rated),
                magnetic: None,
            })
        }
        // IEC 60127 characteristic F: opens at 2.1 In, at 10 In within 20 ms; typical.
        Protection::FuseFast { rated_ma } => {
            let rated = amperes(rated_ma);
            Some(Curve {
                rated,
                opens_at: 3.61,
                tau_s: 0.5,
                melting: Some(0.5 * rated * rated),
                magnetic: None,
            })
        }
        // IEC 60898-1: no trip at 1.13 In, trip at 1.45 In, at 2.55 In between 1 s and 60 s.
        Protection::Breaker { rated_ma, magnetic } => {
            let rated = amperes(rated_ma);
            Some(Curve {
                rated,
                opens_at: 1.69,
                tau_s: 60.0,
                melting: None,
                magnetic: Some(rated * f64::from(magnetic)),
            })
        }
        // No pole opens by its own heat: [`opens_together`] looks at all of them.
        Protection::Motor { dial_ma, dial_max_ma, .. } => Some(Curve {
            rated: amperes(dial_ma),
            opens_at: f64::INFINITY,
            tau_s: time_constant_s(TripClass::C10),
            melting: None,
            magnetic: Some(MOTOR_MAGNETIC * amperes(dial_max_ma)),
        }),
    }
}

/// Whether the poles together are hot enough for the device to open: a motor-protective breaker.
pub fn opens_together(p: Protection, poles: [PoleHeat; 3]) -> bool {
    matches!(p, Protection::Motor { .. }) && sensitive_deflection(poles.map(|pole| pole.heat)) >= TRIP_HEAT
}

/// Whether the latch of the device holds when it is closed: a motor-protective breaker has to cool down first.
pub fn closes(p: Protection, poles: [PoleHeat; 3]) -> bool {
    !matches!(p, Protection::Motor { .. }) || highest(poles.map(|pole| pole.heat)) <= RESET_HEAT
}

impl Curve {
    /// Lowest current at which the fast part is at work, A.
    pub fn surge_from(&self) -> f64 {
        let fast = FAST_FROM * self.rated;
        self.magnetic.filter(|&limit| limit < fast).unwrap_or(fast)
    }

    /// Whether the fast part is at work at this current, A: every tick then matters.
    pub fn surging(&self, amperes: f64) -> bool {
        amperes > FAST_FROM * self.rated || self.magnetic.is_some_and(|limit| amperes >= limit)
    }
}

impl Curve {
    /// Melting integral, A²s; none for a breaker.
    pub fn melting(&self) -> Option<f64> {
        self.melting
    }
}

impl PoleHeat {
    /// One tick of the fast part. Returns whether the pole opens.
    pub fn fast_tick(&mut self, c: &Curve, amperes: f64) -> bool {
        if c.magnetic.is_some_and(|limit| amperes >= limit) {
            return true;
        }
        if amperes > FAST_FROM * c.rated {
            self.surge += amperes * amperes * 0.001;
        } else {
            self.surge = 0.0;
        }
        c.melting.is_some_and(|m| self.surge >= m)
    }

    /// One step of the slow part over `step_s` seconds. Returns whether the pole opens.
    pub fn slow_step(&mut self, c: &Curve, amperes: f64, step_s: f64) -> bool {
        let i = amperes / c.rated;
        let part = step_s / c.tau_s;
        self.heat += (i * i - self.heat) * if part < 1.0 { part } else { 1.0 };
        self.heat >= c.opens_at
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn opens_after_ms(p: Protection, amperes: f64, limit_ms: u32) -> Option<u32> {
        let mut h = PoleHeat::default();
        let c = curve(p)?;
        (1..=limit_ms).find(|ms| h.fast_tick(&c, amperes) || ms % 100 == 0 && h.slow_step(&c, amperes, 0.1))
    }

    /// Gates for gG links: In, least current at 10 s, most at 5 s, least and most at 0.1 s, A. IEC 60269-1 from 16 A on;
    /// below 16 A IEC 60269-2. "Least": does not melt within the time; "most": melts within it.
    const GATES: [(u32, f64, f64, f64, f64); 7] = [
        (4, 7.8, 18.5, 14.0, 47.0),
        (6, 11.0, 28.0, 26.0, 72.0),
        (10, 22.0, 46.5, 58.0, 111.0),
        (16, 33.0, 65.0, 85.0, 150.0),
        (20, 42.0, 85.0, 110.0, 200.0),
        (25, 52.0, 110.0, 150.0, 260.0),
        (32, 75.0, 150.0, 200.0, 350.0),
    ];

    /// An hour is the conventional time up to 63 A.
    const HOUR_MS: u32 = 3_600_000;

    #[test]
    fn gates_of_the_gg_links() {
        for (rated, least_10_s, most_5_s, least_100_ms, most_100_ms) in GATES {
            let link = Protection::FuseGg { rated_ma: rated * 1000 };
            let after = |amperes, limit_ms| opens_after_ms(link, amperes, limit_ms);
            assert_eq!(after(least_10_s, 10_000), None, "{rated} A");
            assert!(after(most_5_s, 5_000).is_some(), "{rated} A");
            assert_eq!(after(least_100_ms, 100), None, "{rated} A");
            assert!(after(most_100_ms, 100).is_some(), "{rated} A");
            // Conventional currents: 1.25 In and 1.6 In; below 16 A 1.5 In, and 1.9 In (4 A and less: 2.1 In).
            let (holds, melts) = if rated < 16 { (1.5, 2.1) } else { (1.25, 1.6) };
            assert_eq!(after(f64::from(rated) * holds, HOUR_MS), None, "{rated} A");
            assert!(after(f64::from(rated) * melts, HOUR_MS).is_some(), "{rated} A");
        }
    }

    /// Why a 16 A link would not do for a locked rotor of 50.6 A, which an overload of class 10 breaks after 9.0 s.
    #[test]
    fn a_smaller_link_goes_before_the_overload() {
        assert!(opens_after_ms(Protection::FuseGg { rated_ma: 16_000 }, 50.6, 9_000).is_some());
        assert_eq!(opens_after_ms(Protection::FuseGg { rated_ma: 25_000 }, 50.6, 9_000), None);
    }

    /// IEC 60898-1: 1.13 In holds, 1.45 In opens within an hour, 2.55 In between 1 s and 60 s. The instantaneous range of
    /// B is 3 to 5, of C 5 to 10, of D 10 to 20 times In: not within 0.1 s at its lower end, within it at its upper.
    #[test]
    fn breaker_curves() {
        for (lower, upper) in [(3.0, 5), (5.0, 10), (10.0, 20)] {
            let p = Protection::Breaker { rated_ma: 500, magnetic: upper };
            let after = |multiple: f64, limit_ms| opens_after_ms(p, 0.5 * multiple, limit_ms);
            assert_eq!(after(1.13, HOUR_MS), None);
            assert!(after(1.45, HOUR_MS).is_some());
            assert!(after(2.55, 60_000).unwrap() > 1_000);
            assert_eq!(after(lower, 100), None, "{lower}");
            assert!(after(f64::from(upper), 100).unwrap() < 100, "{upper}");
        }
    }

    fn motor_breaker_opens_after_s(amperes: [f64; 3], heat: f64) -> Option<f64> {
        let p = Protection::Motor { dial_ma: 8_200, dial_min_ma: 6_300, dial_max_ma: 10_000 };
        let c = curve(p)?;
        let mut poles = [PoleHeat { heat, surge: 0.0 }; 3];
        (1..=72_000u32)
            .find(|_| {
                for (pole, &a) in poles.iter_mut().zip(&amperes) {
                    assert!(!pole.slow_step(&c, a, 0.1), "no pole opens alone");
                }
                opens_together(p, poles)
            })
            .map(|step| f64::from(step) / 10.0)
    }

    /// The limits of IEC 60947-4-1 for class 10 as of an overload relay, phase loss included; by hand
    /// 270 s · ln(51.84 / (51.84 − 1.2544)) = 6.61 s at 7.2 times the dial.
    #[test]
    fn motor_breaker_is_of_class_10() {
        let after = |multiples: [f64; 3], heat| motor_breaker_opens_after_s(multiples.map(|m| m * 8.2), heat);
        assert_eq!(after([1.05; 3], 0.0), None);
        assert!(after([1.2; 3], 1.05 * 1.05).is_some());
        assert!(after([1.5; 3], 1.0).unwrap() < 240.0);
        assert!((after([7.2; 3], 0.0).unwrap() - 6.61).abs() <= 0.11);
        assert_eq!(after([1.0, 1.0, 0.9], 0.0), None);
        assert!(after([1.15, 1.15, 0.0], 1.0).is_some());
    }

    /// 13 times the 10 A at the end of its dial, at once; it does not hold when it is closed hot.
    #[test]
    fn motor_breaker_opens_magnetically_and_closes_cold() {
        let p = Protection::Motor { dial_ma: 8_200, dial_min_ma: 6_300, dial_max_ma: 10_000 };
        let (mut pole, c) = (PoleHeat::default(), curve(p).unwrap());
        assert!(!pole.fast_tick(&c, 129.0) && pole.fast_tick(&c, 130.0));
        let at = |heat| [PoleHeat { heat, surge: 0.0 }; 3];
        assert!(!closes(p, at(0.81)) && closes(p, at(0.8)));
        assert!(closes(Protection::Breaker { rated_ma: 500, magnetic: 10 }, at(1.6)));
    }
}
