//! The sheet in view as the anchor of the page's address, so that going back and a link to a sheet work.

use super::page;
use crate::store::Sheet;
use gloo::events::EventListener;

/// The sheet that the address names.
pub fn sheet() -> Option<Sheet> {
    let hash = page::window()?.location().hash().ok()?;
    Sheet::from_anchor(hash.trim_start_matches('#'))
}

/// Puts the sheet into the address.
pub fn set(from: Option<Sheet>, sheet: Sheet) {
    if from != Some(sheet)
        && let Some(window) = page::window()
    {
        let _ = window.location().set_hash(sheet.anchor());
    }
}

/// Calls `turned` when a person goes back or follows a link to another sheet.
pub fn listen(turned: impl Fn(Sheet) + 'static) -> Option<EventListener> {
    let window = page::window()?;
    Some(EventListener::new(&window, "hashchange", move |_| {
        if let Some(sheet) = sheet() {
            turned(sheet);
        }
    }))
}
