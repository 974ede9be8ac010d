//! What a fitter would say.

use crate::hooks::use_workshop;
use crate::services::page;
use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::remarks::Remark;
use crate::sheets::wiring::words;
use crate::store::{Command, ScreenAct, Thing};
use crate::t;
use sealin_core::plan::Conductor;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;
use yew::prelude::*;

/// The remarks.
#[derive(Properties, PartialEq)]
pub struct RemarksProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is asked.
    pub ask: Asking,
}

/// How many remarks there are.
#[derive(Properties, PartialEq)]
pub struct CountProps {
    /// So many.
    pub count: usize,
}

/// Id of the section with the remarks.
const REMARKS: &str = "wiring-remarks";

/// The remarks as a list; each can be shown on the drawing, and some can be put right at once.
#[component]
pub fn RemarkList(props: &RemarksProps) -> Html {
    let drawing = &props.drawing;
    html! {
        <section class="remarks" id={REMARKS} tabindex="-1" aria-live="polite" aria-label={t!("wiring-fitter")}>
            <h2 class="heading">{ t!("wiring-fitter") }</h2>
            if drawing.remarks.is_empty() {
                <p class="small faint">{ t!("wiring-fitter-nothing") }</p>
            }
            <ul>
                { for drawing.remarks.iter().map(|r| remark(props, r)) }
            </ul>
        </section>
    }
}

/// The number of remarks over the drawing; a press goes to them, wherever they stand.
#[component]
pub fn RemarkCount(props: &CountProps) -> Html {
    let shop = use_workshop();
    let onclick = Callback::from(move |_: MouseEvent| {
        shop.dispatch(Command::Screen(ScreenAct::Companion(true)));
        // After the drawer has opened.
        gloo::timers::callback::Timeout::new(0, || {
            let found = page::document().and_then(|d| d.get_element_by_id(REMARKS));
            if let Some(section) = found.and_then(|e| e.dyn_into::<HtmlElement>().ok()) {
                section.scroll_into_view();
                let _ = section.focus();
            }
        })
        .forget();
    });
    html! {
        if props.count > 0 {
            <button type="button" class="remark-count" {onclick}
                aria-label={t!("wiring-remarks-count", count = props.count)}>
                <span aria-hidden="true">{ format!("△ {}", props.count) }</span>
            </button>
        }
    }
}

fn remark(props: &RemarksProps, r: &Remark) -> Html {
    let drawing = &props.drawing;
    let (point, why) = words::remark(r, &drawing.conductors);
    let place = r
        .conductor()
        .map(|id| Thing::Conductor(id.to_string()))
        .or_else(|| r.terminal().map(|t| Thing::Terminal(t.clone())));
    let asked = |what: Ask| props.ask.reform(move |_: MouseEvent| what.clone());
    html! {
        <li key={format!("{r:?}")}>
            <span class="remark-sign" aria-hidden="true">{ "△" }</span>
            <div class="remark-words">
                <p class="remark-point">{ point.clone() }</p>
                <p class="small faint">{ why }</p>
            </div>
            <div class="remark-ways">
                if let Some(place) = place {
                    <button type="button" class="button-quiet" onclick={asked(Ask::Show(place))}
                        aria-label={t!("wiring-show-remark", point = point)}>
                        { t!("wiring-show-place") }
                    </button>
                }
                if let Some((label, after)) = put_right(drawing, r) {
                    <button type="button" class="button-quiet" onclick={asked(Ask::Alter(after))}>{ label }</button>
                }
            </div>
        </li>
    }
}

/// The conductor as it should be, where one change puts a remark right.
fn put_right(drawing: &Shared, r: &Remark) -> Option<(String, Conductor)> {
    let numbered = |id: &str, number: &String| {
        let mut after = drawing.conductor(id)?.clone();
        after.number = number.clone();
        Some((t!("wiring-number-it", number = number), after))
    };
    match r {
        Remark::WrongColour { conductor, wanted, .. } => {
            let mut after = drawing.conductor(conductor)?.clone();
            after.colour = *wanted;
            Some((t!("wiring-colour-it", colour = words::colour(*wanted)), after))
        }
        Remark::NoNumber { conductor, wanted: Some(number) } => numbered(conductor, number),
        Remark::TwoNumbers { conductor, wanted: Some(number), .. } => numbered(conductor, number),
        _ => None,
    }
}
