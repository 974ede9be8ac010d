//! Bench time as it is written.

/// Bench time in ms as hours, minutes, seconds and milliseconds.
pub fn bench_time(ms: u64) -> String {
    format!("{:02}:{:02}:{:02}.{:03}", ms / 3_600_000, ms / 60_000 % 60, ms / 1_000 % 60, ms % 1_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bench_time_is_written_as_on_a_clock() {
        assert_eq!(bench_time(64_215), "00:01:04.215");
        assert_eq!(bench_time(86_399_999), "23:59:59.999");
    }
}
