//! Typed entry of a conductor, `QA1:14 > KF1:I4`: reading and completion.

use super::circuit::Circuit;
use super::remarks::MOST_IN_A_TERMINAL;
use sealin_core::part::{Kind, Part};
use sealin_core::plan::{Conductor, Terminal};

/// Why a line is not a conductor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EntryError {
    /// There is no `>` between two ends.
    NoArrow,
    /// An end is not written as a tag, a colon and a terminal.
    NotATerminal(String),
    /// There is no part with this tag.
    NoPart(String),
    /// The part has no such terminal; it has these.
    NoTerminal {
        /// Tag of the part.
        part: String,
        /// What was written.
        name: String,
        /// Terminals that there are.
        has: Vec<String>,
    },
    /// Both ends are one terminal.
    SameTerminal(Terminal),
}

/// Reads `QA1:14 > KF1:I4`. Capital and small letters are not told apart.
///
/// # Errors
/// What is wrong with which end.
pub fn read(parts: &[Part], text: &str) -> Result<(Terminal, Terminal), EntryError> {
    let (from, to) = text.split_once(['>', '→']).ok_or(EntryError::NoArrow)?;
    let (from, to) = (resolve(parts, from)?, resolve(parts, to)?);
    if from == to { Err(EntryError::SameTerminal(from)) } else { Ok((from, to)) }
}

/// The terminal that a text names.
///
/// # Errors
/// What is wrong with it.
pub fn resolve(parts: &[Part], text: &str) -> Result<Terminal, EntryError> {
    let text = text.trim();
    let Some((tag, name)) = text.split_once(':') else {
        return Err(EntryError::NotATerminal(text.to_string()));
    };
    let (tag, name) = (tag.trim(), name.trim());
    let part = parts
        .iter()
        .find(|p| p.tag.eq_ignore_ascii_case(tag))
        .ok_or_else(|| EntryError::NoPart(tag.to_string()))?;
    let terminals = part.terminals();
    match terminals.iter().find(|t| t.eq_ignore_ascii_case(name)) {
        Some(found) => Ok(Terminal::new(&part.tag, found)),
        None => {
            Err(EntryError::NoTerminal { part: part.tag.clone(), name: name.to_string(), has: terminals })
        }
    }
}

/// What there is to say about a terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Occupancy {
    /// Conductors in it.
    pub conductors: usize,
    /// Wire number of its potential, if it has one.
    pub number: Option<String>,
    /// For a channel: its common terminal, and whether a conductor joins that to anything.
    pub common: Option<(String, bool)>,
}

impl Occupancy {
    /// The most that a terminal takes.
    pub const FULL: usize = MOST_IN_A_TERMINAL;

    /// What is in a terminal.
    pub fn of(parts: &[Part], conductors: &[Conductor], circuit: &Circuit, terminal: &Terminal) -> Occupancy {
        let ends = |t: &Terminal| conductors.iter().filter(|c| c.from == *t || c.to == *t).count();
        let common = parts.iter().find(|p| p.tag == terminal.part).and_then(|part| match &part.kind {
            Kind::Controller(c) => c
                .groups()
                .find(|(channels, _)| channels.contains(&terminal.name))
                .map(|(_, common)| (common.clone(), ends(&Terminal::new(&part.tag, common)) > 0)),
            _ => None,
        });
        Occupancy {
            conductors: ends(terminal),
            number: circuit.numbers(terminal).next().map(str::to_string),
            common,
        }
    }
}

/// One way to go on with a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// The whole line with it.
    pub line: String,
    /// What is added, as a person reads it: a tag or a terminal.
    pub label: String,
    /// The part's function, when a tag is added.
    pub function: Option<String>,
    /// The terminal, when one is added.
    pub terminal: Option<Terminal>,
}

/// Most completions offered at once.
pub const MOST: usize = 8;

