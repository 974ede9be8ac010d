//! The sheet in view as the anchor of the page's address, so that going back and a link to a sheet work; and attempts that an
//! address carries.

use super::page;
use crate::store::Sheet;
use crate::store::model::Attempt;
use gloo::events::EventListener;

/// The sheet that the address names.
pub fn sheet() -> Option<Sheet> {
    let hash = page::window()?.location().hash().ok()?;
    Sheet::from_anchor(hash.trim_start_matches('#'))
}

/// The attempt that the address carries, or what is wrong with it.
pub fn attempt() -> Option<Result<Attempt, String>> {
    Attempt::from_fragment(&page::window()?.location().hash().ok()?)
}

/// The address that carries an attempt; none when it would be too long.
pub fn link(attempt: &Attempt) -> Option<String> {
    let here = page::window()?.location().href().ok()?;
    let page = here.split('#').next().unwrap_or_default();
    Some(format!("{page}#{}", attempt.to_fragment()?))
}

/// Puts the sheet into the address.
pub fn set(from: Option<Sheet>, sheet: Sheet) {
    if from != Some(sheet)
        && let Some(window) = page::window()
    {
        let _ = window.location().set_hash(sheet.anchor());
    }
}

/// Calls `turned` when a person goes back or follows a link to another sheet, and `carried` when a link carries an attempt.
pub fn listen(turned: impl Fn(Sheet) + 'static, carried: impl Fn() + 'static) -> Option<EventListener> {
    let window = page::window()?;
    Some(EventListener::new(&window, "hashchange", move |_| match sheet() {
        Some(sheet) => turned(sheet),
        None => carried(),
    }))
}
