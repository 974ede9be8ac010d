//! The text cut into lines and pieces, to be drawn behind the field in which it is written.

use std::ops::Range;

/// A line of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Its pieces, which together are the line.
    pub pieces: Vec<Piece>,
    /// It belongs to the rung in hand.
    pub in_rung: bool,
    /// Something in it is wrong.
    pub wrong: bool,
}

/// A piece of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Its text.
    pub text: String,
    /// What it is drawn as.
    pub ink: Ink,
}

/// What a piece is drawn as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// As the rest.
    Plain,
    /// A comment.
    Comment,
    /// In hand.
    Hand,
    /// Where a completion hangs; empty.
    Caret,
}

/// Cuts a text into lines. `rung` and `hand` are bytes; `wrong` holds lines counted from 1; `caret` is where a list of
/// names hangs.
pub fn lines(
    source: &str,
    rung: Option<&Range<usize>>,
    hand: Option<&Range<usize>>,
    wrong: &[u32],
    caret: Option<usize>,
) -> Vec<Line> {
    let comments = comments(source);
    let mut cuts: Vec<usize> =
        comments.iter().chain(hand).flat_map(|range| [range.start, range.end]).collect();
    cuts.extend(caret);
    cuts.sort_unstable();
    cuts.dedup();
    let ink = |at: usize| match hand {
        Some(hand) if hand.contains(&at) => Ink::Hand,
        _ if comments.iter().any(|comment| comment.contains(&at)) => Ink::Comment,
        _ => Ink::Plain,
    };
    let mut all = Vec::new();
    let mut start = 0;
    for (number, text) in source.split('\n').enumerate() {
        let end = start + text.len();
        let mut pieces = Vec::new();
        let mut at = start;
        for cut in cuts.iter().copied().filter(|cut| start <= *cut && *cut < end).chain([end]) {
            if let Some(text) = source.get(at..cut).filter(|text| !text.is_empty()) {
                pieces.push(Piece { text: text.to_string(), ink: ink(at) });
                at = cut;
            }
            if caret == Some(cut) {
                pieces.push(Piece { text: String::new(), ink: Ink::Caret });
            }
        }
        all.push(Line {
            pieces,
            in_rung: rung.is_some_and(|rung| rung.start <= end && start < rung.end),
            wrong: wrong.contains(&(number as u32 + 1)),
        });
        start = end + 1;
    }
    all
}

/// Bytes of the comments.
fn comments(source: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(offset) = source[at..].find(['(', '/']) {
        let start = at + offset;
        let rest = &source[start..];
        let length = if rest.starts_with("(*") {
            super::places::comment_length(rest)
        } else if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else {
            at = start + 1;
            continue;
        };
        found.push(start..start + length);
        at = start + length;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(source: &str, hand: Option<Range<usize>>, caret: Option<usize>) -> Vec<Vec<(String, Ink)>> {
        lines(source, None, hand.as_ref(), &[], caret)
            .into_iter()
            .map(|line| line.pieces.into_iter().map(|p| (p.text, p.ink)).collect())
            .collect()
    }

    #[test]
    fn pieces_join_to_the_text() {
        let source = "a := b; (* ü\n c *) d\n\n// e";
        for hand in [None, Some(5..6), Some(0..source.len())] {
            let joined: Vec<String> =
                shown(source, hand, None).into_iter().map(|l| l.into_iter().map(|p| p.0).collect()).collect();
            assert_eq!(joined.join("\n"), source);
        }
    }

    #[test]
    fn inks_are_told_apart() {
        let seen = shown("x(* c *)y", Some(8..9), Some(9));
        let plain = |text: &str, ink| (text.to_string(), ink);
        assert_eq!(
            seen,
            [vec![
                plain("x", Ink::Plain),
                plain("(* c *)", Ink::Comment),
                plain("y", Ink::Hand),
                plain("", Ink::Caret)
            ]]
        );
    }

    #[test]
    fn lines_know_their_rung_and_errors() {
        let all = lines("a\nb\nc\n", Some(&(2..5)), None, &[3], None);
        assert_eq!(
            all.iter().map(|l| (l.in_rung, l.wrong)).collect::<Vec<_>>(),
            [(false, false), (true, false), (true, true), (false, false)]
        );
    }
}