/// Ways to go on with the end that is being written. Free terminals come before full ones.
pub fn complete(parts: &[Part], conductors: &[Conductor], text: &str) -> Vec<Completion> {
    let (head, end) = match text.rfind(['>', '→']) {
        Some(at) => {
            let first = text[..at].trim();
            let after = text[at..].char_indices().nth(1).map_or(text.len(), |(i, _)| at + i);
            (format!("{first} > "), text[after..].trim_start())
        }
        None => (String::new(), text.trim_start()),
    };
    let starts = |whole: &str, written: &str| {
        whole.get(..written.len()).is_some_and(|start| start.eq_ignore_ascii_case(written))
    };
    let other = (!head.is_empty()).then(|| resolve(parts, head.trim_end_matches("> ")).ok()).flatten();
    let Some((tag, name)) = end.split_once(':') else {
        let mut found: Vec<&Part> = parts.iter().filter(|p| starts(&p.tag, end.trim_end())).collect();
        found.sort_by(|a, b| a.tag.cmp(&b.tag));
        return found
            .into_iter()
            .take(MOST)
            .map(|p| Completion {
                line: format!("{head}{}:", p.tag),
                label: p.tag.clone(),
                function: Some(p.function.clone()),
                terminal: None,
            })
            .collect();
    };
    let Some(part) = parts.iter().find(|p| p.tag.eq_ignore_ascii_case(tag.trim())) else { return Vec::new() };
    let mut found: Vec<(bool, Terminal)> = part
        .terminals()
        .iter()
        .filter(|t| starts(t, name.trim()))
        .map(|t| Terminal::new(&part.tag, t))
        .filter(|t| Some(t) != other.as_ref())
        .map(|t| (conductors.iter().filter(|c| c.from == t || c.to == t).count() >= Occupancy::FULL, t))
        .collect();
    found.sort_by_key(|(full, _)| *full);
    let arrow = if head.is_empty() { " > " } else { "" };
    found
        .into_iter()
        .take(MOST)
        .map(|(_, t)| Completion {
            line: format!("{head}{t}{arrow}"),
            label: t.name.clone(),
            function: None,
            terminal: Some(t),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::{learners, paddle, t};

    #[test]
    fn reads_a_line() {
        let (parts, _) = paddle();
        assert_eq!(read(&parts, "QA1:14 > KF1:I4"), Ok((t("QA1:14"), t("KF1:I4"))));
        assert_eq!(read(&parts, " qa1 : 14>kf1:cq2 "), Ok((t("QA1:14"), t("KF1:CQ2"))));
        assert_eq!(read(&parts, "TB1:- → TB1:+"), Ok((t("TB1:-"), t("TB1:+"))));
    }

    #[test]
    fn says_what_is_wrong() {
        let (parts, _) = paddle();
        assert_eq!(read(&parts, "QA1:14"), Err(EntryError::NoArrow));
        assert_eq!(read(&parts, "QA1 > KF1:I4"), Err(EntryError::NotATerminal("QA1".into())));
        assert_eq!(read(&parts, "QA9:14 > KF1:I4"), Err(EntryError::NoPart("QA9".into())));
        let has = ["13", "14"].map(String::from).to_vec();
        let no_terminal = EntryError::NoTerminal { part: "SF2".into(), name: "11".into(), has };
        assert_eq!(read(&parts, "SF2:11 > KF1:I4"), Err(no_terminal));
        assert_eq!(read(&parts, "QA1:14 > qa1:14"), Err(EntryError::SameTerminal(t("QA1:14"))));
    }

    fn lines(text: &str) -> Vec<String> {
        let (parts, given) = paddle();
        complete(&parts, &given, text).into_iter().map(|c| c.line).collect()
    }

    #[test]
    fn completes_tags_and_terminals() {
        assert_eq!(lines("qa"), ["QA1:", "QA2:"]);
        assert_eq!(lines("QA1:1"), ["QA1:13 > ", "QA1:14 > ", "QA1:1 > "], "free ones first; 1 is full");
        assert_eq!(lines("QA1:14 > KF1:I")[..2], ["QA1:14 > KF1:I0", "QA1:14 > KF1:I1"]);
        assert_eq!(lines("QA1:14>pf"), ["QA1:14 > PF1:"]);
        assert!(!lines("QA1:14 > QA1:1").contains(&"QA1:14 > QA1:14".to_string()));
        assert!(lines("ä:ß > €").is_empty());
        assert_eq!(lines("").len(), MOST);
    }

    #[test]
    fn tells_what_is_in_a_terminal() {
        let (parts, mut all) = paddle();
        let of =
            |all: &[Conductor], text: &str| Occupancy::of(&parts, all, &Circuit::new(&parts, all), &t(text));
        let free = Occupancy { conductors: 0, number: None, common: Some(("CI2".into(), false)) };
        assert_eq!(of(&all, "KF1:I4"), free);
        assert_eq!(of(&all, "KF1:I3").common, Some(("CI1".into(), true)));
        assert_eq!(of(&all, "XD4:7"), Occupancy { conductors: 0, number: Some("201".into()), common: None });
        assert_eq!(of(&all, "QA1:1").conductors, 2);
        all.extend(learners());
        assert_eq!(of(&all, "KF1:I4").common, Some(("CI2".into(), true)));
    }
}
