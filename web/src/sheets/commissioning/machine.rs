//! The motor: what it does in a word, its direction, its speed and the currents of its three lines.

use super::by_hand::ByHand;
use super::facts::tags;
use crate::charts::{Doing, LINES, STILL_RPM, doing_of, inequality};
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::Workshop;
use crate::store::model::Kind;
use crate::t;
use crate::text::quantity::measured;
use yew::prelude::*;

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
    let nodes = use_memo((), |()| std::array::from_fn::<NodeRef, 6, _>(|_| NodeRef::default()));
    let lines = use_memo((), |()| std::array::from_fn::<NodeRef, 3, _>(|_| NodeRef::default()));
    use_live(tag.clone(), {
        let (nodes, lines) = (nodes.clone(), lines.clone());
        move |tag| bindings(tag, &nodes, &lines)
    });
    let [frame, word, sign, turning, speed, note] = (*nodes).clone();
    html! {
        <section class="box machine" aria-label={t!("machine-title", tag = tag)} ref={frame}>
            <div class="machine-head">
                <h2>{ tag.clone() }</h2>
                <strong ref={word} class="machine-word" role="status"></strong>
            </div>
            <svg ref={sign} class="machine-sign" viewBox="0 0 120 120" aria-hidden="true">
                <circle cx="60" cy="62" r="40" />
                <text x="60" y="60">{ "M" }</text><text class="machine-phases" x="60" y="80">{ "3 ~" }</text>
                <g class="machine-cw"><path d="M14 46A48 48 0 0 1 104 42" /><path d="M92 36L105 44L110 29" /></g>
                <g class="machine-ccw"><path d="M106 46A48 48 0 0 0 16 42" /><path d="M28 36L15 44L10 29" /></g>
            </svg>
            <div class="machine-side">
                <dl class="values">
                    <div><dt>{ t!("machine-turning") }</dt><dd ref={turning}></dd></div>
                    <div><dt>{ t!("machine-speed") }</dt><dd ref={speed} class="mono"></dd></div>
                </dl>
                <dl class="machine-lines" aria-label={t!("machine-lines")}>
                    { for LINES.iter().zip(lines.iter()).map(|(line, node)| html! {
                        <div><dt>{ *line }</dt><dd ref={node.clone()} class="mono"></dd></div>
                    }) }
                </dl>
            </div>
            <p ref={note} class="machine-note small" role="status"></p>
            <ByHand motor={tag} />
        </section>
    }
}

fn bindings(tag: &AttrValue, nodes: &[NodeRef; 6], lines: &[NodeRef; 3]) -> Vec<Binding> {
    let [frame, word, sign, turning, speed, note] = nodes.clone();
    let tag = || tag.to_string();
    let (a, b, c, d, e, f) = (tag(), tag(), tag(), tag(), tag(), tag());
    let amperes = |w: &Workshop, tag: &str| w.bench().motor(tag).map_or([0.0; 3], |motor| motor.amperes);
    let mut all = vec![
        Binding::attribute(frame, "data-wrong", move |w| {
            doing_of(w, &a).filter(|doing| doing.wrong()).map(|_| "1".to_string())
        }),
        Binding::text(word, move |w| doing_of(w, &b).map_or("", Doing::words).to_string()),
        Binding::attribute(sign, "data-turn", move |w| Some(way(w, &c).to_string())),
        Binding::text(turning, move |w| turning_text(w, &d)),
        Binding::text(speed, move |w| measured(rpm(w, &e).abs(), 0, "min⁻¹")),
        Binding::text(note, move |w| {
            inequality(amperes(w, &f)).map_or(String::new(), |text| format!("△ {text}"))
        }),
    ];
    all.extend(lines.iter().enumerate().map(|(line, node)| {
        let tag = tag();
        Binding::text(node.clone(), move |w| measured(amperes(w, &tag)[line], 1, "A"))
    }));
    all
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
