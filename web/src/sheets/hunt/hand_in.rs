//! Showing the machine at work after the repair, and handing in.

use crate::hooks::{use_selector, use_watched, use_workshop};
use crate::store::{Command, Workshop};
use crate::t;
use yew::prelude::*;

/// What must be seen, and whether it has been since the last repair.
fn shown(workshop: &Workshop) -> Vec<(String, bool)> {
    let conditions = workshop.scenario().fault_finding.iter().flat_map(|finding| &finding.shown);
    let seen = workshop.session().fold().hunt.shown.iter().map(Option::is_some);
    conditions.map(|shown| shown.text.clone()).zip(seen).collect()
}

/// The conditions and the button. Handing in is asked twice: nothing of the search counts afterwards.
#[component]
pub fn HandIn() -> Html {
    let shop = use_workshop();
    let shown = use_watched(shown);
    let repaired = use_selector(|workshop| !workshop.session().fold().hunt.repairs.is_empty());
    let asked = use_state(|| false);
    let ask = {
        let asked = asked.clone();
        Callback::from(move |on: bool| asked.set(on))
    };
    let hand_in = Callback::from(move |_: MouseEvent| shop.dispatch(Command::HandIn));
    html! {
        <section class="hunt-part" aria-labelledby="hunt-hand-in">
            <h2 id="hunt-hand-in" class="heading">{ t!("hunt-hand-in") }</h2>
            <p class="faint small">{ t!("hunt-shown-about") }</p>
            <ul class="hunt-list">
                { for shown.iter().map(|(text, seen)| {
                    let seen = *seen && *repaired;
                    html! {
                        <li key={text.clone()}>
                            <span class={classes!("hunt-mark", seen.then_some("hunt-seen"))} aria-hidden="true">{ if seen { "✓" } else { "" } }</span>
                            <span>{ text.clone() }{ ": " }{ if seen { t!("hunt-seen") } else { t!("hunt-not-seen") } }</span>
                        </li>
                    }
                }) }
            </ul>
            if *asked {
                <div class="hunt-buttons" role="alert">
                    <span>{ t!("hunt-sure") }</span>
                    <button type="button" class="button-main" onclick={hand_in}>{ t!("hunt-hand-in-now") }</button>
                    <button type="button" onclick={ask.reform(|_: MouseEvent| false)}>{ t!("hunt-not-yet") }</button>
                </div>
            } else {
                <div class="hunt-buttons">
                    <button type="button" class="button-main" onclick={ask.reform(|_: MouseEvent| true)}>{ t!("hunt-hand-in-ask") }</button>
                </div>
            }
        </section>
    }
}
