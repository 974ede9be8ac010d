//! Words of a text, and what stands in braces in it.

/// What stands in the braces of a text.
pub(super) fn marks(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let (_, mark, after) = next_mark(rest)?;
        rest = after;
        Some(mark)
    })
}

/// What stands before the first braces of a text that close in the same line, in them, and after them.
pub(super) fn next_mark(text: &str) -> Option<(&str, &str, &str)> {
    text.match_indices('{').find_map(|(open, _)| {
        let inside = &text[open + 1..];
        let close = inside.find(['}', '\n', '{']).filter(|close| inside.as_bytes()[*close] == b'}')?;
        Some((&text[..open], &inside[..close], &inside[close + 1..]))
    })
}

/// Whether a character belongs to a word.
pub(super) fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Where the word at the beginning of a text ends; 0 where there is none.
pub(super) fn word_end(text: &str) -> usize {
    text.find(|c| !is_word(c)).unwrap_or(text.len())
}

/// The words of a text, each with its place.
pub(super) fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let split = text.split(|c| !is_word(c)).filter(|word| !word.is_empty());
    split.map(move |word| (word.as_ptr() as usize - text.as_ptr() as usize, word))
}
