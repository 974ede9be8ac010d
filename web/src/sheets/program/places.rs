//! Where each contact and each statement stands in the text, so that a touch of the drawing can select it.

use sealin_ladder::Place;
use std::ops::Range;

/// Words that may stand in a rung's statement without being the name of a contact.
const WORDS: [&str; 9] = ["AND", "OR", "NOT", "IF", "THEN", "TRUE", "FALSE", "END_IF", "XOR"];

/// The byte ranges of a rung's contacts in `source`, in reading order; a `NOT` straight before a name belongs to it, and the
/// right side of a comparison. An edge contact stands where it is read, not where its edge is called.
///
/// The order is that of the indices in [`sealin_ladder::layout`]: De Morgan's laws change contacts but never their order.
/// Text that is no statement gives what can be made of it, never a panic.
pub fn contact_ranges(source: &str, rung: &Place) -> Vec<Range<usize>> {
    let (start, end) = (rung.start as usize, rung.end as usize);
    let Some(text) = source.get(start..end) else { return Vec::new() };
    let tokens = tokens(text);
    let mut ranges: Vec<Range<usize>> = Vec::new();
    let mut coil_edge = None;
    let mut n = 0;
    while let Some(token) = tokens.get(n) {
        let next = tokens.get(n + 1).map_or("", |t| t.text);
        if token.is("THEN") {
            break;
        }
        if next == "(" && sealin_ladder::is_edge_name(token.text) {
            match bit_edge(&tokens[n..]) {
                Some(length) => n += length,
                None => {
                    // The rung of an edge coil: its contacts stand in the call.
                    coil_edge = Some(token.text);
                    n += 1;
                }
            }
            continue;
        }
        let names = token.is_name() && !is_word(token.text);
        // What is assigned to: the coil, a pin; and the block that is called.
        let called = next == "(" && n.checked_sub(1).is_none_or(|before| tokens[before].text == ";");
        let of_coil = coil_edge.is_some_and(|edge| token.text.split('.').next() == Some(edge));
        if !names || next == ":" || called || of_coil {
            n += 1;
            continue;
        }
        let first = match n.checked_sub(1).map(|before| &tokens[before]) {
            Some(not) if not.is("NOT") => not.range.start,
            _ => token.range.start,
        };
        let last = compared_with(&tokens[n + 1..]).unwrap_or(token);
        // The right side of a comparison is no contact of its own.
        if ranges.last().is_none_or(|range| range.end <= start + first) {
            ranges.push(start + first..start + last.range.end);
        }
        n += 1;
    }
    ranges
}

/// Number of tokens of `edge_1(CLK := a)`, the edge of one bit.
fn bit_edge(tokens: &[Token]) -> Option<usize> {
    let texts: Vec<&str> = tokens.iter().take(7).map(|token| token.text).collect();
    match texts[..] {
        [_, "(", _, ":", "=", bit, ")"] if bit != "(" => Some(7),
        _ => None,
    }
}

/// The right side of a comparison, if its sign comes next.
fn compared_with<'a, 'b>(tokens: &'b [Token<'a>]) -> Option<&'b Token<'a>> {
    let is_sign = |token: &&Token| matches!(token.text, "<" | ">" | "=");
    let signs = tokens.iter().take_while(is_sign).count();
    let first = signs + tokens.get(signs).filter(|token| token.text == "-").map_or(0, |_| 1);
    tokens.get(first).filter(|_| signs > 0)
}

/// Names with their pins, words, literals and marks of a text, one after another; comments are left out.
pub fn words(text: &str) -> Vec<String> {
    tokens(text).iter().map(|token| token.text.to_string()).collect()
}

/// Whether a word of the language, which is no name of a program.
pub fn is_word(text: &str) -> bool {
    WORDS.iter().any(|word| word.eq_ignore_ascii_case(text))
}

/// The contact of `rung` that the caret at byte `at` is in or touches.
pub fn contact_at(source: &str, rung: &Place, at: usize) -> Option<usize> {
    contact_ranges(source, rung).iter().position(|range| range.start <= at && at <= range.end)
}

