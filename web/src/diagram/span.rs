//! The stretch of time that is in view, and its measure.

/// Lengths that can be chosen, ms.
pub const LENGTHS_MS: [u64; 5] = [300, 1_500, 5_000, 30_000, 120_000];

/// Shortest stretch that zooming goes down to, ms.
pub const SHORTEST_MS: u64 = 20;

/// A stretch of time on a line of a given width. It may begin before the first tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Tick at the right end.
    pub end: u64,
    /// Length, ms.
    pub length_ms: u64,
}

impl Span {
    /// First tick in view.
    pub fn from(self) -> u64 {
        self.end.saturating_sub(self.length_ms)
    }

    /// Where a tick lies, 0 at the left end and 1 at the right one.
    pub fn place(self, tick: u64) -> f64 {
        1.0 - (self.end as f64 - tick as f64) / self.length_ms as f64
    }

    /// The tick at a place, held in view and at 0 or later.
    pub fn tick(self, place: f64) -> u64 {
        let back = ((1.0 - place.clamp(0.0, 1.0)) * self.length_ms as f64).round() as u64;
        self.end.saturating_sub(back)
    }

    /// Ticks of the marks of the measure, at most ten, at round times.
    pub fn marks(self) -> Vec<u64> {
        let step = self.step_ms();
        let first = self.from().div_ceil(step) * step;
        (0..).map(|n| first + n * step).take_while(|tick| *tick <= self.end).collect()
    }

    /// Distance of the marks: 1, 2 or 5 times a power of ten, at least a tenth of the length.
    pub fn step_ms(self) -> u64 {
        let mut power = 1;
        loop {
            for factor in [1, 2, 5] {
                let step: u64 = factor * power;
                if step * 9 >= self.length_ms {
                    return step;
                }
            }
            power *= 10;
        }
    }
}

/// A bench time as seconds, with as many decimals as a step of the measure needs.
pub fn seconds(tick: u64, step_ms: u64) -> String {
    let decimals = match step_ms {
        0..=9 => 3,
        10..=99 => 2,
        100..=999 => 1,
        _ => 0,
    };
    let unit = 10u64.pow(3 - decimals);
    let rounded = (tick + unit / 2) / unit;
    let scale = 10u64.pow(decimals);
    match decimals {
        0 => rounded.to_string(),
        _ => format!("{}.{:0width$}", rounded / scale, rounded % scale, width = decimals as usize),
    }
}

/// A bench time with its unit: seconds below a minute, from there minutes and seconds, and hours before them, as in the
/// title block: `3.2 s`, `11:46`, `1:02:03.5`.
pub fn clock(tick: u64, step_ms: u64) -> String {
    if tick < 60_000 {
        return format!("{}\u{a0}s", seconds(tick, step_ms));
    }
    // Rounded first, so that a second that is full goes over to the minute.
    let unit = match step_ms {
        0..=9 => 1,
        10..=99 => 10,
        100..=999 => 100,
        _ => 1_000,
    };
    let tick = (tick + unit / 2) / unit * unit;
    let (minutes, rest) = (tick / 60_000, seconds(tick % 60_000, step_ms));
    let rest = if tick % 60_000 < 10_000 { format!("0{rest}") } else { rest };
    match minutes / 60 {
        0 => format!("{minutes}:{rest}"),
        hours => format!("{hours}:{:02}:{rest}", minutes % 60),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_and_ticks_are_inverse() {
        let span = Span { end: 10_000, length_ms: 1_500 };
        for tick in [8_500, 9_001, 10_000] {
            assert_eq!(span.tick(span.place(tick)), tick);
        }
        assert_eq!([span.tick(-3.0), span.tick(9.0)], [8_500, 10_000]);
        // At the beginning of the attempt the line begins before the first tick.
        let young = Span { end: 300, length_ms: 1_500 };
        assert_eq!((young.from(), young.place(0)), (0, 0.8));
        assert_eq!(young.tick(0.0), 0);
    }

    #[test]
    fn marks_are_round_and_few() {
        for length_ms in LENGTHS_MS.into_iter().chain([SHORTEST_MS, 77]) {
            let span = Span { end: 987_654, length_ms };
            let marks = span.marks();
            assert!((3..=10).contains(&marks.len()), "{length_ms}: {marks:?}");
            assert!(marks.iter().all(|tick| tick % span.step_ms() == 0 && *tick >= span.from()));
        }
        assert_eq!(Span { end: 0, length_ms: 1_500 }.step_ms(), 200);
        assert_eq!(Span { end: 0, length_ms: 30_000 }.step_ms(), 5_000);
    }

    #[test]
    fn times_have_the_decimals_that_tell_them_apart() {
        assert_eq!(seconds(64_215, 1), "64.215");
        assert_eq!(seconds(64_200, 200), "64.2");
        assert_eq!(seconds(64_000, 5_000), "64");
        assert_eq!(seconds(999, 100), "1.0");
    }

    #[test]
    fn from_a_minute_on_the_time_is_that_of_the_title_block() {
        let seen = [(3_200, 200), (706_000, 1_000), (706_215, 1), (3_723_500, 100), (119_996, 10)];
        let seen = seen.map(|(tick, step)| clock(tick, step));
        assert_eq!(seen, ["3.2\u{a0}s", "11:46", "11:46.215", "1:02:03.5", "2:00.00"]);
    }
}
