//! The motor with its direction, speed and currents; what can be done to the machine by hand.

use super::facts::tags;
use crate::hooks::{use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::model::{BenchAct, Kind};
use crate::store::{Command, Workshop};
use crate::t;
use crate::text::quantity::measured;
use yew::prelude::*;

/// Below this the shaft counts as still, min⁻¹.
const STILL_RPM: f64 = 1.0;

/// All motors of the job.
#[component]
pub fn Machine() -> Html {
    let all =
        use_selector(|workshop| tags(&workshop.scenario().parts, |kind| matches!(kind, Kind::Motor(_))));
    html! { <>{ for all.iter().map(|tag| html! { <Motor key={tag.clone()} tag={tag.clone()} /> }) }</> }
}

#[derive(Properties, PartialEq)]
struct MotorProps {
    tag: AttrValue,
}

#[component]
fn Motor(props: &MotorProps) -> Html {
    let tag = props.tag.clone();
    let contactors = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::Contactor(_))));
    let (sign, turning, speed, current) = (use_node_ref(), use_node_ref(), use_node_ref(), use_node_ref());
    use_live(tag.clone(), {
        let (sign, turning, speed, current) = (sign.clone(), turning.clone(), speed.clone(), current.clone());
        move |tag| {
            let (a, b, c, d) = (tag.to_string(), tag.to_string(), tag.to_string(), tag.to_string());
            vec![
                Binding::attribute(sign, "data-turn", move |w| Some(way(w, &a).to_string())),
                Binding::text(turning, move |w| turning_text(w, &b)),
                Binding::text(speed, move |w| measured(rpm(w, &c).abs(), 0, "min⁻¹")),
                Binding::text(current, move |w| {
                    let amperes = w.bench().motor(&d).map_or([0.0; 3], |motor| motor.amperes);
                    let [u, v, x] = amperes.map(|a| format!("{a:.1}"));
                    t!("machine-amperes", u = u, v = v, w = x)
                }),
            ]
        }
    });
    html! {
        <section class="box machine" aria-label={t!("machine-title", tag = tag)}>
            <svg ref={sign} class="machine-sign" viewBox="0 0 120 120" aria-hidden="true">
                <circle cx="60" cy="62" r="40" />
                <text x="60" y="60">{ "M" }</text><text class="machine-phases" x="60" y="80">{ "3 ~" }</text>
                <g class="machine-cw"><path d="M14 46A48 48 0 0 1 104 42" /><path d="M92 36L105 44L110 29" /></g>
                <g class="machine-ccw"><path d="M106 46A48 48 0 0 0 16 42" /><path d="M28 36L15 44L10 29" /></g>
            </svg>
            <div class="machine-side">
                <h2>{ tag.clone() }</h2>
                <dl class="values">
                    <div><dt>{ t!("machine-turning") }</dt><dd ref={turning}></dd></div>
                    <div><dt>{ t!("machine-speed") }</dt><dd ref={speed} class="mono"></dd></div>
                    <div><dt>{ t!("machine-current") }</dt><dd ref={current} class="mono"></dd></div>
                </dl>
            </div>
            <div class="buttons machine-buttons" role="group" aria-label={t!("machine-by-hand")}>
                <Toggle name={t!("machine-jam")} on={BenchAct::Jam(tag.to_string()).to_string()}
                    off={BenchAct::Free(tag.to_string()).to_string()} state={Held::Jammed(tag.to_string())} />
                { for contactors.iter().map(|contactor| html! {
                    <Toggle key={contactor.clone()} name={t!("machine-push", tag = contactor)}
                        on={BenchAct::Push(contactor.clone()).to_string()}
                        off={BenchAct::Release(contactor.clone()).to_string()} state={Held::Pushed(contactor.clone())} />
                }) }
            </div>
        </section>
    }
}

fn rpm(workshop: &Workshop, tag: &str) -> f64 {
    workshop.bench().motor(tag).map_or(0.0, |motor| motor.rpm)
}

fn way(workshop: &Workshop, tag: &str) -> &'static str {
    match rpm(workshop, tag) {
        rpm if rpm > STILL_RPM => "cw",
        rpm if rpm < -STILL_RPM => "ccw",
        _ => "still",
    }
}

/// What the motor does, in a word and an arrow, and whether it turns.
pub fn short_turning(workshop: &Workshop, tag: &str) -> (String, bool) {
    let arrow = match way(workshop, tag) {
        "cw" => "↻",
        "ccw" => "↺",
        _ => return (t!("machine-still").to_string(), false),
    };
    let word = in_hand(workshop).unwrap_or_else(|| t!("machine-coasting").to_string());
    (format!("{arrow} {word}"), true)
}

/// What the contactor that is in is for.
fn in_hand(workshop: &Workshop) -> Option<String> {
    let parts = workshop.scenario().parts.iter();
    parts
        .filter(|part| matches!(part.kind, Kind::Contactor(_)))
        .find(|part| workshop.signal(&format!("{}.closed", part.tag)))
        .map(|part| part.function.clone())
}

/// Direction at the drive end, and what the contactor that is in is for.
fn turning_text(workshop: &Workshop, tag: &str) -> String {
    let direction = match way(workshop, tag) {
        "cw" => t!("machine-clockwise"),
        "ccw" => t!("machine-counterclockwise"),
        _ => return t!("machine-still").to_string(),
    };
    match in_hand(workshop) {
        Some(function) => format!("{function}, {direction}"),
        None => t!("machine-coasting-way", direction = direction),
    }
}

/// What a toggle holds.
#[derive(Clone, PartialEq)]
enum Held {
    Jammed(String),
    Pushed(String),
}

impl Held {
    fn now(&self, workshop: &Workshop) -> bool {
        match self {
            Held::Jammed(tag) => workshop.bench().motor(tag).is_some_and(|motor| motor.jammed),
            Held::Pushed(tag) => workshop.bench().contactor(tag).is_some_and(|(_, _, pushed)| pushed),
        }
    }
}

#[derive(Properties, PartialEq)]
struct ToggleProps {
    name: AttrValue,
    /// Line of the act that begins it.
    on: AttrValue,
    /// Line of the act that ends it.
    off: AttrValue,
    state: Held,
}

/// A button that stays in until it is pressed again.
#[component]
fn Toggle(props: &ToggleProps) -> Html {
    let shop = use_workshop();
    let node = use_node_ref();
    use_live(props.state.clone(), {
        let node = node.clone();
        move |state| {
            let state = state.clone();
            vec![Binding::attribute(node, "aria-pressed", move |w| Some(state.now(w).to_string()))]
        }
    });
    let toggle = {
        let (on, off, state) = (props.on.clone(), props.off.clone(), props.state.clone());
        Callback::from(move |_: MouseEvent| {
            let line = if shop.with(|workshop| state.now(workshop)) { &off } else { &on };
            if let Ok(act) = BenchAct::parse(line) {
                shop.dispatch(Command::Act(act));
            }
        })
    };
    html! { <button type="button" ref={node} onclick={toggle}>{ props.name.clone() }</button> }
}