/// The rung whose statement or comment the caret at byte `at` is in.
pub fn rung_at(places: &[Place], at: usize) -> Option<usize> {
    places.iter().position(|place| place.start as usize <= at && at <= place.end as usize)
}

/// The byte of a line and column, both counted from 1; the end of the line or text if it is shorter.
pub fn byte_at(source: &str, line: u32, column: u32) -> usize {
    let mut start = 0;
    for _ in 1..line {
        match source[start..].find('\n') {
            Some(end) => start += end + 1,
            None => return source.len(),
        }
    }
    let text = source[start..].split('\n').next().unwrap_or("");
    let skipped = column.saturating_sub(1) as usize;
    start + text.char_indices().nth(skipped).map_or(text.len(), |(at, _)| at)
}

/// A byte of UTF-8 text as the browser counts it, in UTF-16 units.
pub fn utf16_at(source: &str, byte: usize) -> u32 {
    source.get(..byte).unwrap_or(source).encode_utf16().count() as u32
}

/// The byte of a place that the browser counts in UTF-16 units.
pub fn byte_of_utf16(source: &str, unit: u32) -> usize {
    let mut left = unit as usize;
    for (at, c) in source.char_indices() {
        if left < c.len_utf16() {
            return at;
        }
        left -= c.len_utf16();
    }
    source.len()
}

/// The name that ends at byte `at`, as far as it is written, with where it begins.
pub fn word_before(source: &str, at: usize) -> (usize, &str) {
    let before = source.get(..at).unwrap_or(source);
    let is_part = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
    let start =
        before.char_indices().rev().take_while(|(_, c)| is_part(*c)).last().map_or(before.len(), |p| p.0);
    (start, &before[start..])
}

struct Token<'a> {
    text: &'a str,
    range: Range<usize>,
}

impl Token<'_> {
    fn is(&self, word: &str) -> bool {
        self.text.eq_ignore_ascii_case(word)
    }

    /// A name; a typed literal such as `T#200ms` is none.
    fn is_name(&self) -> bool {
        self.text.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_') && !self.text.contains('#')
    }
}

/// Words with their pins and literals, and single marks; comments, which may hold comments, are left out.
fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        let rest = &text[at..];
        let taken = if rest.starts_with("(*") {
            comment_length(rest)
        } else if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if c.is_ascii_alphanumeric() || c == '_' || c == '%' {
            let part = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '.' | '#' | '%');
            let length = rest.find(|c: char| !part(c)).unwrap_or(rest.len());
            tokens.push(Token { text: &rest[..length], range: at..at + length });
            length
        } else {
            let length = c.len_utf8();
            if !c.is_whitespace() {
                tokens.push(Token { text: &rest[..length], range: at..at + length });
            }
            length
        };
        at += taken;
    }
    tokens
}

