//! The motor: what it does in a word, its direction, its speed, the currents of its three lines, and where the machine
//! stands on its way, if it has one.

use super::by_hand::ByHand;
use super::facts::tags;
use crate::charts::{Doing, LINES, STILL_RPM, doing_of, inequality};
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::Workshop;
use crate::store::model::Kind;
use crate::t;
use crate::text::quantity::measured;
use crate::why::WhyOf;
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
        <section class="box machine" aria-label={t!("machine-title", tag = tag)} ref={frame} data-why={tag.clone()}>
            <div class="machine-head">
                <h2>{ tag.clone() }</h2>
                <strong ref={word} class="machine-word" role="status"></strong>
                <WhyOf of={tag.clone()} name={tag.clone()} />
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
            <Way tag={tag.clone()} />
            <p ref={note} class="machine-note small" role="status"></p>
            <ByHand motor={tag} />
        </section>
    }
}

/// Where the machine stands on its way: a scale with a mark, and metres. Nothing where its position does not count.
#[component]
fn Way(props: &MotorProps) -> Html {
    let tag = props.tag.clone();
    let stops = {
        let tag = tag.clone();
        use_selector(move |w| w.bench().motor(&tag).filter(|m| m.position_um.is_some()).map(|m| m.stops_um))
    };
    let (mark, word) = (use_node_ref(), use_node_ref());
    use_live((tag.clone(), *stops), {
        let (mark, word) = (mark.clone(), word.clone());
        move |(tag, stops)| {
            let (a, b, stops) = (tag.to_string(), tag.to_string(), stops.unwrap_or_default());
            let at = |w: &Workshop, tag: &str| w.bench().motor(tag).and_then(|m| m.position_um).unwrap_or(0);
            vec![
                Binding::attribute(mark, "x", move |w| Some(along(at(w, &a), stops).to_string())),
                Binding::text(word, move |w| measured(at(w, &b) as f64 / 1e6, 2, "m")),
            ]
        }
    });
    let Some(stops) = *stops else { return Html::default() };
    let end = |um: Option<i64>| um.map_or("…".to_string(), |um| measured(um as f64 / 1e6, 2, "m"));
    html! {
        <div class="machine-way">
            <span class="faint small">{ t!("machine-position") }</span>
            <strong ref={word} class="mono"></strong>
            <svg viewBox="0 0 104 8" preserveAspectRatio="none" aria-hidden="true">
                <path d="M2 1V7M2 4H102M102 1V7" /><rect ref={mark} y="0" width="4" height="8" />
            </svg>
            <span class="faint small">{ end(stops[0]) }</span><span class="faint small">{ end(stops[1]) }</span>
        </div>
    }
}

/// Place on a scale of 100 between two stops, µm; an open way has its middle at nought and 1 m to either side.
fn along(um: i64, stops: [Option<i64>; 2]) -> i64 {
    let low = stops[0].unwrap_or(-1_000_000);
    let high = stops[1].unwrap_or(1_000_000).max(low + 1);
    ((um.clamp(low, high) - low) * 100) / (high - low)
}

fn bindings(tag: &AttrValue, nodes: &[NodeRef; 6], lines: &[NodeRef; 3]) -> Vec<Binding> {
    let [frame, word, sign, turning, speed, note] = nodes.clone();
    let tag = || tag.to_string();
    let (a, b, c, d, e, f) = (tag(), tag(), tag(), tag(), tag(), tag());
    let amperes = |w: &Workshop, tag: &str| w.bench().motor(tag).map_or([0.0; 3], |motor| motor.amperes);
    // Which line lacks its current is for the clamp to find.
    let told = |w: &Workshop, amperes: f64| match w.is_sealed() {
        true => t!("loop-unseen").to_string(),
        false => measured(amperes, 1, "A"),
    };
    let mut all = vec![
        Binding::attribute(frame, "data-wrong", move |w| {
            doing_of(w, &a).filter(|doing| doing.wrong()).map(|_| "1".to_string())
        }),
        Binding::text(word, move |w| doing_of(w, &b).map_or("", Doing::words).to_string()),
        Binding::attribute(sign, "data-turn", move |w| Some(way(w, &c).to_string())),
        Binding::text(turning, move |w| turning_text(w, &d)),
        Binding::text(speed, move |w| measured(rpm(w, &e).abs(), 0, "min⁻¹")),
        Binding::text(note, move |w| {
            inequality(amperes(w, &f))
                .filter(|_| !w.is_sealed())
                .map_or(String::new(), |text| format!("△ {text}"))
        }),
    ];
    all.extend(lines.iter().enumerate().map(|(line, node)| {
        let tag = tag();
        Binding::text(node.clone(), move |w| told(w, amperes(w, &tag)[line]))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_is_where_the_machine_stands() {
        let stops = [Some(0), Some(1_200_000)];
        assert_eq!([0, 300_000, 1_200_000, 1_300_000].map(|um| along(um, stops)), [0, 25, 100, 100]);
        assert_eq!(along(0, [None, None]), 50);
    }
}
