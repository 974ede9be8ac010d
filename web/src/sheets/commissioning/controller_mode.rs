//! Run, stop and restart of a controller, as its own switch does it.

use crate::hooks::{use_selector, use_workshop};
use crate::store::Command;
use crate::store::model::{BenchAct, Restart};
use crate::t;
use yew::prelude::*;

/// The properties of [`ControllerMode`].
#[derive(Properties, PartialEq)]
pub struct ControllerModeProps {
    /// Tag of the controller.
    pub tag: AttrValue,
}

/// Three buttons: run or stop, and the two restarts.
#[component]
pub fn ControllerMode(props: &ControllerModeProps) -> Html {
    let shop = use_workshop();
    let tag = props.tag.to_string();
    let stopped = {
        let tag = tag.clone();
        use_selector(move |w| w.bench().controller(&tag).is_some_and(|state| state.stopped))
    };
    let button = |name: &'static str, why: &'static str, act: BenchAct| {
        let shop = shop.clone();
        let onclick = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())));
        html! { <button type="button" title={why} aria-label={format!("{tag}: {name}")} {onclick}>{ name }</button> }
    };
    let run_or_stop = if *stopped {
        button(t!("mode-run"), t!("mode-run-why"), BenchAct::Run(tag.clone()))
    } else {
        button(t!("mode-stop"), t!("mode-stop-why"), BenchAct::Stop(tag.clone()))
    };
    html! {
        <details class="controller-mode">
            <summary aria-label={t!("mode-title", tag = tag.as_str())}>{ t!("mode-name") }</summary>
            <div class="controller-mode-buttons">
                { run_or_stop }
                { button(t!("mode-warm"), t!("mode-warm-why"), BenchAct::Restart(tag.clone(), Restart::Warm)) }
                { button(t!("mode-cold"), t!("mode-cold-why"), BenchAct::Restart(tag.clone(), Restart::Cold)) }
            </div>
            <ul class="controller-mode-words">
                <li>{ t!("mode-stop-why") }</li>
                <li>{ t!("mode-warm-why") }</li>
                <li>{ t!("mode-cold-why") }</li>
            </ul>
        </details>
    }
}