/// Length of the comment that a text begins with, comments inside it included; the whole text if it is not closed.
pub fn comment_length(text: &str) -> usize {
    let (mut depth, mut at) = (0u32, 0);
    while let Some(c) = text[at..].chars().next() {
        let rest = &text[at..];
        if rest.starts_with("(*") {
            depth += 1;
            at += 2;
        } else if rest.starts_with("*)") {
            depth = depth.saturating_sub(1);
            at += 2;
            if depth == 0 {
                break;
            }
        } else {
            at += c.len_utf8();
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOURCE: &str = "PROGRAM p
VAR a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; q AT %QX0.0 : BOOL; rest : TON; END_VAR
(* 1 (* inner *) a OR b *) q := (a AND NOT b (* b *) OR rest.Q)
  AND NOT (a OR b); // q
rest(IN := a, PT := T#200ms);
IF a AND b THEN q := TRUE; END_IF;
END_PROGRAM";

    fn texts(rung: usize) -> Vec<String> {
        let reading = sealin_ladder::read(SOURCE);
        assert!(reading.diagnostics.is_empty(), "{:?}", reading.diagnostics);
        let ranges = contact_ranges(SOURCE, &reading.rung_places[rung]);
        assert_eq!(ranges.len() as u32, reading.program.rungs[rung].logic.contacts());
        ranges.into_iter().map(|range| SOURCE[range].to_owned()).collect()
    }

    #[test]
    fn contacts_are_found_in_the_order_of_the_drawing() {
        assert_eq!(texts(0), ["a", "NOT b", "rest.Q", "a", "b"]);
        assert_eq!(texts(1), ["a"]);
        assert_eq!(texts(2), ["a", "b"]);
    }

    #[test]
    fn caret_finds_its_rung_and_contact() {
        let reading = sealin_ladder::read(SOURCE);
        let at = SOURCE.find("rest.Q").unwrap() + 4;
        assert_eq!(rung_at(&reading.rung_places, at), Some(0));
        assert_eq!(contact_at(SOURCE, &reading.rung_places[0], at), Some(2));
        assert_eq!(rung_at(&reading.rung_places, 0), None);
    }

    #[test]
    fn lines_and_columns_become_bytes_and_stop_at_the_end() {
        let text = "ä1\nßx\n";
        assert_eq!(byte_at(text, 1, 2), 2);
        assert_eq!(byte_at(text, 2, 2), 6);
        assert_eq!(byte_at(text, 2, 99), 7);
        assert_eq!(byte_at(text, 99, 1), text.len());
        assert_eq!(byte_at(text, 0, 0), 0);
    }

    #[test]
    fn utf16_goes_both_ways() {
        let text = "a😀ß";
        for (byte, _) in text.char_indices() {
            assert_eq!(byte_of_utf16(text, utf16_at(text, byte)), byte);
        }
        assert_eq!(utf16_at(text, 5), 3);
        assert_eq!(byte_of_utf16(text, 99), text.len());
    }

    #[test]
    fn an_edge_contact_stands_where_it_is_read_and_an_edge_coil_where_it_is_called() {
        let text = "edge_1(CLK := a); edge_2(CLK := b); q := edge_1.Q AND c OR edge_2.Q;";
        let ranges = |text: &str| -> Vec<String> {
            let place = Place { end: text.len() as u32, ..Place::default() };
            contact_ranges(text, &place).into_iter().map(|r| text[r].to_string()).collect()
        };
        assert_eq!(ranges(text), ["edge_1.Q", "c", "edge_2.Q"]);
        assert_eq!(ranges("edge_1(CLK := a AND NOT b); q := edge_1.Q;"), ["a", "NOT b"]);
        assert_eq!(ranges("edge_3(CLK := (a)); q := edge_3.Q;"), ["a"]);
        assert_eq!(ranges("edge_1(CLK := a); t(IN := edge_1.Q AND b, PT := T#1s);"), ["edge_1.Q", "b"]);
    }

    #[test]
    fn a_comparison_is_one_contact() {
        let text = "q := a AND NOT n.CV >= m.CV OR t.ET < T#2s AND n.CV <> -3;";
        let place = Place { end: text.len() as u32, ..Place::default() };
        let ranges: Vec<&str> = contact_ranges(text, &place).into_iter().map(|r| &text[r]).collect();
        assert_eq!(ranges, ["a", "NOT n.CV >= m.CV", "t.ET < T#2s", "n.CV <> -3"]);
    }

    #[test]
    fn half_a_statement_is_no_panic() {
        for text in ["q :=", "IF", "q := a >=", "q := a > -", "(* open", "q := a ä ß AND", ""] {
            let place = Place { start: 0, end: text.len() as u32, ..Place::default() };
            contact_ranges(text, &place);
        }
        assert!(contact_ranges("ä", &Place { start: 1, end: 9, ..Place::default() }).is_empty());
    }

    #[test]
    fn the_word_that_is_being_written() {
        assert_eq!(word_before("q := NOT QA", 11), (9, "QA"));
        assert_eq!(word_before("q := ", 5), (5, ""));
    }
}
