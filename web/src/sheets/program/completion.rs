//! Names that fit what is being written.

/// The most names offered at once.
const MOST: usize = 6;

/// What can be put in the place of the word at the caret.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// First byte of the word that is replaced.
    pub start: usize,
    /// Byte just after it: the caret.
    pub end: usize,
    /// What fits, best first.
    pub names: Vec<String>,
}

/// What fits the word before the caret; none where nothing has been written or it is already whole.
pub fn complete(source: &str, caret: usize, names: &[String]) -> Option<Completion> {
    let (start, word) = super::places::word_before(source, caret);
    // In the middle of a word nothing is offered.
    let goes_on = source.get(caret..)?.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '_');
    if word.is_empty() || goes_on || word.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let wanted = word.to_ascii_lowercase();
    let mut fitting: Vec<&String> =
        names.iter().filter(|name| name.to_ascii_lowercase().contains(&wanted)).collect();
    // Those that begin with it first, each in the order of declaration.
    fitting.sort_by_key(|name| !name.to_ascii_lowercase().starts_with(&wanted));
    if fitting.is_empty() || fitting.iter().any(|name| name.eq_ignore_ascii_case(word)) {
        return None;
    }
    Some(Completion { start, end: caret, names: fitting.into_iter().take(MOST).cloned().collect() })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names() -> Vec<String> {
        ["SF1_in", "QA1_in", "QA1_out", "fresh", "rest.Q"].map(String::from).to_vec()
    }

    fn offered(text: &str) -> Vec<String> {
        complete(text, text.len(), &names()).map(|c| c.names).unwrap_or_default()
    }

    #[test]
    fn beginnings_come_first_then_parts() {
        assert_eq!(offered("q := NOT qa1"), ["QA1_in", "QA1_out"]);
        assert_eq!(offered("q := i"), ["SF1_in", "QA1_in"]);
        assert_eq!(offered("q := re"), ["rest.Q", "fresh"]);
    }

    #[test]
    fn nothing_for_a_whole_word_a_gap_or_the_middle() {
        assert!(offered("q := fresh").is_empty());
        assert!(offered("q := ").is_empty());
        assert_eq!(complete("q := QA1_x", 7, &names()), None);
        assert_eq!(complete("ä", 1, &names()), None, "a caret inside a character");
    }
}
