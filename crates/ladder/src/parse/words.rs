//! Words of the language, which no variable can be called, and words for its blocks.

use crate::block::{Block, Preset};

/// Words of IEC 61131-3 (ed. 3, table of keywords) that a variable cannot be called, in capitals and in order.
const WORDS: [&str; 96] = [
    "ACTION",
    "AND",
    "ARRAY",
    "AT",
    "BOOL",
    "BY",
    "BYTE",
    "CASE",
    "CHAR",
    "CLASS",
    "CONFIGURATION",
    "CONSTANT",
    "CONTINUE",
    "CTD",
    "CTU",
    "CTUD",
    "DATE",
    "DATE_AND_TIME",
    "DINT",
    "DO",
    "DT",
    "DWORD",
    "ELSE",
    "ELSIF",
    "END_CASE",
    "END_FOR",
    "END_FUNCTION",
    "END_FUNCTION_BLOCK",
    "END_IF",
    "END_PROGRAM",
    "END_REPEAT",
    "END_STRUCT",
    "END_TYPE",
    "END_VAR",
    "END_WHILE",
    "EXIT",
    "FALSE",
    "FOR",
    "FUNCTION",
    "FUNCTION_BLOCK",
    "F_TRIG",
    "IF",
    "INT",
    "INTERFACE",
    "LDATE",
    "LDT",
    "LINT",
    "LREAL",
    "LTIME",
    "LTOD",
    "LWORD",
    "METHOD",
    "MOD",
    "NON_RETAIN",
    "NOT",
    "NULL",
    "OF",
    "OR",
    "PROGRAM",
    "REAL",
    "REF_TO",
    "REPEAT",
    "RESOURCE",
    "RETAIN",
    "RETURN",
    "RS",
    "R_TRIG",
    "SINT",
    "SR",
    "STRING",
    "STRUCT",
    "TASK",
    "THEN",
    "TIME",
    "TIME_OF_DAY",
    "TO",
    "TOD",
    "TOF",
    "TON",
    "TP",
    "TRUE",
    "TYPE",
    "UDINT",
    "UINT",
    "ULINT",
    "UNTIL",
    "USINT",
    "VAR",
    "VAR_EXTERNAL",
    "VAR_INPUT",
    "VAR_OUTPUT",
    "WHILE",
    "WITH",
    "WORD",
    "WSTRING",
    "XOR",
];

/// Whether a name is a word of the language.
pub(crate) fn is_reserved(name: &str) -> bool {
    WORDS.binary_search(&name.to_ascii_uppercase().as_str()).is_ok()
}

/// What sort of block it is, in a sentence.
pub(super) fn noun(block: Block) -> &'static str {
    match block {
        Block::Ton | Block::Tof | Block::Tp => "a timer",
        Block::Ctu | Block::Ctd | Block::Ctud => "a counter",
        Block::Sr | Block::Rs => "a bistable",
        Block::RTrig | Block::FTrig => "an edge detector",
    }
}

/// How a block is called: `parts(CU := …, R := …, PV := 5);`.
pub(super) fn a_call(name: &str, block: Block) -> String {
    let mut pins: Vec<String> = block.inputs().iter().map(|pin| format!("{pin} := …")).collect();
    match block.preset() {
        Some(Preset::Time) => pins.push("PT := T#200ms".to_owned()),
        Some(Preset::Count) => pins.push("PV := 5".to_owned()),
        None => {}
    }
    format!("{name}({});", pins.join(", "))
}

/// The declared name that is nearest to a mistyped one: at most two letters differ, and fewer than half.
pub(super) fn nearest<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let name = name.to_ascii_uppercase();
    known
        .filter(|other| other.len().abs_diff(name.len()) <= 2)
        .map(|other| (distance(&name, &other.to_ascii_uppercase()), other))
        .filter(|(steps, _)| *steps <= 2 && steps * 2 < name.len())
        .min_by_key(|(steps, _)| *steps)
        .map(|(_, other)| other)
}

/// Letters to add, drop or change, by the usual dynamic programme (Levenshtein). Long names are told apart at once.
fn distance(a: &str, b: &str) -> usize {
    const MOST_LETTERS: usize = 40;
    if a.len() > MOST_LETTERS || b.len() > MOST_LETTERS {
        return usize::MAX / 4;
    }
    let b = b.as_bytes();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.bytes().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let changed = diagonal + usize::from(x != *y);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_in_order() {
        assert!(WORDS.is_sorted(), "binary search needs order");
        assert!(is_reserved("end_var") && is_reserved("AND") && !is_reserved("SF1_in"));
    }

    #[test]
    fn nearest_takes_one_slip_and_no_other_word() {
        let known = ["QA1_out", "QA2_in", "fresh"];
        assert_eq!(nearest("QA1_ot", known.into_iter()), Some("QA1_out"));
        assert_eq!(nearest("frehs", known.into_iter()), Some("fresh"));
        assert_eq!(nearest("x", known.into_iter()), None);
        assert_eq!(nearest("motor", known.into_iter()), None);
    }
}
