//! What stays where a hand has put it: emergency stops and selectors. Click, touch or key, as any button of the page.

use crate::hooks::{use_live, use_workshop};
use crate::services::live::Binding;
use crate::store::Command;
use crate::store::model::BenchAct;
use crate::t;
use yew::prelude::*;

/// A device of the station that stays where it is put.
#[derive(Properties, PartialEq)]
pub struct TurnedProps {
    /// Its tag.
    pub tag: AttrValue,
    /// What it is for.
    pub function: AttrValue,
    /// Number of positions.
    #[prop_or(2)]
    pub positions: u8,
}

/// An emergency stop: pressed it latches, turned it springs out.
#[component]
pub fn EmergencyStop(props: &TurnedProps) -> Html {
    let shop = use_workshop();
    let face = use_node_ref();
    use_live(props.tag.clone(), {
        let face = face.clone();
        move |tag| {
            let signal = format!("{tag}.pressed");
            vec![Binding::attribute(face, "aria-pressed", move |w| Some(w.signal(&signal).to_string()))]
        }
    });
    let act = |act: BenchAct| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())))
    };
    let tag = props.tag.to_string();
    html! {
        <div class="pushbutton" data-why={props.tag.clone()}>
            <button type="button" ref={face} class="push-face push-red push-emergency"
                onclick={act(BenchAct::Press(tag.clone()))}
                aria-label={t!("station-emergency", tag = props.tag, function = props.function)}></button>
            <strong>{ props.tag.clone() }</strong>
            <span class="push-function">{ props.function.clone() }</span>
            <button type="button" class="push-catch" onclick={act(BenchAct::Release(tag))}
                aria-label={t!("station-turn-out-name", tag = props.tag)}>{ t!("station-turn-out") }</button>
        </div>
    }
}

/// A selector: one button a position.
#[component]
pub fn Selector(props: &TurnedProps) -> Html {
    html! {
        <div class="pushbutton" role="group" data-why={props.tag.clone()}
            aria-label={t!("station-selector", tag = props.tag, function = props.function)}>
            <div class="selector">
                { for (1..=props.positions).map(|position| html! {
                    <Position key={position} tag={props.tag.clone()} {position} />
                }) }
            </div>
            <strong>{ props.tag.clone() }</strong>
            <span class="push-function">{ props.function.clone() }</span>
        </div>
    }
}

#[derive(Properties, PartialEq)]
struct PositionProps {
    tag: AttrValue,
    position: u8,
}

#[component]
fn Position(props: &PositionProps) -> Html {
    let shop = use_workshop();
    let node = use_node_ref();
    use_live((props.tag.clone(), props.position), {
        let node = node.clone();
        move |(tag, position)| {
            let signal = format!("{tag}.position{position}");
            vec![Binding::attribute(node, "aria-pressed", move |w| Some(w.signal(&signal).to_string()))]
        }
    });
    let act = BenchAct::Turn(props.tag.to_string(), props.position);
    let turn = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())));
    html! {
        <button type="button" ref={node} onclick={turn}
            aria-label={t!("station-turn", tag = props.tag, position = props.position)}>{ props.position }</button>
    }
}
