//! The clipboard: what a copy or paste event carries, and writing to it after a touch.

use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{ClipboardEvent, DataTransfer, Event};

fn data(event: &Event) -> Option<DataTransfer> {
    event.dyn_ref::<ClipboardEvent>()?.clipboard_data()
}

/// The text that is being pasted.
pub fn pasted(event: &Event) -> Option<String> {
    data(event)?.get_data("text/plain").ok().filter(|text| !text.trim().is_empty())
}

/// Gives a text to the copying that is under way.
pub fn give(event: &Event, text: &str) {
    if let Some(data) = data(event)
        && data.set_data("text/plain", text).is_ok()
    {
        event.prevent_default();
    }
}

/// Puts a text on the clipboard. A browser may refuse that, or have none for a page without encryption; then it can still
/// be pasted on this sheet.
pub fn write(text: &str) {
    let Some(navigator) = super::page::window().map(|window| window.navigator()) else { return };
    let has = js_sys::Reflect::get(&navigator, &"clipboard".into()).is_ok_and(|found| found.is_object());
    if has {
        let written = navigator.clipboard().write_text(text);
        wasm_bindgen_futures::spawn_local(async move {
            let _ = JsFuture::from(written).await;
        });
    }
}
