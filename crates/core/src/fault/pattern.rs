//! When an intermittent fault is there on a bench: for so long from the start of each stretch of time.

use std::fmt;

/// There for the first `there_ms` of every `every_ms`, counted from the tick at which it struck.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Pattern {
    /// How long it is there, ms; at least 1.
    pub there_ms: u32,
    /// How long it takes until it is there again, ms; more than `there_ms`.
    pub every_ms: u32,
}

/// Longest stretch of a pattern, ms: an hour.
const MOST_MS: u32 = 3_600_000;

impl Pattern {
    /// What a fault without a pattern of its own does: 40 ms outlast the drop-out of a contactor (15 ms) and the filter of an input,
    /// and 160 ms let most of it come back (own choice).
    pub const USUAL: Pattern = Pattern { there_ms: 40, every_ms: 200 };

    /// Reads `40ms` and `200ms`. The error says what was expected.
    pub(super) fn parse(there: &str, every: &str) -> Result<Pattern, String> {
        let ms = |text: &str| {
            let ms = text.strip_suffix("ms").and_then(|n| n.parse::<u32>().ok());
            ms.filter(|ms| (1..=MOST_MS).contains(ms))
                .ok_or_else(|| format!("`{text}`: whole milliseconds from 1ms to {MOST_MS}ms are expected"))
        };
        let pattern = Pattern { there_ms: ms(there)?, every_ms: ms(every)? };
        if pattern.there_ms >= pattern.every_ms {
            return Err(format!("`{pattern}`: the first time is expected to be shorter than the second"));
        }
        Ok(pattern)
    }

    /// Whether it is there so many ticks after it struck.
    pub fn is_there(self, ticks: u64) -> bool {
        ticks % u64::from(self.every_ms) < self.there_ms.into()
    }

    /// Ticks after it struck at which it next comes or goes, after so many.
    pub fn next_change(self, ticks: u64) -> u64 {
        let begun = ticks - ticks % u64::from(self.every_ms);
        begun + u64::from(if self.is_there(ticks) { self.there_ms } else { self.every_ms })
    }
}

impl fmt::Display for Pattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}ms in {}ms", self.there_ms, self.every_ms)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2 ms in 5 ms is there in ticks 0 and 1, 5 and 6, and so on.
    #[test]
    fn there_at_the_start_of_each_stretch() {
        let pattern = Pattern { there_ms: 2, every_ms: 5 };
        let there: Vec<u64> = (0..12).filter(|&tick| pattern.is_there(tick)).collect();
        assert_eq!(there, [0, 1, 5, 6, 10, 11]);
        let next: Vec<u64> = (0..8).map(|tick| pattern.next_change(tick)).collect();
        assert_eq!(next, [2, 2, 5, 5, 5, 7, 7, 10]);
    }
}
