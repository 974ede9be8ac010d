//! Printing: something is put on the page beside the app for as long as a print lasts.

use super::page;
use super::surface::within;
use gloo::events::EventListener;
use gloo::timers::callback::Timeout;
use std::cell::RefCell;
use web_sys::Element;
use yew::prelude::*;

/// Takes away what is on the page for a print.
type TakeAway = Box<dyn FnOnce()>;

thread_local! {
    static ON_PAGE: RefCell<Option<TakeAway>> = const { RefCell::new(None) };
    static LISTENERS: RefCell<Vec<EventListener>> = const { RefCell::new(Vec::new()) };
}

/// Mounts a component in the page's body, asks the browser to print once the component says that it is ready, and takes
/// it away with the first touch after that. Not with the browser's word that it has printed: some still ask for the
/// page when another size of paper is chosen.
pub fn print<C>(props: impl FnOnce(Callback<()>) -> C::Properties)
where
    C: BaseComponent,
{
    clear();
    let place =
        page::document().and_then(|document| Some((document.body()?, document.create_element("div").ok()?)));
    let Some((body, host)) = place else { return };
    host.set_class_name("documents");
    if body.append_child(&host).is_err() {
        return;
    }
    // After this turn, so that what was rendered last is on the page.
    let ready = Callback::from(|()| {
        Timeout::new(0, ask).forget();
    });
    let app = yew::Renderer::<C>::with_root_and_props(host.clone(), props(ready)).render();
    ON_PAGE.set(Some(Box::new(move || {
        app.destroy();
        host.remove();
    })));
}

fn ask() {
    let Some(window) = page::window() else { return };
    let _ = window.print();
    let touches = ["pointermove", "pointerdown", "keydown"];
    LISTENERS.set(touches.map(|touch| EventListener::new(&window, touch, |_| clear())).into());
}

fn clear() {
    if let Some(take_away) = ON_PAGE.take() {
        take_away();
        // Not from within one of them.
        Timeout::new(0, || LISTENERS.set(Vec::new())).forget();
    }
}

/// Heights of what a selector finds below a node, CSS pixels, in the order of the page.
pub fn heights(node: &NodeRef, selector: &str) -> Vec<f64> {
    let Some(element) = node.cast::<Element>() else { return Vec::new() };
    let found = within::<Element>(&element, selector).into_iter();
    found.map(|element| element.get_bounding_client_rect().height()).collect()
}

/// The day as this machine's calendar says, `2026-11-27`.
pub fn today() -> String {
    day(&js_sys::Date::new_0())
}

/// The day that it was so many ms after `started`, as [`page::draw`] writes it; none where that is no time.
pub fn day_after(started: &str, ms: u64) -> Option<String> {
    let time = js_sys::Date::parse(started) + ms as f64;
    time.is_finite().then(|| day(&js_sys::Date::new(&time.into())))
}

fn day(date: &js_sys::Date) -> String {
    format!("{}-{:02}-{:02}", date.get_full_year(), date.get_month() + 1, date.get_date())
}
