//! Run, stop and restart of a controller, as its own switch does it.

use crate::diagram::More;
use crate::hooks::{use_watched, use_workshop};
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

/// What the controller's switch does, opened on demand.
#[component]
pub fn ControllerMode(props: &ControllerModeProps) -> Html {
    let tag = &props.tag;
    html! {
        <More class="controller-mode" summary={html! { t!("mode-title", tag = tag.as_str()) }}>
            <Modes tag={tag.clone()} />
        </More>
    }
}

/// Three buttons, and what each does: run or stop, and the two restarts.
#[component]
fn Modes(props: &ControllerModeProps) -> Html {
    let shop = use_workshop();
    let tag = props.tag.to_string();
    // The bench takes the act at its next tick, so what it is now is looked at, not what was pressed.
    let stopped = {
        let tag = tag.clone();
        use_watched(move |w| w.bench().controller(&tag).is_some_and(|state| state.stopped))
    };
    let run_or_stop = if *stopped {
        (t!("mode-run"), t!("mode-run-why"), BenchAct::Run(tag.clone()))
    } else {
        (t!("mode-stop"), t!("mode-stop-why"), BenchAct::Stop(tag.clone()))
    };
    let modes = [
        run_or_stop,
        (t!("mode-warm"), t!("mode-warm-why"), BenchAct::Restart(tag.clone(), Restart::Warm)),
        (t!("mode-cold"), t!("mode-cold-why"), BenchAct::Restart(tag.clone(), Restart::Cold)),
    ];
    let button = |(name, _, act): &(&'static str, &'static str, BenchAct)| {
        let (shop, act) = (shop.clone(), act.clone());
        let onclick = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())));
        html! { <button type="button" aria-label={format!("{tag}: {name}")} {onclick}>{ *name }</button> }
    };
    html! {
        <>
            <div class="controller-mode-buttons">{ for modes.iter().map(button) }</div>
            <ul class="controller-mode-words">{ for modes.iter().map(|(_, why, _)| html! { <li>{ *why }</li> }) }</ul>
        </>
    }
}
