//! The operator station: push-buttons, emergency stops, selectors and lamps, coloured after IEC 60073.

use super::push_button::PushButton;
use super::turned::{EmergencyStop, Selector};
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::model::{Actuator, Kind, Terminal};
use crate::t;
use crate::text::quantity::measured;
use crate::why::WhyOf;
use yew::prelude::*;

/// The station.
#[component]
pub fn Station() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let buttons = scenario.parts.iter().filter_map(|part| match &part.kind {
        Kind::Control(control) => Some(match control.actuator {
            Actuator::Button => html! {
                <PushButton key={part.tag.clone()} tag={part.tag.clone()} function={part.function.clone()}
                    colour={control.colour.to_string()} />
            },
            Actuator::EmergencyStop => html! {
                <EmergencyStop key={part.tag.clone()} tag={part.tag.clone()} function={part.function.clone()} />
            },
            Actuator::Selector { positions, .. } => html! {
                <Selector key={part.tag.clone()} tag={part.tag.clone()} function={part.function.clone()} {positions} />
            },
        }),
        _ => None,
    });
    let lamps = scenario.parts.iter().filter_map(|part| match &part.kind {
        Kind::Lamp(lamp) => Some(html! {
            <Lamp key={part.tag.clone()} tag={part.tag.clone()} function={part.function.clone()}
                colour={lamp.colour.to_string()} />
        }),
        _ => None,
    });
    let none = !scenario.parts.iter().any(|part| matches!(part.kind, Kind::Control(_) | Kind::Lamp(_)));
    html! {
        <section class="box station" aria-labelledby="station-title">
            <h2 id="station-title">{ t!("station-title") }</h2>
            <div class="station-buttons">{ for buttons }{ for lamps }</div>
            if none {
                <p class="small faint">{ t!("station-none") }</p>
            }
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct LampProps {
    tag: AttrValue,
    function: AttrValue,
    colour: AttrValue,
}

/// A lamp: a circle with a cross, filled while it is lit, and the word beside it.
#[component]
fn Lamp(props: &LampProps) -> Html {
    let (sign, word) = (use_node_ref(), use_node_ref());
    use_live(props.tag.clone(), {
        let (sign, word) = (sign.clone(), word.clone());
        move |tag| {
            let signal = format!("{tag}.lit");
            let again = signal.clone();
            let (x1, x2) = (Terminal::new(tag, "X1"), Terminal::new(tag, "X2"));
            vec![
                Binding::attribute(sign, "data-on", move |w| Some(u8::from(w.signal(&signal)).to_string())),
                Binding::text(word, move |w| {
                    if w.is_sealed() {
                        return if w.signal(&again) { t!("signs-lit") } else { t!("signs-dark") }.to_string();
                    }
                    let volts = measured(w.bench().volts_dc(&x1, &x2).unwrap_or(0.0), 1, "V");
                    if w.signal(&again) {
                        t!("station-lit", volts = volts)
                    } else {
                        t!("station-dark", volts = volts)
                    }
                }),
            ]
        }
    });
    html! {
        <div class="lamp" data-why={props.tag.clone()}>
            <svg ref={sign} class={classes!("lamp-sign", format!("lamp-{}", props.colour))} viewBox="0 0 44 44" aria-hidden="true">
                <circle cx="22" cy="22" r="17" /><path d="M10 10L34 34M34 10L10 34" />
            </svg>
            <strong>{ props.tag.clone() }</strong>
            <span class="push-function">{ props.function.clone() }</span>
            <span ref={word} class="lamp-word"></span>
            <WhyOf of={props.tag.clone()} name={props.tag.clone()} />
        </div>
    }
}
