//! Names that fit what is being written.

/// The most names offered for a word.
const MOST: usize = 6;

/// A name that can be written, with what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// The name.
    pub name: String,
    /// Its address, or what else tells it from others.
    pub note: String,
}

/// What can be put in the place of the word at the caret.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// First byte of the word that is replaced.
    pub start: usize,
    /// Byte just after it: the caret.
    pub end: usize,
    /// What fits, best first.
    pub offers: Vec<Offer>,
}

/// What fits the word before the caret; none where nothing has been written or it is already whole.
pub fn complete(source: &str, caret: usize, offers: &[Offer]) -> Option<Completion> {
    let (start, word) = super::places::word_before(source, caret);
    // In the middle of a word nothing is offered.
    let goes_on = source.get(caret..)?.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '_');
    if word.is_empty() || goes_on || word.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let wanted = word.to_ascii_lowercase();
    let mut fitting: Vec<&Offer> =
        offers.iter().filter(|offer| offer.name.to_ascii_lowercase().contains(&wanted)).collect();
    // Those that begin with it first, each in the order of declaration.
    fitting.sort_by_key(|offer| !offer.name.to_ascii_lowercase().starts_with(&wanted));
    if fitting.is_empty() || fitting.iter().any(|offer| offer.name.eq_ignore_ascii_case(word)) {
        return None;
    }
    Some(Completion { start, end: caret, offers: fitting.into_iter().take(MOST).cloned().collect() })
}

/// The same for a field of one line: where no word has been begun all are offered, so that none has to be written.
pub fn complete_line(line: &str, caret: usize, offers: &[Offer]) -> Option<Completion> {
    let (start, word) = super::places::word_before(line, caret);
    let before = line.get(..start)?.trim_end();
    // After a name comes a word of the language, which is not offered.
    let wants_name = before.is_empty()
        || before.ends_with(['(', '=', ','])
        || ["and", "or", "not"].iter().any(|w| before.to_ascii_lowercase().ends_with(w));
    if !word.is_empty() {
        return complete(line, caret, offers);
    }
    (wants_name && !offers.is_empty() && line.get(caret..)?.trim().is_empty()).then(|| Completion {
        start: caret,
        end: caret,
        offers: offers.to_vec(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names() -> Vec<Offer> {
        let offer = |name: &str| Offer { name: name.into(), note: String::new() };
        ["SF1_in", "QA1_in", "QA1_out", "fresh", "rest.Q"].map(offer).to_vec()
    }

    fn told(completion: Option<Completion>) -> Vec<String> {
        completion.map(|c| c.offers.into_iter().map(|offer| offer.name).collect()).unwrap_or_default()
    }

    fn offered(text: &str) -> Vec<String> {
        told(complete(text, text.len(), &names()))
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

    #[test]
    fn a_field_offers_all_where_a_name_may_stand() {
        let line = |text: &str| told(complete_line(text, text.len(), &names())).len();
        assert_eq!([line(""), line("not "), line("fresh and "), line("(")], [5; 4]);
        assert_eq!([line("fresh "), line("fresh")], [0; 2]);
        assert_eq!(line("fr"), 1);
    }
}
