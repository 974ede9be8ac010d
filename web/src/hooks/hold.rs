//! A push-button under pointer, touch or key: pressed as long as it is held.

use super::use_workshop;
use crate::store::Command;
use wasm_bindgen::JsCast;
use web_sys::Element;
use yew::prelude::*;

/// The handlers of an element that is a push-button of the bench. Give all of them to the element.
pub struct Hold {
    /// Presses; the pointer stays with the element until it is let go.
    pub onpointerdown: Callback<PointerEvent>,
    /// Lets go.
    pub onpointerup: Callback<PointerEvent>,
    /// Lets go: the browser has taken the pointer away.
    pub onpointercancel: Callback<PointerEvent>,
    /// Presses by Space or Enter.
    pub onkeydown: Callback<KeyboardEvent>,
    /// Lets go.
    pub onkeyup: Callback<KeyboardEvent>,
    /// Lets go: the focus has left.
    pub onblur: Callback<FocusEvent>,
    /// No menu on a long touch.
    pub oncontextmenu: Callback<MouseEvent>,
}

/// Handlers that press and let go of `tag` (`SF2`, or `FC1.stop`).
#[hook]
pub fn use_hold(tag: AttrValue) -> Hold {
    let shop = use_workshop();
    let press = {
        let (shop, tag) = (shop.clone(), tag.clone());
        move || shop.dispatch(Command::Hold(tag.to_string()))
    };
    let let_go = {
        let (shop, tag) = (shop.clone(), tag.clone());
        move || {
            if shop.with(|workshop| workshop.hand().holds(&tag)) {
                shop.dispatch(Command::LetGo(tag.to_string()));
            }
        }
    };
    // A button that leaves the screen is held by nobody.
    {
        let let_go = let_go.clone();
        use_effect_with(tag, move |_| move || let_go());
    }
    let key = |event: &KeyboardEvent| matches!(event.key().as_str(), " " | "Enter");
    Hold {
        onpointerdown: {
            let press = press.clone();
            Callback::from(move |event: PointerEvent| {
                if event.button() == 0 {
                    if let Some(element) = event.target().and_then(|target| target.dyn_into::<Element>().ok())
                    {
                        let _ = element.set_pointer_capture(event.pointer_id());
                    }
                    press();
                }
            })
        },
        onpointerup: {
            let let_go = let_go.clone();
            Callback::from(move |_| let_go())
        },
        onpointercancel: {
            let let_go = let_go.clone();
            Callback::from(move |_| let_go())
        },
        onkeydown: Callback::from(move |event: KeyboardEvent| {
            if key(&event) {
                event.prevent_default();
                if !event.repeat() {
                    press();
                }
            }
        }),
        onkeyup: {
            let let_go = let_go.clone();
            Callback::from(move |event: KeyboardEvent| {
                if key(&event) {
                    let_go();
                }
            })
        },
        onblur: Callback::from(move |_| let_go()),
        oncontextmenu: Callback::from(|event: MouseEvent| event.prevent_default()),
    }
}
