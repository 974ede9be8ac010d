//! Light or dark: put on the page, and remembered by the browser.

use super::page;
use crate::store::Theme;

const KEY: &str = "sealin-theme";

/// The choice that was remembered.
pub fn remembered() -> Theme {
    page::remembered(KEY).and_then(|word| Theme::from_word(&word)).unwrap_or_default()
}

/// Puts the choice on the page and remembers it.
pub fn apply(theme: Theme) {
    if let Some(root) = page::document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute("data-theme", theme.word());
    }
    page::remember(KEY, theme.word());
}
