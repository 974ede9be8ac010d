//! Putting into the text what the I/O list and the job already know: a declaration with its address, a rung for an output
//! that has none.

use super::facts::{Facts, Row};
use sealin_ladder::{Network, Output, Program, Reading, Rung, insert_rung};

/// The text with a name of the I/O list declared at its address, as the last line of the last `VAR` block; none if the
/// name is taken or there is nowhere to put it.
pub fn declare(source: &str, reading: &Reading, row: &Row) -> Option<String> {
    let name = row.given.as_ref()?;
    if reading.program.vars.iter().any(|var| var.name.eq_ignore_ascii_case(name)) {
        return None;
    }
    // A comment must not end early.
    let comment = row.comment.replace("*)", "").replace("(*", "");
    let comment = if comment.is_empty() { comment } else { format!("  (* {comment} *)") };
    let line = format!("{name} AT {} : BOOL;{comment}", row.address);
    let at = last_word(source, "END_VAR")?;
    let before = source.get(..at)?;
    let line_start = before.rfind('\n').map_or(0, |n| n + 1);
    let indent = reading.var_places.last().map_or(4, |place| place.column.saturating_sub(1) as usize);
    let indent = " ".repeat(indent.min(16));
    Some(if before[line_start..].trim().is_empty() {
        format!("{}{indent}{line}\n{}", &source[..line_start], &source[line_start..])
    } else {
        format!("{before}\n{indent}{line}\n{}", &source[at..])
    })
}

/// The name that a new rung would drive: the first output of the I/O list, then the first variable of the text, that no
/// rung drives yet.
pub fn without_rung(program: &Program, facts: &Facts) -> Option<String> {
    let driven = |name: &str| program.rungs.iter().any(|rung| rung.output.var().eq_ignore_ascii_case(name));
    let outputs = facts.rows.iter().filter(|row| row.address.starts_with("%Q"));
    let inside = facts.rows.iter().filter(|row| row.address.is_empty() && row.device == "BOOL");
    outputs.chain(inside).filter_map(|row| row.name.clone().or(row.given.clone())).find(|name| !driven(name))
}

/// The text with a rung behind the last one: a gap before the coil of this name, so that it drives nothing until a contact
/// takes the gap's place.
pub fn new_rung(source: &str, reading: &Reading, name: &str) -> Option<String> {
    let rung = Rung {
        comment: String::new(),
        logic: Network::False,
        output: Output::Coil { var: name.to_string() },
    };
    insert_rung(source, reading, reading.program.rungs.len(), &rung)
}

/// The byte at which a word stands last, comments left aside.
fn last_word(source: &str, word: &str) -> Option<usize> {
    let bytes = source.as_bytes();
    let (mut at, mut found) = (0, None);
    while at < bytes.len() {
        let skipped = match &bytes[at..] {
            [b'(', b'*', ..] => source[at + 2..].find("*)").map(|n| at + n + 4),
            [b'/', b'*', ..] => source[at + 2..].find("*/").map(|n| at + n + 4),
            [b'/', b'/', ..] => source[at..].find('\n').map(|n| at + n),
            [first, ..] if first.is_ascii_alphanumeric() || *first == b'_' => {
                let length =
                    bytes[at..].iter().take_while(|b| b.is_ascii_alphanumeric() || **b == b'_').count();
                if source[at..at + length].eq_ignore_ascii_case(word) {
                    found = Some(at);
                }
                Some(at + length)
            }
            _ => Some(at + 1),
        };
        // A comment that does not end runs to the end of the text.
        at = skipped.unwrap_or(bytes.len());
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loop_strip::follow::tests::{conductors, parts};
    use crate::store::model::IoRow;

    const SOURCE: &str = "PROGRAM p
VAR
  a AT %IX0.0 : BOOL;  (* not the END_VAR *)
END_VAR
(* rung *) IF a THEN q := a; END_IF;
END_PROGRAM
";

    fn facts(source: &str) -> Facts {
        let row = |address: &str, name: &str, comment: &str| IoRow {
            address: address.into(),
            name: name.into(),
            terminal: String::new(),
            device: String::new(),
            comment: comment.into(),
        };
        let given = [row("%IX0.1", "b", "push (* *) button"), row("%QX0.0", "q", "")];
        Facts::gather(&sealin_ladder::read(source).program, &given, &parts(), &conductors(&[]))
    }

    fn declared(source: &str, name: &str) -> Option<String> {
        let facts = facts(source);
        declare(source, &sealin_ladder::read(source), facts.undeclared(name)?)
    }

    #[test]
    fn a_name_comes_into_the_block_with_its_address_and_comment() {
        let text = declared(SOURCE, "B").unwrap();
        assert!(text.contains("END_VAR *)\n  b AT %IX0.1 : BOOL;  (* push   button *)\nEND_VAR\n"), "{text}");
        assert_eq!(text.len() - SOURCE.len(), "  b AT %IX0.1 : BOOL;  (* push   button *)\n".len());
        assert_eq!(declared(&text, "b"), None, "it is there");
    }

    #[test]
    fn a_text_with_errors_takes_it_too_and_one_without_a_block_does_not() {
        let wrong = "PROGRAM p VAR a : BOOL; END_VAR q := a AND ; END_PROGRAM";
        let text = declared(wrong, "q").unwrap();
        let vars = sealin_ladder::read(&text).program.vars;
        let seen: Vec<_> = vars.iter().map(|v| (v.name.as_str(), v.address.map(|a| a.to_string()))).collect();
        assert_eq!(seen, [("a", None), ("q", Some("%QX0.0".to_string()))]);
        assert_eq!(declared("PROGRAM p (* END_VAR", "q"), None);
        assert_eq!(declared("", "q"), None);
    }

    #[test]
    fn a_new_rung_drives_what_has_none() {
        let source = "PROGRAM p VAR a AT %IX0.0 : BOOL; q AT %QX0.0 : BOOL; m : BOOL; END_VAR END_PROGRAM";
        let reading = sealin_ladder::read(source);
        assert_eq!(without_rung(&reading.program, &facts(source)).as_deref(), Some("q"));
        let text = new_rung(source, &reading, "q").unwrap();
        let program = sealin_ladder::parse(&text).unwrap();
        assert_eq!((program.rungs.len(), program.rungs[0].output.var()), (1, "q"));
        assert_eq!(without_rung(&program, &facts(&text)).as_deref(), Some("m"));
        assert_eq!(program.rungs[0].logic.clone().normal(), Network::False, "it drives nothing yet");
        let led = super::super::change::append(&text, &sealin_ladder::read(&text), 0, "a").unwrap();
        let led = sealin_ladder::parse(&led.source).unwrap();
        assert_eq!(led.rungs[0].logic.clone().normal(), Network::open("a"));
        let full = new_rung(&text, &sealin_ladder::read(&text), "m").unwrap();
        let program = sealin_ladder::parse(&full).unwrap();
        assert_eq!((program.rungs.len(), without_rung(&program, &facts(&full))), (2, None));
    }
}
