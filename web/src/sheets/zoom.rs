//! What the large drawings have in common: the steps of a pointer on them, and the buttons that enlarge them.

use crate::services::surface;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// A click this soon after a pointer belongs to it, ms.
pub const AFTER_POINTER_MS: f64 = 700.0;
/// A step of the zoom buttons and of their keys.
pub const STEP: f64 = 1.5;

/// What a pointer has done.
#[derive(Clone, Copy, PartialEq)]
pub enum Step {
    /// It went down.
    Down,
    /// It moved.
    Moved,
    /// It went up.
    Up,
    /// The browser took it away.
    Lost,
}

/// Passes a step of the pointers on a drawing on; from where it went down a pointer stays with the drawing. The main button
/// alone counts.
pub fn on_step(
    node: &NodeRef,
    pointers: &Rc<impl Fn(&PointerEvent, Step) + 'static>,
    step: Step,
) -> Callback<PointerEvent> {
    let (pointers, node) = (pointers.clone(), node.clone());
    Callback::from(move |event: PointerEvent| {
        if step == Step::Down {
            if event.button() != 0 {
                return;
            }
            surface::capture(&node, event.pointer_id());
        }
        pointers(&event, step);
    })
}

/// How a drawing is enlarged.
#[derive(Properties, PartialEq)]
pub struct ZoomButtonsProps {
    /// All of it is in view.
    pub whole: bool,
    /// It is as Fit would show it.
    pub fitted: bool,
    /// Enlarges it by a factor.
    pub on_zoom: Callback<f64>,
    /// Fits it to the screen.
    pub on_fit: Callback<()>,
}

/// Larger, smaller, fit.
#[component]
pub fn ZoomButtons(props: &ZoomButtonsProps) -> Html {
    let by = |factor: f64| props.on_zoom.reform(move |_: MouseEvent| factor);
    html! {
        <div class="zoom" role="group" aria-label={t!("wiring-zoom")}>
            <button type="button" aria-label={t!("wiring-zoom-in")} onclick={by(STEP)}>{ "+" }</button>
            <button type="button" aria-label={t!("wiring-zoom-out")} onclick={by(1.0 / STEP)}
                disabled={props.whole}>{ "−" }</button>
            <button type="button" onclick={props.on_fit.reform(|_: MouseEvent| ())}
                disabled={props.fitted}>{ t!("wiring-fit") }</button>
        </div>
    }
}
