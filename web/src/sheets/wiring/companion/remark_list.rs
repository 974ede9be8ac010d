//! What a fitter would say.

use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::remarks::Remark;
use crate::sheets::wiring::words;
use crate::store::Thing;
use crate::t;
use sealin_core::plan::Conductor;
use yew::prelude::*;

/// The remarks.
#[derive(Properties, PartialEq)]
pub struct RemarksProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is asked.
    pub ask: Asking,
}

/// The remarks as a list; each can be shown on the drawing, and some can be put right at once.
#[component]
pub fn RemarkList(props: &RemarksProps) -> Html {
    let drawing = &props.drawing;
    html! {
        <section class="remarks" aria-live="polite">
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

fn remark(props: &RemarksProps, r: &Remark) -> Html {
    let drawing = &props.drawing;
    let (point, why) = words::remark(r, &drawing.conductors);
    let place = r
        .conductor()
        .map(|id| Thing::Conductor(id.to_string()))
        .or_else(|| r.terminal().map(|t| Thing::Terminal(t.clone())));
    let asked = |what: Ask| {
        let ask = props.ask.clone();
        Callback::from(move |_: MouseEvent| ask.emit(what.clone()))
    };
    html! {
        <li key={format!("{r:?}")}>
            <span class="remark-sign" aria-hidden="true">{ "△" }</span>
            <div class="remark-words">
                <p class="remark-point">{ point.clone() }</p>
                <p class="small faint">{ why }</p>
            </div>
            <div class="remark-ways">
                if place.is_some() {
                    <button type="button" class="button-quiet" onclick={asked(Ask::Select(place))}
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
