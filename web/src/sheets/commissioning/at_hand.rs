//! What the machine does, on one line that stays in view on a small screen, so that the answer to a press is seen where
//! the press is made.

use super::happened::PLACE;
use super::happened_words::last_line;
use super::machine::short_turning;
use crate::hooks::{use_live, use_selector, use_watched};
use crate::services::live::Binding;
use crate::store::Workshop;
use crate::store::model::{ArmaturePlace, Kind, Part};
use crate::t;
use yew::prelude::*;

/// What a device shows, and whether it is in, turning, tripped or lit.
type Reading = (String, bool);

/// Contactors, motor, overload and lamp of the job.
#[component]
pub fn AtHand() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let mut shown: Vec<(u8, &Part)> =
        scenario.parts.iter().filter_map(|part| Some((order(&part.kind)?, part))).collect();
    shown.sort_by_key(|(order, _)| *order);
    html! {
        <div class="at-hand">
            <dl class="at-hand-devices" aria-label={t!("at-hand-title")}>
                { for shown.iter().map(|(order, part)| html! {
                    <Device key={part.tag.clone()} tag={part.tag.clone()} order={*order} />
                }) }
            </dl>
            <News />
        </div>
    }
}

/// What happened last, once something has; a press shows the list.
#[component]
fn News() -> Html {
    let last = use_watched(last_line);
    let show = Callback::from(|_: MouseEvent| {
        if let Some(list) = crate::services::page::document().and_then(|d| d.get_element_by_id(PLACE)) {
            list.scroll_into_view();
        }
    });
    last.as_ref().as_ref().map_or_else(Html::default, |last| {
        html! {
            <button type="button" class="at-hand-news" onclick={show} title={t!("at-hand-news")}>
                { format!("△ {last}") }
            </button>
        }
    })
}

/// Place in the line, of what is shown there: contactors, motor, overload, lamp.
fn order(kind: &Kind) -> Option<u8> {
    match kind {
        Kind::Contactor(_) => Some(0),
        Kind::Motor(_) => Some(1),
        Kind::Overload(_) => Some(2),
        Kind::Lamp(_) => Some(3),
        _ => None,
    }
}

fn reading(workshop: &Workshop, order: u8, tag: &str) -> Reading {
    let either = |on: bool, yes: &str, no: &str| (if on { yes } else { no }.to_string(), on);
    match order {
        0 => match workshop.bench().contactor(tag).map(|(place, _, _)| place) {
            Some(ArmaturePlace::In) => (t!("at-hand-in").to_string(), true),
            Some(ArmaturePlace::Out) | None => (t!("at-hand-out").to_string(), false),
            Some(_) => (t!("at-hand-moving").to_string(), false),
        },
        1 => short_turning(workshop, tag),
        2 => {
            let tripped = workshop.bench().overload(tag).is_some_and(|overload| overload.tripped);
            either(tripped, t!("at-hand-tripped"), t!("at-hand-ready"))
        }
        _ => either(workshop.signal(&format!("{tag}.lit")), t!("at-hand-lit"), t!("at-hand-dark")),
    }
}

#[derive(Properties, PartialEq)]
struct DeviceProps {
    tag: AttrValue,
    order: u8,
}

#[component]
fn Device(props: &DeviceProps) -> Html {
    let (frame, word) = (use_node_ref(), use_node_ref());
    use_live((props.tag.clone(), props.order), {
        let (frame, word) = (frame.clone(), word.clone());
        move |(tag, order)| {
            let (tag, order) = (tag.to_string(), *order);
            let again = tag.clone();
            vec![
                Binding::text(word, move |w| reading(w, order, &tag).0),
                Binding::attribute(frame, "data-on", move |w| {
                    Some(u8::from(reading(w, order, &again).1).to_string())
                }),
            ]
        }
    });
    let class = match props.order {
        2 => "at-hand-trip",
        3 => "at-hand-lamp",
        _ => "",
    };
    html! {
        <div ref={frame} class={classes!("at-hand-device", class)} data-why={props.tag.clone()}>
            <dt>{ props.tag.clone() }</dt><dd ref={word}></dd>
        </div>
    }
}
