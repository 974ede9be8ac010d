//! The faults in effect, each with a button that clears it.

use super::words::{danger_at_once, place};
use crate::hooks::{use_selector, use_workshop};
use crate::store::model::{BenchAct, Fault};
use crate::store::{Command, ScreenAct, Sheet};
use crate::t;
use yew::prelude::*;

/// The list of faults in effect.
#[component]
pub fn InEffect() -> Html {
    let shop = use_workshop();
    let faults = use_selector(|workshop| workshop.faults());
    let conductors = use_selector(|workshop| workshop.conductors());
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let measure = {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::Screen(ScreenAct::GoTo(Sheet::Commissioning)));
        })
    };
    // What is dangerous at once is told with it.
    let danger = |fault: &Fault| {
        danger_at_once(fault, &scenario.parts, &conductors).map(|shows| {
            html! {
                <span class="in-effect-danger" role="alert">
                    <span aria-hidden="true">{ "△ " }</span>{ t!("faults-danger", shows = shows) }
                </span>
            }
        })
    };
    let act = |act: BenchAct| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())))
    };
    html! {
        <section aria-labelledby="in-effect" class={classes!("in-effect", (!faults.is_empty()).then_some("in-effect-any"))}>
            <h2 id="in-effect">{ t!("faults-in-effect") }</h2>
            if faults.is_empty() {
                <p class="faint">{ t!("faults-none") }</p>
            } else {
                <ul>
                    { for faults.iter().map(|fault| html! {
                        <li key={fault.to_string()}>
                            <span class="in-effect-fault"><span aria-hidden="true" class="broken">{ "↯ " }</span>
                                <strong class="mono">{ place(fault, &conductors) }</strong>{ " " }{ fault.said() }
                                { danger(fault) }</span>
                            <button type="button" onclick={act(BenchAct::Clear(fault.clone()))}
                                aria-label={t!("faults-clear-one", fault = format!("{} {}", place(fault, &conductors), fault.said()))}>{ t!("faults-clear") }</button>
                        </li>
                    }) }
                </ul>
                <div class="in-effect-buttons">
                    <button type="button" onclick={measure}>{ t!("faults-measure", sheet = Sheet::Commissioning.number()) }</button>
                    if faults.len() > 1 {
                        <button type="button" onclick={act(BenchAct::ClearAll)}>{ t!("faults-clear-all") }</button>
                    }
                </div>
            }
        </section>
    }
}
