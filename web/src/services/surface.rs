//! The element of a drawing: where it is on the screen, pointers kept with it, focus inside it.

use gloo::events::{EventListener, EventListenerOptions};
use wasm_bindgen::JsCast;
use web_sys::{Element, Event, HtmlElement, HtmlInputElement, SvgElement, WheelEvent};
use yew::NodeRef;

/// Left, top, width and height of an element on the screen, CSS pixels.
pub fn bounds(node: &NodeRef) -> Option<[f64; 4]> {
    let b = node.cast::<Element>()?.get_bounding_client_rect();
    Some([b.left(), b.top(), b.width(), b.height()])
}

/// The same of the first element that a selector of the page finds.
pub fn bounds_of(selector: &str) -> Option<[f64; 4]> {
    let b = find(selector)?.get_bounding_client_rect();
    Some([b.left(), b.top(), b.width(), b.height()])
}

/// Scrolls so that the first element that a selector of the page finds is in the middle of the view.
pub fn center(selector: &str) {
    if let Some(element) = find(selector) {
        let options = web_sys::ScrollIntoViewOptions::new();
        options.set_block(web_sys::ScrollLogicalPosition::Center);
        element.scroll_into_view_with_scroll_into_view_options(&options);
    }
}

/// Moves an element from the upper left corner of the page to a place, CSS pixels.
pub fn put(node: &NodeRef, x: f64, y: f64) {
    if let Some(element) = node.cast::<HtmlElement>() {
        let _ = element.style().set_property("translate", &format!("{x:.1}px {y:.1}px"));
    }
}

/// Moves the focus to the element that has this id.
pub fn focus_id(id: &str) {
    let element = super::page::document().and_then(|document| document.get_element_by_id(id));
    if let Some(element) = element.and_then(|element| element.dyn_into::<HtmlElement>().ok()) {
        let _ = element.focus();
    }
}

fn find(selector: &str) -> Option<Element> {
    super::page::document()?.query_selector(selector).ok()?
}

/// What a selector finds within an element, of this kind and in the order of the page.
pub fn within<T: JsCast>(element: &Element, selector: &str) -> Vec<T> {
    let Ok(all) = element.query_selector_all(selector) else { return Vec::new() };
    (0..all.length()).filter_map(|n| all.item(n)?.dyn_into().ok()).collect()
}

/// Keeps a pointer with the element until it goes up.
pub fn capture(node: &NodeRef, pointer: i32) {
    if let Some(element) = node.cast::<Element>() {
        // Refused when the pointer is already gone; then nothing is lost.
        let _ = element.set_pointer_capture(pointer);
    }
}

/// Moves the focus to the part of the element that has this value in `data-terminal`.
pub fn focus_terminal(node: &NodeRef, terminal: &str) {
    let Some(element) = node.cast::<Element>() else { return };
    let mut all = within::<SvgElement>(&element, "[data-terminal]").into_iter();
    if let Some(found) = all.find(|e| e.get_attribute("data-terminal").as_deref() == Some(terminal)) {
        let _ = found.focus();
    }
}

/// Moves the focus to the cell of a table: the last one of the row that begins at or before the column.
pub fn focus_cell(node: &NodeRef, row: &str, column: usize) {
    let Some(element) = node.cast::<Element>() else { return };
    let cells = within::<HtmlElement>(&element, "[data-row]").into_iter();
    let mut here =
        cells.filter(|cell| cell.get_attribute("data-row").as_deref() == Some(row)).filter(|cell| {
            cell.get_attribute("data-column")
                .and_then(|c| c.parse::<usize>().ok())
                .is_some_and(|c| c <= column)
        });
    if let Some(cell) = here.next_back() {
        let _ = cell.focus();
    }
}

/// Whether an element has the focus.
pub fn has_focus(node: &NodeRef) -> bool {
    node.cast::<Element>().is_some_and(|element| element.matches(":focus").unwrap_or(false))
}

/// Moves the focus into a field, its whole text chosen or the caret at its end.
pub fn take_up(node: &NodeRef, whole: bool) {
    let Some(field) = node.cast::<HtmlInputElement>() else { return };
    let _ = field.focus();
    if whole {
        field.select();
    } else {
        let end = field.value().encode_utf16().count() as u32;
        let _ = field.set_selection_range(end, end);
    }
}

/// Moves the focus to an element.
pub fn focus(node: &NodeRef) {
    if let Some(element) = node.cast::<HtmlElement>() {
        let _ = element.focus();
    }
}

/// The value of `data-terminal` at or around the target of an event.
pub fn terminal_of(event: &Event) -> Option<String> {
    let target = event.target()?.dyn_into::<Element>().ok()?;
    target.closest("[data-terminal]").ok()??.get_attribute("data-terminal")
}

/// The value of `data-terminal` at a place on the screen, CSS pixels.
pub fn terminal_at(x: f64, y: f64) -> Option<String> {
    let element = super::page::document()?.element_from_point(x as f32, y as f32)?;
    element.closest("[data-terminal]").ok()??.get_attribute("data-terminal")
}

/// Whether text is being written in the target of an event: then keys belong to the text.
pub fn is_text(event: &Event) -> bool {
    let tag =
        event.target().and_then(|t| t.dyn_into::<Element>().ok()).map(|e| e.tag_name().to_ascii_lowercase());
    matches!(tag.as_deref(), Some("input" | "textarea" | "select"))
}

/// Brings an element into view, moving as little as possible.
pub fn reveal(node: &NodeRef) {
    if let Some(element) = node.cast::<Element>() {
        let options = web_sys::ScrollIntoViewOptions::new();
        options.set_block(web_sys::ScrollLogicalPosition::Nearest);
        element.scroll_into_view_with_scroll_into_view_options(&options);
    }
}

/// Listens to the wheel on an element; `turned` says whether it used the turn, and the page then does not scroll.
pub fn on_wheel(node: &NodeRef, turned: impl Fn(&WheelEvent) -> bool + 'static) -> Option<EventListener> {
    let element = node.cast::<Element>()?;
    let options = EventListenerOptions::enable_prevent_default();
    Some(EventListener::new_with_options(&element, "wheel", options, move |event| {
        if event.dyn_ref::<WheelEvent>().is_some_and(&turned) {
            event.prevent_default();
        }
    }))
}
