//! Light or dark: put on the page, and remembered by the browser.

use super::page;
use crate::store::Theme;
use web_sys::MediaQueryList;

const KEY: &str = "sealin-theme";
const ATTRIBUTE: &str = "data-theme";

/// The choice that was remembered.
pub fn remembered() -> Theme {
    page::remembered(KEY).and_then(|word| Theme::from_word(&word)).unwrap_or_default()
}

/// Puts the choice on the page and remembers it.
pub fn apply(theme: Theme) {
    if let Some(root) = page::document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute(ATTRIBUTE, theme.word());
    }
    page::remember(KEY, theme.word());
}

/// The word of the choice on the page.
pub fn on_page() -> Option<String> {
    page::document()?.document_element()?.get_attribute(ATTRIBUTE)
}

/// Whether the machine's user wants it dark, to be asked again at any time.
pub fn dark_wanted() -> Option<MediaQueryList> {
    page::window()?.match_media("(prefers-color-scheme: dark)").ok().flatten()
}
