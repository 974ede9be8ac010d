//! How fast the bench runs against the wall clock.

/// Speed of bench time against wall time, in tenths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Speed(pub u32);

impl Speed {
    /// The speeds that can be chosen, slowest first.
    pub const ALL: [Speed; 5] = [Speed(1), Speed(10), Speed(100), Speed(600), Speed(10_000)];
    /// Real time.
    pub const REAL: Speed = Speed(10);

    /// The speed as a person writes it, such as `0.1`.
    pub fn factor(self) -> String {
        if self.0.is_multiple_of(10) {
            (self.0 / 10).to_string()
        } else {
            format!("{}.{}", self.0 / 10, self.0 % 10)
        }
    }
}

/// Time keeping: the speed asked for and the one reached.
#[derive(Clone, Debug, PartialEq)]
pub struct Pace {
    /// Speed asked for.
    pub speed: Speed,
    /// The bench stands still.
    pub paused: bool,
    /// It was fast and came down to real time by itself, as nothing was left to change.
    pub came_to_rest: bool,
    /// Speed reached lately, in hundredths.
    pub reached_x100: u32,
    /// Bench time owed, in hundredths of a tick.
    owed_x100: u64,
    window_wall_ms: f64,
    window_ticks: u64,
}

impl Default for Pace {
    fn default() -> Self {
        Pace {
            speed: Speed::REAL,
            paused: false,
            came_to_rest: false,
            reached_x100: 0,
            owed_x100: 0,
            window_wall_ms: 0.0,
            window_ticks: 0,
        }
    }
}

/// Wall time over which the speed reached is taken, ms.
const WINDOW_MS: f64 = 500.0;

/// Longest stretch of wall time that one frame makes up for, ms. A page that was hidden does not catch up.
pub const LONGEST_FRAME_MS: f64 = 100.0;

impl Pace {
    /// Runs at a speed that was asked for.
    pub fn run_at(&mut self, speed: Speed) {
        (self.speed, self.paused, self.came_to_rest) = (speed, false, false);
    }

    /// Time runs faster than real.
    pub fn fast(&self) -> bool {
        !self.paused && self.speed.0 > Speed::REAL.0
    }

    /// Comes down to real time, as nothing is left to change.
    pub fn come_to_rest(&mut self) {
        (self.speed, self.came_to_rest) = (Speed::REAL, true);
    }

    /// Ticks that are due after so much wall time.
    pub fn due(&mut self, wall_ms: f64) -> u64 {
        if self.paused {
            self.owed_x100 = 0;
            return 0;
        }
        let wall_ms = wall_ms.clamp(0.0, LONGEST_FRAME_MS);
        self.owed_x100 += (wall_ms * f64::from(self.speed.0) * 10.0) as u64;
        self.owed_x100 / 100
    }

    /// Books the ticks that were run in a frame, and the wall time of the frame. Bench time that could not be computed
    /// in time is forgone, so that a slow machine runs slower and not later and later.
    pub fn book(&mut self, ticks: u64, wall_ms: f64) {
        let due = self.owed_x100 / 100;
        self.owed_x100 = if ticks < due { 0 } else { self.owed_x100 - (due * 100).min(self.owed_x100) };
        self.window_ticks += ticks;
        self.window_wall_ms += wall_ms.clamp(0.0, LONGEST_FRAME_MS);
        if self.window_wall_ms >= WINDOW_MS {
            self.reached_x100 = (self.window_ticks as f64 * 100.0 / self.window_wall_ms).round() as u32;
            self.window_ticks = 0;
            self.window_wall_ms = 0.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slow_motion_keeps_the_fractions() {
        let mut pace = Pace { speed: Speed(1), ..Pace::default() };
        let mut ticks = 0;
        for _ in 0..100 {
            let due = pace.due(16.0);
            pace.book(due, 16.0);
            ticks += due;
        }
        assert_eq!(ticks, 160, "1600 ms of wall time at a tenth");
        assert_eq!(pace.reached_x100, 10);
    }

    #[test]
    fn a_hidden_page_does_not_catch_up() {
        let mut pace = Pace::default();
        assert_eq!(pace.due(60_000.0), 100);
    }

    #[test]
    fn what_could_not_be_computed_is_forgone() {
        let mut pace = Pace { speed: Speed(10_000), ..Pace::default() };
        assert_eq!(pace.due(16.0), 16_000);
        pace.book(4_000, 16.0);
        assert_eq!(pace.due(0.0), 0);
    }

    #[test]
    fn paused_means_nothing_is_due() {
        let mut pace = Pace { paused: true, ..Pace::default() };
        assert_eq!(pace.due(50.0), 0);
        assert_eq!(Speed(1).factor(), "0.1");
        assert_eq!(Speed(10_000).factor(), "1000");
    }
}
