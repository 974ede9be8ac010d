//! Numbers with their units, as written on a drawing: a no-break space between the two (ISO 80000-1).

/// A value in thousandths with its unit: `thousandths(8_200, "A")` is `8.2 A`. Zeros at the end are left out.
pub fn thousandths(value: u64, unit: &str) -> String {
    format!("{}\u{a0}{unit}", plain(value, 1000))
}

/// A cross-section in hundredths of mm².
pub fn section(hundredths: u32) -> String {
    format!("{}\u{a0}mm²", plain(u64::from(hundredths), 100))
}

/// Cross-section without its unit, for a column that carries it.
pub fn section_bare(hundredths: u32) -> String {
    plain(u64::from(hundredths), 100)
}

/// Milliseconds, as seconds from one second on.
pub fn milliseconds(ms: u64) -> String {
    if ms < 1_000 { format!("{ms}\u{a0}ms") } else { thousandths(ms, "s") }
}

/// A measured value with a fixed number of decimals and its unit.
pub fn measured(value: f64, decimals: usize, unit: &str) -> String {
    // A value that rounds to nothing has no sign.
    let text = format!("{value:.decimals$}");
    let text = if text.trim_matches(|c| c == '-' || c == '0' || c == '.').is_empty() {
        text.trim_start_matches('-').to_string()
    } else {
        text.replace('-', "\u{2212}")
    };
    format!("{text}\u{a0}{unit}")
}

/// A sentence in which no quantity is broken from its unit at the end of a line: `100 ms` gets a no-break space.
pub fn keep_units(sentence: &str) -> String {
    const UNITS: [&str; 14] = ["ms", "s", "min", "V", "kV", "mA", "A", "kA", "W", "kW", "VA", "Hz", "Ω", "%"];
    let mut kept = String::with_capacity(sentence.len() + 8);
    for word in sentence.split(' ') {
        let unit = word.trim_end_matches(['.', ',', ';', ':', ')']);
        let after_figure = kept.ends_with(|last: char| last.is_ascii_digit());
        if !kept.is_empty() {
            kept.push(if after_figure && UNITS.contains(&unit) { '\u{a0}' } else { ' ' });
        }
        kept.push_str(word);
    }
    kept
}

fn plain(value: u64, per_unit: u64) -> String {
    let (whole, rest) = (value / per_unit, value % per_unit);
    if rest == 0 {
        return whole.to_string();
    }
    let width = if per_unit == 100 { 2 } else { 3 };
    format!("{whole}.{}", format!("{rest:0width$}").trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_stand_behind_a_no_break_space() {
        assert_eq!(thousandths(8_200, "A"), "8.2\u{a0}A");
        assert_eq!(thousandths(400_000, "V"), "400\u{a0}V");
        assert_eq!(thousandths(50, "A"), "0.05\u{a0}A");
        assert_eq!(section(75), "0.75\u{a0}mm²");
        assert_eq!(section_bare(250), "2.5");
        assert_eq!(milliseconds(999), "999\u{a0}ms");
        assert_eq!(milliseconds(2_500), "2.5\u{a0}s");
    }

    #[test]
    fn a_unit_stays_with_its_figure() {
        let text = keep_units("The coil is off for 100 ms, then 2 s. A start of 3 buttons, QA1 s");
        assert_eq!(text, "The coil is off for 100\u{a0}ms, then 2\u{a0}s. A start of 3 buttons, QA1\u{a0}s");
        assert_eq!(keep_units(""), "");
    }

    #[test]
    fn a_measured_nothing_has_no_sign() {
        assert_eq!(measured(-0.04, 1, "V"), "0.0\u{a0}V");
        assert_eq!(measured(-23.94, 1, "V"), "\u{2212}23.9\u{a0}V");
        assert_eq!(measured(230.0, 0, "V"), "230\u{a0}V");
    }
}
