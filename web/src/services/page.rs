//! The page itself: its root, its clock, whether it is seen.

use web_sys::{Document, Element, Node, VisibilityState, Window};

/// The window; none in a worker.
pub fn window() -> Option<Window> {
    web_sys::window()
}

/// The document; none in a worker.
pub fn document() -> Option<Document> {
    window().and_then(|window| window.document())
}

/// The element that the app renders into; none in a worker.
pub fn root() -> Option<Element> {
    document().and_then(|document| document.get_element_by_id("app"))
}

/// Wall clock since the page was opened, ms.
pub fn clock_ms() -> f64 {
    window().and_then(|window| window.performance()).map_or(0.0, |performance| performance.now())
}

/// Width and height of what can be seen of the page, CSS pixels.
pub fn room() -> Option<(f64, f64)> {
    let root = document()?.document_element()?;
    Some((root.client_width().into(), root.client_height().into()))
}

/// Nothing has the keyboard: what had it is gone.
pub fn focus_is_free() -> bool {
    document().is_some_and(|document| {
        let at = document.active_element();
        at.is_none_or(|at| document.body().is_some_and(|body| *body == at))
    })
}

/// What the browser remembers under a name.
pub fn remembered(name: &str) -> Option<String> {
    window()?.local_storage().ok()??.get_item(name).ok()?
}

/// Has the browser remember something. One that keeps nothing is no reason to complain.
pub fn remember(name: &str, text: &str) {
    if let Some(storage) = window().and_then(|window| window.local_storage().ok().flatten()) {
        let _ = storage.set_item(name, text);
    }
}

/// Has a node without children of Yew's own say `text`. Where it holds a text it keeps it, with another content: a new one would
/// have the browser compute styles around it.
pub fn write_text(node: &Node, text: &str) {
    match node.first_child() {
        Some(held) if held.node_type() == Node::TEXT_NODE => held.set_node_value(Some(text)),
        _ => node.set_text_content(Some(text)),
    }
}

/// A finger is what this machine is worked with.
pub fn by_finger() -> bool {
    let query = window().and_then(|window| window.match_media("(pointer: coarse)").ok().flatten());
    query.is_some_and(|query| query.matches())
}

/// The page is not seen.
pub fn hidden() -> bool {
    document().is_some_and(|document| document.visibility_state() == VisibilityState::Hidden)
}

/// The day by this machine's calendar, as ISO 8601 has it.
pub fn today() -> String {
    let now = js_sys::Date::new_0();
    format!("{:04}-{:02}-{:02}", now.get_full_year(), now.get_month() + 1, now.get_date())
}

/// What calendar and clock of this machine say, ISO 8601.
pub fn now() -> String {
    String::from(js_sys::Date::new_0().to_iso_string())
}

/// A seed, and what calendar and clock of this machine say: for the head of a new attempt.
pub fn draw() -> (u64, String) {
    // A seed need not be secret; 2^53 values are what the generator gives.
    let seed = (js_sys::Math::random() * 9_007_199_254_740_992.0) as u64;
    (seed, now())
}
