//! Spans of time as they are written in requirements and scripts: `200ms`, `2s`.

/// Longest span that is read, ms: an hour.
const MOST_MS: u64 = 3_600_000;

/// Reads `200ms` or `2s` as milliseconds. The error says what was expected.
pub fn parse_duration_ms(text: &str) -> Result<u64, String> {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let (number, unit) = text.split_at(digits);
    let factor = match unit {
        "ms" => 1,
        "s" => 1000,
        _ => return Err(expected(text)),
    };
    let value: u64 = number.parse().map_err(|_| expected(text))?;
    value.checked_mul(factor).filter(|ms| *ms <= MOST_MS).ok_or_else(|| expected(text))
}

/// Writes milliseconds the shortest way that is read back as the same: `2s`, `1500ms`.
pub fn print_duration(ms: u64) -> String {
    if ms > 0 && ms.is_multiple_of(1000) { format!("{}s", ms / 1000) } else { format!("{ms}ms") }
}

fn expected(text: &str) -> String {
    let shown: String = text.chars().take(20).collect();
    format!("`{shown}`: a whole number with ms or s is expected, such as 200ms or 2s, an hour at most")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_units_and_back() {
        for (text, ms) in [("200ms", 200), ("2s", 2000), ("0ms", 0), ("1500ms", 1500)] {
            assert_eq!(parse_duration_ms(text), Ok(ms));
            assert_eq!(print_duration(ms), text);
        }
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in ["", "ms", "2", "2 s", "-1s", "1.5s", "2m", "99999999999s", "3601s"] {
            assert!(parse_duration_ms(text).is_err(), "{text}");
        }
    }
}
