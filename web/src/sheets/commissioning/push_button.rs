//! A round push-button, held by pointer, touch or key, and the catch that holds it in.

use super::facts::arrow;
use super::stop_key::{KEY, has_key};
use crate::hooks::{use_hold, use_live, use_workshop};
use crate::services::live::Binding;
use crate::store::Command;
use crate::t;
use yew::prelude::*;

/// A push-button of the station.
#[derive(Properties, PartialEq)]
pub struct PushButtonProps {
    /// Its tag.
    pub tag: AttrValue,
    /// What it is for.
    pub function: AttrValue,
    /// Colour of its actuator, as a word.
    pub colour: AttrValue,
}

/// The button with its name and catch.
#[component]
pub fn PushButton(props: &PushButtonProps) -> Html {
    let hold = use_hold(props.tag.clone());
    let button = use_node_ref();
    use_live(props.tag.clone(), {
        let button = button.clone();
        move |tag| {
            let signal = format!("{tag}.pressed");
            vec![Binding::attribute(button, "aria-pressed", move |workshop| {
                Some(workshop.signal(&signal).to_string())
            })]
        }
    });
    html! {
        <div class="pushbutton" data-why={props.tag.clone()}>
            <button type="button" ref={button} class={classes!("push-face", format!("push-{}", props.colour))}
                aria-label={t!("station-press", tag = props.tag, function = props.function)}
                aria-keyshortcuts={has_key(&props.function).then_some(KEY)}
                onpointerdown={hold.onpointerdown} onpointerup={hold.onpointerup}
                onpointercancel={hold.onpointercancel} onkeydown={hold.onkeydown} onkeyup={hold.onkeyup}
                onblur={hold.onblur} oncontextmenu={hold.oncontextmenu}>
                { mark(&props.function) }
            </button>
            <strong>{ props.tag.clone() }</strong>
            <span class="push-function">{ props.function.clone() }
                if has_key(&props.function) { <kbd title={t!("station-key-why")}>{ t!("station-key") }</kbd> }
            </span>
            <Catch tag={props.tag.clone()} />
        </div>
    }
}

/// The mark on the actuator: a circle for stop (IEC 60417-5110), an arrow for a direction.
fn mark(function: &str) -> Html {
    match function {
        "stop" => html! {
            <svg class="push-stop" viewBox="0 0 24 24" aria-hidden="true"><circle cx="12" cy="12" r="9" /></svg>
        },
        _ => html! { arrow(function) },
    }
}

#[derive(Properties, PartialEq)]
struct CatchProps {
    tag: AttrValue,
}

/// Holds a button in, so that two can be pressed with one finger.
#[component]
fn Catch(props: &CatchProps) -> Html {
    let shop = use_workshop();
    let node = use_node_ref();
    let tag = props.tag.clone();
    use_live(tag.clone(), {
        let node = node.clone();
        move |tag| {
            let tag = tag.to_string();
            vec![Binding::attribute(node, "aria-pressed", move |w| Some(w.hand().holds(&tag).to_string()))]
        }
    });
    let toggle = {
        let tag = tag.to_string();
        Callback::from(move |_: MouseEvent| {
            let held = shop.with(|workshop| workshop.hand().holds(&tag));
            shop.dispatch(if held { Command::LetGo(tag.clone()) } else { Command::Hold(tag.clone()) });
        })
    };
    html! {
        <button type="button" ref={node} class="push-catch" onclick={toggle}
            aria-label={t!("station-catch-name", tag = tag)}>{ t!("station-catch") }</button>
    }
}
