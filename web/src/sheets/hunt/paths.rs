//! The learner's way to what was wrong beside the coach's own, reading by reading.

use crate::hooks::{use_selector, use_workshop};
use crate::services::suspects;
use crate::store::suspects::PathStep;
use crate::t;
use yew::prelude::*;

/// The button and, once they are known, the two ways.
#[component]
pub fn PathsBox() -> Html {
    let shop = use_workshop();
    let known = use_selector(|workshop| workshop.suspicion().clone());
    let ask = Callback::from(move |_: MouseEvent| suspects::paths(&shop));
    html! {
        <section class="hunt-part" aria-labelledby="hunt-paths">
            <div class="heading">
                <h2 id="hunt-paths">{ t!("paths-title") }</h2>
                <button type="button" onclick={ask} disabled={known.behind.is_some()}>{ t!("paths-ask") }</button>
            </div>
            <p class="small faint">{ t!("paths-about") }</p>
            if let Some((behind, of)) = known.behind {
                <p role="status">
                    { if of == 0 { t!("suspects-beginning").to_string() } else { t!("paths-behind", behind = behind, of = of) } }
                    { " " }<progress max={of.max(1).to_string()} value={(of - behind.min(of)).to_string()}></progress>
                </p>
            }
            if let Some(paths) = &known.paths {
                <div class="hunt-paths">
                    { way(t!("paths-own"), &paths.learner) }
                    { way(t!("paths-coach"), &paths.coach) }
                </div>
            }
        </section>
    }
}

fn way(name: &'static str, steps: &[PathStep]) -> Html {
    let step = |step: &PathStep| {
        let by = if step.seen { t!("paths-seen", by = step.by) } else { step.by.clone() };
        html! { <tr><th scope="row">{ by }</th><td class="number">{ step.out }</td><td class="number">{ step.left }</td></tr> }
    };
    let readings = steps.iter().filter(|step| !step.seen).count();
    html! {
        <table>
            <caption>{ t!("paths-of", name = name, count = readings) }</caption>
            <thead><tr><th scope="col">{ t!("paths-by") }</th><th scope="col" class="number">{ t!("paths-out") }</th><th scope="col" class="number">{ t!("paths-left") }</th></tr></thead>
            <tbody>{ for steps.iter().map(step) }</tbody>
        </table>
    }
}
