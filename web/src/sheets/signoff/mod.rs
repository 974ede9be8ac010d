//! Sign-off: run the checks, see the marks with the evidence behind each, save the attempt.

pub mod beside;
mod evidence;
mod replay;
mod result;
mod unsafe_acts;
pub mod words;

use crate::documents::PrintChoice;
use crate::frame::Split;
use crate::hooks::{use_live, use_selector, use_workshop};
use crate::services::checks;
use crate::services::live::Binding;
use crate::sheets::brief::AttemptBox;
use crate::store::checks::Progress;
use crate::t;
use beside::Beside;
use evidence::Lines;
use result::ResultBox;
use unsafe_acts::UnsafeActs;
use yew::prelude::*;

/// The sign-off sheet.
#[component]
pub fn SignOff() -> Html {
    let marked = use_selector(|workshop| !workshop.scenario().requirements.is_empty());
    let companion = html! {
        <div class="signoff-companion split-scrolled">
            <AttemptBox />
            <PrintChoice />
            <UnsafeActs />
            <Hashes />
        </div>
    };
    html! {
        <Split {companion} companion_name={t!("signoff-companion")}>
            <div class="signoff">
                <header class="heading">
                    <h1>{ t!("signoff-title") }</h1>
                    if *marked { <Run /> }
                </header>
                if *marked {
                    <ResultBox />
                    <Lines />
                    <Beside />
                } else {
                    <p>{ t!("signoff-no-marks") }</p>
                }
            </div>
        </Split>
    }
}

/// Starts and stops the checks.
#[component]
pub fn Run() -> Html {
    let shop = use_workshop();
    let state = use_selector(|workshop| (workshop.checks().running, workshop.checks().marked.is_some()));
    let (running, marked) = *state;
    let call = |service: fn(&crate::store::Shop)| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| service(&shop))
    };
    match running {
        Some(Progress { done, of, benches }) => html! {
            <div class="signoff-run">
                <span role="status">
                    { match (of, benches) {
                        (0, _) => t!("signoff-starting").to_string(),
                        (_, true) => t!("signoff-worth", done = done, of = of),
                        (_, false) => t!("signoff-running", done = done, of = of),
                    } }
                </span>
                <progress max={of.max(1).to_string()} value={done.to_string()}></progress>
                <button type="button" onclick={call(checks::stop)}>{ t!("signoff-stop") }</button>
            </div>
        },
        None => html! {
            <div class="signoff-run">
                <button type="button" class="button-main" onclick={call(checks::start)}>
                    { if marked { t!("signoff-run-again") } else { t!("signoff-run") } }
                </button>
            </div>
        },
    }
}

/// The hashes of the attempt as it stands.
#[component]
fn Hashes() -> Html {
    let (trace, exact) = (use_node_ref(), use_node_ref());
    {
        let (trace, exact) = (trace.clone(), exact.clone());
        use_live((), move |()| {
            vec![
                Binding::text(trace, |workshop| workshop.hashes().0),
                Binding::text(exact, |workshop| workshop.hashes().1),
            ]
        });
    }
    html! {
        <section>
            <h2 class="heading">{ t!("signoff-hashes") }</h2>
            <dl class="hashes">
                <dt>{ t!("signoff-trace-hash") }</dt><dd class="mono" ref={trace}></dd>
                <dt>{ t!("signoff-exact-hash") }</dt><dd class="mono" ref={exact}></dd>
            </dl>
            <p class="small faint">{ t!("signoff-chain") }</p>
        </section>
    }
}
