//! A key for each sheet, wherever on the page the focus is: Control and Shift with its number. No browser has a use for
//! them, where Alt or Control alone with a digit turns to a tab in some and writes a character in others.

use super::{takes_keyboard, use_selector, use_workshop};
use crate::services::page;
use crate::store::{Command, ScreenAct, Sheet};
use gloo::events::EventListener;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;
use yew::prelude::*;

/// Turns to the sheet whose key is pressed, and gives the keyboard to its drawing, the element of id `drawing`; so too after
/// a turn to show something that takes no keyboard itself.
#[hook]
pub fn use_sheet_keys() {
    let shop = use_workshop();
    let sheet = use_selector(|workshop| workshop.screen().sheet);
    let by_key = use_mut_ref(|| false);
    use_effect_with((), {
        let (shop, by_key) = (shop.clone(), by_key.clone());
        move |()| {
            let listener = page::window().map(|window| {
                EventListener::new(&window, "keydown", move |event| {
                    let Some(sheet) = event.dyn_ref::<KeyboardEvent>().and_then(meant) else { return };
                    by_key.replace(shop.with(|workshop| workshop.screen().sheet != sheet));
                    shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet)));
                })
            });
            move || drop(listener)
        }
    });
    use_effect_with(*sheet, move |_| {
        let drawing = page::document().and_then(|document| document.get_element_by_id("drawing"));
        if let Some(drawing) = drawing.filter(|_| by_key.replace(false) || takes_keyboard(&shop)) {
            let _ = drawing.unchecked_into::<HtmlElement>().focus();
        }
    });
}

/// The sheet of a key. By the key's place, as with Shift it writes other characters on other keyboards.
fn meant(event: &KeyboardEvent) -> Option<Sheet> {
    let held = event.ctrl_key() && event.shift_key() && !event.alt_key() && !event.meta_key();
    let number = event.code().strip_prefix("Digit")?.parse::<usize>().ok()?;
    Sheet::ALL.into_iter().find(|sheet| held && sheet.number() == number)
}
