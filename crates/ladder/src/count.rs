//! Counts as IEC 61131-3 writes them: `5`, `-5`, `1_000`, `INT#5`, `16#1F`.

/// Reads an integer literal of type INT, its sign before the digits. The error says what was expected.
pub(crate) fn read_count(text: &str) -> Result<i16, String> {
    let bad = || "a whole number is expected".to_owned();
    let typed = text.get(..4).is_some_and(|word| word.eq_ignore_ascii_case("INT#"));
    let body = if typed { &text[4..] } else { text };
    let (is_negative, body) = match body.as_bytes().first() {
        Some(b'-') => (true, &body[1..]),
        Some(b'+') => (false, &body[1..]),
        _ => (false, body),
    };
    let (radix, digits) = match body.split_once('#') {
        None => (10, body),
        Some(("2", digits)) => (2, digits),
        Some(("8", digits)) => (8, digits),
        Some(("16", digits)) => (16, digits),
        Some(_) => return Err(bad()),
    };
    let mut value: i64 = 0;
    for group in digits.split('_') {
        if group.is_empty() {
            return Err(bad());
        }
        for c in group.chars() {
            let digit = c.to_digit(radix).ok_or_else(bad)?;
            value = value.saturating_mul(i64::from(radix)).saturating_add(i64::from(digit));
        }
    }
    let value = if is_negative { -value } else { value };
    i16::try_from(value).map_err(|_| format!("a count from {} to {} is expected", i16::MIN, i16::MAX))
}
