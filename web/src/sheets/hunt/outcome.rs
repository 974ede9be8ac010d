//! What was wrong, once the work has been handed in.

use crate::hooks::{use_selector, use_workshop};
use crate::sheets::faults::words::{danger_at_once, place};
use crate::store::{Command, ScreenAct, Sheet, Workshop};
use crate::t;
use yew::prelude::*;

/// One of what was wrong.
#[derive(PartialEq)]
struct Wrong {
    /// On what.
    on: String,
    /// What.
    said: String,
    /// How such a fault shows, and what is measured.
    kind: Option<(&'static str, &'static str)>,
    /// It was dangerous at once.
    dangerous: bool,
    /// It was put right.
    gone: bool,
}

fn wrong(workshop: &Workshop) -> Vec<Wrong> {
    let (parts, conductors) = (&workshop.scenario().parts, workshop.conductors());
    let hunt = &workshop.session().fold().hunt;
    let told = hunt.was_wrong().map(|(fault, gone)| {
        let kind = fault.kind(parts, &conductors).map(|kind| (kind.shows, kind.measured));
        let dangerous = danger_at_once(fault, parts, &conductors).is_some();
        Wrong { on: place(fault, &conductors), said: fault.said(), kind, dangerous, gone }
    });
    told.collect()
}

/// The answer, and the way to the marks.
#[component]
pub fn Outcome() -> Html {
    let shop = use_workshop();
    let wrong = use_selector(wrong);
    let marks = Callback::from(move |_: MouseEvent| {
        shop.dispatch(Command::Screen(ScreenAct::GoTo(Sheet::SignOff)));
    });
    html! {
        <section class="hunt-part hunt-outcome" aria-labelledby="hunt-outcome">
            <h2 id="hunt-outcome" class="heading">{ t!("hunt-outcome") }</h2>
            <ul class="hunt-list">
                { for wrong.iter().map(|Wrong { on, said, kind, dangerous, gone }| html! {
                    <li key={format!("{on}{said}")}>
                        <span class={classes!("hunt-mark", gone.then_some("hunt-seen"))} aria-hidden="true">{ if *gone { "✓" } else { "↯" } }</span>
                        <div>
                            <p><strong class="mono">{ on.clone() }</strong>{ " " }{ said.clone() }{ ": " }
                                { if *gone { t!("hunt-gone") } else { t!("hunt-left") } }</p>
                            if let Some((shows, measured)) = kind {
                                <p class="small faint">{ t!("hunt-kind", shows = shows, measured = measured) }</p>
                            }
                            if *dangerous {
                                <p class="small hunt-caution"><span aria-hidden="true">{ "△ " }</span>{ t!("hunt-was-dangerous") }</p>
                            }
                        </div>
                    </li>
                }) }
            </ul>
            <p class="small faint">{ t!("hunt-after") }</p>
            <div class="hunt-buttons"><button type="button" class="button-main" onclick={marks}>{ t!("hunt-marks", sheet = Sheet::SignOff.number()) }</button></div>
        </section>
    }
}
