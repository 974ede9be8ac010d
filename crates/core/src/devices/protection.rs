//! What opens by itself: fuse links and miniature breakers.
//!
//! Slow part: heat of a pole, `dθ/dt = ((I/In)² − θ)/τ`, opens at θ ≥ K. Fast part: a fuse link melts when the
//! integral of I² reaches its melting value; a breaker opens when the current reaches its magnetic limit. Gates of a
//! 25 A gG link (IEC 60269-1): 52 A not within 10 s, 110 A within 5 s, 260 A within 0.1 s; see the tests.

use crate::part::Protection;

/// Multiples of rated current above which the fast part counts.
const FAST_FROM: f64 = 6.0;

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
        // Conventional fusing current 1.6 In; melting integral 2.8 s · In², inside the standard's 1000 to 3000 A²s
        // for 25 A; time constant typical.
        Protection::FuseGg { rated_ma } => {
            let rated = amperes(rated_ma);
            Some(Curve {
                rated,
                opens_at: 2.56,
                tau_s: 30.0,
                melting: Some(2.8 * rated * rated),
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
    }
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

    /// Gates of IEC 60269-1 for 25 A gG; and why a 16 A link would not do for a locked rotor of 50.6 A.
    #[test]
    fn gates_of_the_gg_link() {
        let gg = |a: u32| Protection::FuseGg { rated_ma: a * 1000 };
        assert_eq!(opens_after_ms(gg(25), 52.0, 10_000), None);
        assert!(opens_after_ms(gg(25), 110.0, 5_000).is_some());
        assert!(opens_after_ms(gg(25), 260.0, 100).is_some());
        assert!(opens_after_ms(gg(16), 50.6, 9_000).is_some());
        assert_eq!(opens_after_ms(gg(25), 25.0 * 1.25, 3_600_000), None);
    }

    /// IEC 60898-1: 1.13 In holds, 1.45 In opens within an hour, 2.55 In between 1 s and 60 s, magnetic at once.
    #[test]
    fn breaker_curve() {
        let c = Protection::Breaker { rated_ma: 500, magnetic: 10 };
        assert_eq!(opens_after_ms(c, 0.5 * 1.13, 3_600_000), None);
        assert!(opens_after_ms(c, 0.5 * 1.45, 3_600_000).is_some());
        let t = opens_after_ms(c, 0.5 * 2.55, 60_000).unwrap();
        assert!(t > 1000, "{t}");
        assert_eq!(opens_after_ms(c, 5.0, 10), Some(1));
    }
}
