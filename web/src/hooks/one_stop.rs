//! A list of buttons, or a row of them, with one stop of the Tab key: within it the arrow keys, Home and End go on (W3C ARIA Authoring
//! Practices, keyboard navigation inside components).

use crate::services::surface::within;
use gloo::events::{EventListener, EventListenerOptions};
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlElement};
use yew::prelude::*;

/// Keeps one stop among the elements of `list` that the selector `buttons` fits: the one that had the focus last, else the
/// first that is pressed, else the first.
#[hook]
pub fn use_one_stop(list: &NodeRef, buttons: &'static str) {
    let listening = use_mut_ref(|| None::<(Element, [EventListener; 2])>);
    let list = list.clone();
    use_effect(move || {
        let list = list.cast::<Element>();
        if let Some(list) = &list {
            settle(&within(list, buttons), None);
        }
        // The list may come to be, or be made anew, while the sheet is open.
        let mut listening = listening.borrow_mut();
        if listening.as_ref().map(|(list, _)| list) != list.as_ref() {
            *listening = list.map(|list| (list.clone(), listen(list, buttons)));
        }
    });
}

fn listen(list: Element, buttons: &'static str) -> [EventListener; 2] {
    let focused = {
        let list = list.clone();
        EventListener::new(&list.clone(), "focusin", move |event| {
            let at = event.target().and_then(|target| target.dyn_into::<HtmlElement>().ok());
            settle(&within(&list, buttons), at.as_ref());
        })
    };
    let options = EventListenerOptions::enable_prevent_default();
    let keys = EventListener::new_with_options(&list.clone(), "keydown", options, move |event| {
        let all = within::<HtmlElement>(&list, buttons);
        let target = event.target().and_then(|target| target.dyn_into::<HtmlElement>().ok());
        let at = target.and_then(|target| all.iter().position(|one| *one == target));
        let key = event.dyn_ref::<KeyboardEvent>().map(KeyboardEvent::key).unwrap_or_default();
        if let Some(next) = at.and_then(|at| step(&key, at, all.len())) {
            event.prevent_default();
            let _ = all[next].focus();
        }
    });
    [focused, keys]
}

fn settle(all: &[HtmlElement], focused: Option<&HtmlElement>) {
    let has = |name: &'static str, value: &'static str| {
        all.iter().position(move |one| one.get_attribute(name).as_deref() == Some(value))
    };
    let stop = focused
        .and_then(|focused| all.iter().position(|one| one == focused))
        .or_else(|| has("tabindex", "0"))
        .or_else(|| has("aria-pressed", "true"))
        .unwrap_or(0);
    for (n, one) in all.iter().enumerate() {
        let index = if n == stop { "0" } else { "-1" };
        if one.get_attribute("tabindex").as_deref() != Some(index) {
            let _ = one.set_attribute("tabindex", index);
        }
    }
}

/// Where a key leads from place `at` of `count`; none if it leads nowhere.
fn step(key: &str, at: usize, count: usize) -> Option<usize> {
    match key {
        "ArrowDown" | "ArrowRight" => Some(at + 1).filter(|next| *next < count),
        "ArrowUp" | "ArrowLeft" => at.checked_sub(1),
        "Home" => Some(0),
        "End" => count.checked_sub(1),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::step;

    #[test]
    fn keys_stay_within_the_list() {
        assert_eq!(step("ArrowDown", 0, 3), Some(1));
        assert_eq!(step("ArrowDown", 2, 3), None);
        assert_eq!(step("ArrowUp", 0, 3), None);
        assert_eq!((step("ArrowRight", 1, 3), step("ArrowLeft", 1, 3)), (Some(2), Some(0)));
        assert_eq!((step("Home", 2, 3), step("End", 0, 3)), (Some(0), Some(2)));
        assert_eq!(step("a", 1, 3), None);
    }
}
