//! Durations as IEC 61131-3 writes them: `T#200ms`, `TIME#1s500ms`.

/// The longest duration in milliseconds, about 24.8 days: what a signed 32-bit count holds. IEC 61131-3 leaves the
/// range of TIME to the implementer.
pub const MAX_TIME_MS: u32 = i32::MAX as u32;

/// Units from long to short, with their length in milliseconds.
const UNITS: [(&str, u64); 5] = [("d", 86_400_000), ("h", 3_600_000), ("m", 60_000), ("s", 1_000), ("ms", 1)];

/// A duration in canonical form: whole units from days to milliseconds, those that are zero left out, `T#0ms` for none.
pub fn print_time(time_ms: u32) -> String {
    if time_ms == 0 {
        return "T#0ms".to_owned();
    }
    let mut rest = u64::from(time_ms);
    let mut text = "T#".to_owned();
    for (unit, length) in UNITS {
        let count = rest / length;
        if count > 0 {
            text.push_str(&count.to_string());
            text.push_str(unit);
            rest %= length;
        }
    }
    text
}

/// Reads what stands after `T#`. Units go from long to short, each at most once; only the last may have decimals; an
/// underscore may part them. The error says what was expected.
pub(crate) fn read_time(body: &str) -> Result<u32, String> {
    let lower = body.to_ascii_lowercase();
    let mut rest = lower.as_str();
    if rest.starts_with('-') {
        return Err("a duration that is not negative is expected".to_owned());
    }
    if rest.is_empty() {
        return Err("a duration such as T#200ms or T#1s500ms is expected".to_owned());
    }
    let mut total_ms: u64 = 0;
    let mut next_unit = 0;
    while !rest.is_empty() {
        let digits_end =
            rest.find(|c: char| !c.is_ascii_digit() && c != '.' && c != '_').unwrap_or(rest.len());
        let (number, after) = rest.split_at(digits_end);
        let unit_end = after.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(after.len());
        let (unit, after) = after.split_at(unit_end);
        rest = after.strip_prefix('_').unwrap_or(after);
        if after.len() != rest.len() && rest.is_empty() {
            return Err("a number with its unit is expected after the underscore".to_owned());
        }
        if unit.is_empty() {
            return Err("a unit is expected after the number: d, h, m, s or ms".to_owned());
        }
        let Some(place) = UNITS.iter().position(|(name, _)| *name == unit) else {
            return Err(format!("the unit d, h, m, s or ms is expected, not {unit}"));
        };
        if place < next_unit {
            return Err("units from long to short, each once, are expected".to_owned());
        }
        next_unit = place + 1;
        let length_ms = UNITS[place].1;
        total_ms = total_ms.saturating_add(read_number(number, length_ms, rest.is_empty())?);
    }
    match u32::try_from(total_ms) {
        Ok(time_ms) if time_ms <= MAX_TIME_MS => Ok(time_ms),
        _ => Err(format!("a duration of at most {} is expected", print_time(MAX_TIME_MS))),
    }
}

/// Reads `12`, `1_000` or, when it is the last, `1.5`, as that many units of `length_ms`.
fn read_number(number: &str, length_ms: u64, last: bool) -> Result<u64, String> {
    let (whole, decimals) = match number.split_once('.') {
        None => (number, ""),
        Some(_) if !last => return Err("decimals only in the last unit are expected".to_owned()),
        Some((whole, decimals)) => (whole, decimals),
    };
    let well_formed = |digits: &str| {
        !digits.is_empty()
            && digits.split('_').all(|group| !group.is_empty() && group.bytes().all(|b| b.is_ascii_digit()))
    };
    if !well_formed(whole) || (number.contains('.') && !well_formed(decimals)) {
        return Err("a number before the unit is expected, as in T#200ms".to_owned());
    }
    let digits =
        |text: &str| text.bytes().filter(|b| *b != b'_').map(|b| u64::from(b - b'0')).collect::<Vec<_>>();
    let mut value: u64 = 0;
    for digit in digits(whole) {
        value = value.saturating_mul(10).saturating_add(digit);
    }
    let mut decimals = digits(decimals);
    while decimals.last() == Some(&0) {
        decimals.pop();
    }
    // 86,400,000 = 2^11 * 3^3 * 5^5, so no fraction of a unit with more than 11 decimals is a whole millisecond.
    let mut fraction: u128 = 0;
    let mut scale: u128 = 1;
    for digit in decimals.iter().take(12) {
        fraction = fraction * 10 + u128::from(*digit);
        scale *= 10;
    }
    let fraction_ms = fraction * u128::from(length_ms);
    if decimals.len() > 11 || !fraction_ms.is_multiple_of(scale) {
        return Err("a whole number of milliseconds is expected".to_owned());
    }
    // Below one unit, so it fits.
    Ok(value.saturating_mul(length_ms).saturating_add(u64::try_from(fraction_ms / scale).unwrap_or(u64::MAX)))
}
