//! Light or dark: put on the page, and remembered by the browser.

use super::page;
use crate::store::Theme;

const KEY: &str = "sealin-theme";

/// The choice that was remembered.
pub fn remembered() -> Theme {
    let storage = page::window().and_then(|window| window.local_storage().ok().flatten());
    let word = storage.and_then(|storage| storage.get_item(KEY).ok().flatten());
    word.and_then(|word| Theme::from_word(&word)).unwrap_or_default()
}

/// Puts the choice on the page and remembers it. A browser that keeps nothing is no reason to complain here.
pub fn apply(theme: Theme) {
    if let Some(root) = page::document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute("data-theme", theme.word());
    }
    if let Some(storage) = page::window().and_then(|window| window.local_storage().ok().flatten()) {
        let _ = storage.set_item(KEY, theme.word());
    }
}
