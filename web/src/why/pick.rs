//! Asking: which element of the page is meant, by the key, by a press while the place for the answer is open, or by the
//! button beside a value.

use super::subjects::{of_text, of_thing};
use crate::hooks::use_workshop;
use crate::services::page;
use crate::services::surface::is_text;
use crate::store::{Command, Shop, Why, WhyAct};
use crate::t;
use gloo::events::{EventListener, EventListenerOptions};
use wasm_bindgen::JsCast;
use web_sys::{Element, Event};
use yew::prelude::*;

/// The key that asks.
pub const KEY: &str = "?";

/// What an element asks about, by itself or by what it stands in.
const CARRIES: &str = "[data-why],[data-terminal]";

/// A value that can be asked about.
#[derive(Properties, PartialEq)]
pub struct WhyOfProps {
    /// What is asked about, as in `data-why`.
    pub of: AttrValue,
    /// Its name, for the button's.
    pub name: AttrValue,
    /// The bench time, ms, of which it is asked; none for now.
    #[prop_or_default]
    pub at: Option<u64>,
    /// What is on the button; nothing for the word alone.
    #[prop_or_default]
    pub children: Html,
}

/// The small button beside a value.
#[component]
pub fn WhyOf(props: &WhyOfProps) -> Html {
    let shop = use_workshop();
    let (of, at) = (props.of.clone(), props.at);
    let press = Callback::from(move |_: MouseEvent| ask(&shop, (of.to_string(), at)));
    let word = if props.children == Html::default() {
        html! { t!("why") }
    } else {
        props.children.clone()
    };
    html! {
        <button type="button" class="why-of" onclick={press} aria-label={t!("why-of", name = props.name)}
            data-why={props.of.clone()} data-why-at={at.map(|tick| tick.to_string())}>{ word }</button>
    }
}

/// What an element asks about, and the bench time of which it does.
type Carried = (String, Option<u64>);

fn ask(shop: &Shop, (text, at): Carried) {
    let subjects = shop.with(|workshop| of_text(workshop, &text));
    shop.dispatch(Command::Why(WhyAct::Ask(subjects, at)));
}

/// Listens to the whole page while it is kept: the key asks about what has the focus, else about what is chosen; a press
/// asks about what is under it while the place for the answer waits for it. `asked` is told when the key was used.
pub fn listen(shop: &Shop, asked: impl Fn() + 'static) -> Vec<EventListener> {
    let Some(window) = web_sys::window() else { return Vec::new() };
    let key = {
        let shop = shop.clone();
        EventListener::new_with_options(&window, "keydown", acting(), move |event| {
            let pressed = event.dyn_ref::<KeyboardEvent>().is_some_and(|e| e.key() == KEY);
            if !pressed || is_text(event) {
                return;
            }
            event.prevent_default();
            event.stop_propagation();
            asked();
            match page::document().and_then(|d| d.active_element()).and_then(|e| carried(&e)) {
                Some(carried) => ask(&shop, carried),
                None => ask_chosen(&shop),
            }
        })
    };
    let press = |name: &'static str| {
        let shop = shop.clone();
        EventListener::new_with_options(&window, name, acting(), move |event| {
            if !shop.with(|workshop| *workshop.why() == Why::Open) {
                return;
            }
            let Some(carried) = under(event) else { return };
            // It is asked about, and neither pressed nor taken in hand.
            event.stop_propagation();
            if event.type_() == "click" {
                event.prevent_default();
                ask(&shop, carried);
            }
        })
    };
    vec![key, press("pointerdown"), press("pointerup"), press("click")]
}

fn acting() -> EventListenerOptions {
    EventListenerOptions { phase: gloo::events::EventListenerPhase::Capture, passive: false }
}

/// Asks about what is chosen on the screen; where nothing is, opens the place for the answer.
fn ask_chosen(shop: &Shop) {
    let subjects = shop.with(|workshop| {
        let chosen = workshop.screen().selection.as_ref();
        chosen.map_or(Vec::new(), |thing| of_thing(workshop, thing))
    });
    shop.dispatch(Command::Why(match subjects.is_empty() {
        true => WhyAct::Open,
        false => WhyAct::Ask(subjects, None),
    }));
}

fn under(event: &Event) -> Option<Carried> {
    carried(&event.target()?.dyn_into::<Element>().ok()?)
}

fn carried(element: &Element) -> Option<Carried> {
    let element = element.closest(CARRIES).ok()??;
    let text = element.get_attribute("data-why").or_else(|| element.get_attribute("data-terminal"))?;
    let at = element.get_attribute("data-why-at").and_then(|at| at.parse().ok());
    Some((text, at))
}
