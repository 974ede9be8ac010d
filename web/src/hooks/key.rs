//! A push-button of the bench under a key, wherever on the page the focus is.

use super::use_workshop;
use crate::services::surface::is_text;
use crate::store::Command;
use gloo::events::EventListener;
use wasm_bindgen::JsCast;
use yew::prelude::*;

/// Presses `tag` for as long as the key is held. What has another use for the key keeps it; in a text it is the text's.
#[hook]
pub fn use_key(key: &'static str, tag: Option<AttrValue>) {
    let shop = use_workshop();
    use_effect_with(tag, move |tag| {
        let listeners = tag.clone().zip(web_sys::window()).map(|(tag, window)| {
            let let_go = {
                let (shop, tag) = (shop.clone(), tag.to_string());
                move || {
                    if shop.with(|workshop| workshop.hand().holds(&tag)) {
                        shop.dispatch(Command::LetGo(tag.clone()));
                    }
                }
            };
            let down = EventListener::new(&window, "keydown", move |event| {
                let Some(pressed) = event.dyn_ref::<KeyboardEvent>().filter(|e| e.key() == key) else {
                    return;
                };
                if !event.default_prevented() && !pressed.repeat() && !is_text(event) {
                    shop.dispatch(Command::Hold(tag.to_string()));
                }
            });
            let up = EventListener::new(&window, "keyup", {
                let let_go = let_go.clone();
                move |event| {
                    if event.dyn_ref::<KeyboardEvent>().is_some_and(|e| e.key() == key) {
                        let_go();
                    }
                }
            });
            let blur = EventListener::new(&window, "blur", {
                let let_go = let_go.clone();
                move |_| let_go()
            });
            ([down, up, blur], let_go)
        });
        move || {
            if let Some((_listeners, let_go)) = listeners {
                let_go();
            }
        }
    });
}
