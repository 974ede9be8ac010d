//! The spring-applied brake: its coil against pick-up and drop-out, and the time that spring and coil take.
//!
//! The spring holds; only voltage on the coil frees the shaft. So a hoist stays where it is when the supply fails, and
//! comes down when the brake is freed without the motor. Limits: the torque is there or not, and does not wear.

use crate::part::Brake;

/// Part of the rated coil voltage from which the brake releases (typical; it must at 0.9).
pub const PICK_UP: f64 = 0.75;

/// Part of the rated coil voltage below which the spring takes over (typical 0.3 to 0.5).
pub const DROP_OUT: f64 = 0.4;

/// State of one brake.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct BrakeState {
    /// The coil has voltage enough (with hysteresis between drop-out and pick-up).
    pub energised: bool,
    /// The shaft is free.
    pub released: bool,
    /// Ticks since `energised` began to differ from `released`.
    pub elapsed: u16,
    /// Whether spring or coil takes over in this tick, whatever time it has had: a choice of the environment. None: by its data.
    pub due: Option<bool>,
}

impl BrakeState {
    /// Takes the voltage at the coil in parts of its rated voltage. Returns whether that changes anything.
    pub fn read(&mut self, part: f64) -> bool {
        let energised = if part >= PICK_UP { true } else { self.energised && part >= DROP_OUT };
        let changed = energised != self.energised;
        self.energised = energised;
        changed
    }

    /// One tick. Returns whether the shaft is freed or held by it.
    pub fn step(&mut self, data: &Brake) -> bool {
        if self.at_rest() {
            self.elapsed = 0;
            return false;
        }
        self.elapsed = self.elapsed.saturating_add(1);
        let time = if self.energised { data.release_ms } else { data.apply_ms };
        if !self.due.unwrap_or(self.elapsed >= time) {
            return false;
        }
        self.released = self.energised;
        self.elapsed = 0;
        true
    }

    /// Nothing is about to change.
    pub fn at_rest(&self) -> bool {
        self.energised == self.released
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ticks(s: &mut BrakeState, data: &Brake, part: f64) -> Option<u32> {
        s.read(part);
        (1..=1000).find(|_| s.step(data))
    }

    /// The declared times, and hysteresis: released at 0.75, it holds down to 0.4 of the rated voltage.
    #[test]
    fn times_and_hysteresis() {
        let data = Brake {
            motor: "MA1".into(),
            coil_mv: 24_000,
            dc: true,
            power_mw: 40_000,
            torque_mnm: 60_000,
            release_ms: 80,
            apply_ms: 40,
        };
        let mut s = BrakeState::default();
        assert_eq!(ticks(&mut s, &data, 0.7), None);
        assert_eq!(ticks(&mut s, &data, 1.0), Some(80));
        assert!(s.released);
        assert_eq!(ticks(&mut s, &data, 0.45), None);
        assert_eq!(ticks(&mut s, &data, 0.0), Some(40));
        assert!(!s.released && s.at_rest());
    }

    /// A dip shorter than the time to apply is not seen at the shaft, and does not add up with the next.
    #[test]
    fn short_dips_pass() {
        let data = Brake { apply_ms: 40, ..data() };
        let mut s = BrakeState { energised: true, released: true, elapsed: 0, due: None };
        for _ in 0..5 {
            s.read(0.0);
            assert!((0..30).all(|_| !s.step(&data)));
            s.read(1.0);
            assert!(!s.step(&data));
        }
        assert!(s.released);
    }

    fn data() -> Brake {
        Brake {
            motor: "MA1".into(),
            coil_mv: 400_000,
            dc: false,
            power_mw: 50_000,
            torque_mnm: 60_000,
            release_ms: 80,
            apply_ms: 40,
        }
    }
}
