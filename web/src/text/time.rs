//! Bench time as it is written.

/// Bench time in ms as hours, minutes, seconds and milliseconds.
pub fn bench_time(ms: u64) -> String {
    format!("{:02}:{:02}:{:02}.{:03}", ms / 3_600_000, ms / 60_000 % 60, ms / 1_000 % 60, ms % 1_000)
}

/// A moment of ISO 8601 as day and second, as it stands; what is no moment as it is.
pub fn day_and_time(moment: &str) -> String {
    match moment.split_once('T') {
        Some((day, time)) if time.is_char_boundary(8) => format!("{day} {}", &time[..8]),
        _ => moment.to_string(),
    }
}

/// A length of time as a person says it: tenths below 10 s, whole seconds below 2 min, then minutes, then hours.
pub fn about(seconds: f64) -> String {
    const SPACE: char = '\u{a0}';
    let whole = seconds.round() as u64;
    match seconds {
        s if s < 9.95 => {
            let tenths = (s * 10.0).round() as u64;
            match tenths % 10 {
                0 => format!("{}{SPACE}s", tenths / 10),
                rest => format!("{}.{rest}{SPACE}s", tenths / 10),
            }
        }
        s if s < 119.5 => format!("{whole}{SPACE}s"),
        s if s < 3570.0 => match (whole % 60, whole / 60) {
            (0, minutes) => format!("{minutes}{SPACE}min"),
            (rest, minutes) if minutes < 10 => format!("{minutes}{SPACE}min {rest}{SPACE}s"),
            _ => format!("{}{SPACE}min", (whole + 30) / 60),
        },
        _ => {
            let minutes = (whole + 30) / 60;
            match minutes % 60 {
                0 => format!("{}{SPACE}h", minutes / 60),
                rest => format!("{}{SPACE}h {rest}{SPACE}min", minutes / 60),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bench_time_is_written_as_on_a_clock() {
        assert_eq!(bench_time(64_215), "00:01:04.215");
        assert_eq!(bench_time(86_399_999), "23:59:59.999");
    }

    #[test]
    fn a_moment_is_told_to_the_second() {
        assert_eq!(day_and_time("2026-11-28T09:07:31.004Z"), "2026-11-28 09:07:31");
        assert_eq!(day_and_time(""), "");
    }

    #[test]
    fn a_length_of_time_is_as_coarse_as_a_person_says_it() {
        let seen = [0.0, 5.94, 9.96, 45.2, 119.4, 125.0, 240.0, 754.0, 3599.0, 7200.0, 6000.0].map(about);
        let wanted = [
            "0 s",
            "5.9 s",
            "10 s",
            "45 s",
            "119 s",
            "2 min 5 s",
            "4 min",
            "13 min",
            "1 h",
            "2 h",
            "1 h 40 min",
        ];
        assert_eq!(seen.map(|text| text.replace('\u{a0}', " ")), wanted);
    }
}
