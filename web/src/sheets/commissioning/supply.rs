//! The supply and the switching devices: each a switch with the word for its state.

use super::facts::tags;
use super::happened_words::{is_breaker, opened_by_itself};
use crate::hooks::{use_live, use_selector, use_watched, use_workshop};
use crate::services::live::Binding;
use crate::store::model::{BenchAct, Kind};
use crate::store::{Command, Workshop};
use crate::t;
use yew::prelude::*;

/// Supply cable, then every switching device in the order of the job.
#[component]
pub fn Supply() -> Html {
    let supplies = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::Supply(_))));
    let devices = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::Switchgear(_))));
    html! {
        <section class="supply" aria-label={t!("supply-title")}>
            { for supplies.iter().map(|tag| html! { <Switch key={tag.clone()} tag={tag.clone()} supply={true} /> }) }
            { for devices.iter().map(|tag| html! { <Switch key={tag.clone()} tag={tag.clone()} supply={false} /> }) }
        </section>
    }
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    Off,
    On,
    Open,
    Closed,
    /// The lever is closed, but a link has melted.
    Gone,
    /// The breaker has tripped.
    Tripped,
}

fn state(workshop: &Workshop, tag: &str, supply: bool) -> State {
    if supply {
        return if workshop.supply_on() { State::On } else { State::Off };
    }
    match workshop.bench().switch(tag) {
        Some((true, poles)) if poles.contains(&true) => State::Gone,
        Some((true, _)) => State::Closed,
        Some((false, _)) if is_breaker(workshop, tag) && opened_by_itself(workshop, tag) => State::Tripped,
        _ => State::Open,
    }
}

#[derive(Properties, PartialEq)]
struct SwitchProps {
    tag: AttrValue,
    supply: bool,
}

#[component]
fn Switch(props: &SwitchProps) -> Html {
    let shop = use_workshop();
    let (tag, supply) = (props.tag.clone(), props.supply);
    let function = {
        let tag = tag.clone();
        use_selector(move |w| {
            w.scenario()
                .parts
                .iter()
                .find(|part| part.tag == *tag)
                .map(|part| part.function.clone())
                .unwrap_or_default()
        })
    };
    let (button, word) = (use_node_ref(), use_node_ref());
    use_live((tag.clone(), supply), {
        let (button, word) = (button.clone(), word.clone());
        move |(tag, supply)| {
            let (a, b, supply) = (tag.to_string(), tag.to_string(), *supply);
            vec![
                Binding::attribute(button, "aria-checked", move |w| {
                    Some(matches!(state(w, &a, supply), State::On | State::Closed).to_string())
                }),
                Binding::text(word, move |w| {
                    let text = match state(w, &b, supply) {
                        State::On => t!("supply-on"),
                        State::Off => t!("supply-off"),
                        State::Open => t!("supply-open"),
                        State::Closed => t!("supply-closed"),
                        State::Gone => t!("supply-gone"),
                        State::Tripped => t!("supply-tripped"),
                    };
                    text.to_string()
                }),
            ]
        }
    });
    let act = {
        let tag = tag.to_string();
        Callback::from(move |_: MouseEvent| {
            let act = match shop.with(|workshop| state(workshop, &tag, supply)) {
                State::On => BenchAct::Power(false),
                State::Off => BenchAct::Power(true),
                State::Closed => BenchAct::Open(tag.clone()),
                // Closing puts in new links, or resets the breaker.
                State::Open | State::Gone | State::Tripped => BenchAct::Close(tag.clone()),
            };
            shop.dispatch(Command::Act(act));
        })
    };
    let name = if supply { t!("supply-cable").to_string() } else { tag.to_string() };
    html! {
        <div class="supply-one">
        <button type="button" ref={button} class="supply-switch" role="switch" onclick={act} data-why={tag.clone()}
            title={format!("{tag}, {function}")} aria-label={format!("{name}, {function}")}>
            <svg class="supply-sign" viewBox="0 0 26 20" aria-hidden="true">
                <path d="M0 16h6M20 16h6" /><path class="supply-arm-open" d="M6 16L18 5" /><path class="supply-arm-closed" d="M6 16h14" />
            </svg>
            <span class="supply-text"><strong>{ name }</strong><span ref={word} class="supply-word"></span></span>
        </button>
        if !supply { <Padlock tag={tag.clone()} /> }
        </div>
    }
}

#[derive(Properties, PartialEq)]
struct PadlockProps {
    tag: AttrValue,
}

/// The padlock at the handle of a device that is open; nothing at one that is closed, or has no handle to lock.
#[component]
fn Padlock(props: &PadlockProps) -> Html {
    let shop = use_workshop();
    let tag = props.tag.to_string();
    let state = use_watched({
        let tag = tag.clone();
        move |w: &Workshop| {
            let open = w.bench().switch(&tag).is_some_and(|(closed, _)| !closed);
            (open && w.bench().fits(&BenchAct::Lock(tag.clone())).is_ok(), w.bench().is_locked(&tag))
        }
    });
    let (shown, locked) = *state;
    if !shown {
        return html! {};
    }
    let act = if locked { BenchAct::Unlock(tag.clone()) } else { BenchAct::Lock(tag.clone()) };
    let onclick = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())));
    let name = if locked { t!("supply-unlock-of", tag = tag) } else { t!("supply-lock-of", tag = tag) };
    html! {
        <button type="button" class="supply-lock" aria-pressed={locked.to_string()} aria-label={name} {onclick}>
            { if locked { t!("supply-locked") } else { t!("supply-lock") } }
        </button>
    }
}
