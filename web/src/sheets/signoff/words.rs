//! A trial's script in words: the steps up to the one that broke, with the names of the I/O list.

use crate::store::model::IoRow;
use crate::t;
use crate::text::quantity::milliseconds;

/// The steps of a script before a step on a line, from 1. Remarks are left out, and so is what was expected and came.
pub fn steps_before(source: &str, line: u32, step: &str) -> Vec<String> {
    let mut steps = Vec::new();
    for (at, text) in source.lines().enumerate() {
        let text = text.split('#').next().unwrap_or_default();
        let broke_here = at + 1 == line as usize;
        for one in text.split(';').map(str::trim).filter(|one| !one.is_empty()) {
            if broke_here && one == step.trim() {
                return steps;
            }
            if !one.starts_with("expect ") {
                steps.push(in_words(one));
            }
        }
        if broke_here {
            break;
        }
    }
    steps
}

fn in_words(step: &str) -> String {
    match step.split_once(' ') {
        Some(("press", part)) => t!("signoff-step-press", part = part.replace(' ', " and ")),
        Some(("release", part)) => t!("signoff-step-release", part = part),
        Some(("wait", time)) => t!("signoff-step-wait", time = spaced(time)),
        _ => step.to_string(),
    }
}

/// A formula with the names of the I/O list for its addresses, and its times with their units apart.
pub fn named(formula: &str, names: &[IoRow]) -> String {
    let mut text = formula.to_string();
    while let Some((before, rest)) = text.split_once("once(") {
        let Some((inside, after)) = rest.split_once(')') else { break };
        let Some((what, time)) = inside.split_once(',') else { break };
        let said = t!("signoff-in-last", what = what.trim(), time = spaced(time.trim()));
        text = format!("{before}{said}{after}");
    }
    with_names(&text, names)
}

/// The same without putting anything into other words: what exactly a formula says.
pub fn with_names(formula: &str, names: &[IoRow]) -> String {
    let of_word = |letter: char| letter.is_alphanumeric() || matches!(letter, '.' | '_');
    let mut out = String::with_capacity(formula.len());
    let mut rest = formula;
    while let Some(first) = rest.chars().next() {
        let end = rest.find(|letter| of_word(letter) != of_word(first)).unwrap_or(rest.len());
        let (part, after) = rest.split_at(end);
        let named = |row: &&IoRow| !row.name.is_empty() && row.address.trim_start_matches('%') == part;
        match names.iter().find(named) {
            Some(row) => out += &row.name,
            None if first.is_ascii_digit() => out += &spaced(part),
            None => out += part,
        }
        rest = after;
    }
    out
}

/// `200ms` with a no-break space before the unit; what is no such time stays as it is.
fn spaced(time: &str) -> String {
    let Some(at) = time.find(|letter: char| letter.is_ascii_alphabetic()) else { return time.into() };
    let (figure, unit) = time.split_at(at);
    match (figure.parse::<u64>(), unit) {
        (Ok(ms), "ms") => milliseconds(ms),
        (Ok(_), "s" | "min") => format!("{figure}\u{a0}{unit}"),
        _ => time.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCRIPT: &str =
        "power on; wait 2s\npress SF2; wait 200ms; expect QA1.closed; release SF2\nexpect not QX0.0 for 1s";

    fn names() -> Vec<IoRow> {
        let row = |address: &str, name: &str| IoRow {
            address: address.into(),
            name: name.into(),
            terminal: String::new(),
            device: String::new(),
            comment: String::new(),
        };
        vec![row("%QX0.0", "QA1_out"), row("%QX0.1", "")]
    }

    #[test]
    fn the_steps_end_before_the_one_that_broke() {
        let to_the_end = steps_before(SCRIPT, 3, "expect not QX0.0 for 1s");
        assert_eq!(to_the_end, ["power on", "wait 2\u{a0}s", "press SF2", "wait 200\u{a0}ms", "let SF2 go"]);
        assert_eq!(
            steps_before(SCRIPT, 2, "expect QA1.closed").last().map(String::as_str),
            Some("wait 200\u{a0}ms")
        );
        assert_eq!(steps_before("press SF2 SF3", 2, ""), ["press SF2 and SF3"]);
        assert_eq!(steps_before(SCRIPT, 0, "").len(), 5);
        assert!(steps_before("", 1, "").is_empty());
    }

    #[test]
    fn a_formula_carries_the_names_of_the_list() {
        let text = named("not (QX0.0 and once(QA2.closed, 100ms)) for 1s", &names());
        assert_eq!(text, "not (QA1_out and QA2.closed within the last 100\u{a0}ms) for 1\u{a0}s");
        assert_eq!(named("QX0.1 and QX0.07", &names()), "QX0.1 and QX0.07");
        assert_eq!(named("once(once(", &names()), "once(once(");
        let exact = "never (rose(QX0.0) and prev(once(not QX0.0, 100ms) and QX0.1))";
        assert_eq!(
            with_names(exact, &names()),
            "never (rose(QA1_out) and prev(once(not QA1_out, 100\u{a0}ms) and QX0.1))"
        );
    }
}
