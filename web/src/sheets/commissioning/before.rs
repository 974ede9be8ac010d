//! Before the first press, as a record: each check with its reading, and whether it is as expected.

use super::dead_tests::{Check, Stage, disconnector, newest, stages};
use super::probes::{Probes, recorded_text};
use crate::diagram::More;
use crate::hooks::{use_selector, use_workshop};
use crate::services::hand_record;
use crate::store::model::{Act, Reading};
use crate::store::{Command, Notice, Workshop};
use crate::t;
use crate::text::quantity::thousandths;
use crate::text::time::bench_time;
use std::collections::BTreeMap;
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Where the meter's probes are put for a check.
#[derive(Properties, PartialEq)]
pub struct BeforeProps {
    /// Puts the probes.
    pub on_probes: Callback<Probes>,
}

/// What has been found, of which a check takes its part.
#[derive(Clone, PartialEq)]
struct Found {
    readings: Vec<Reading>,
    /// Whether the supply disconnector was open when each reading was taken.
    isolated: Vec<bool>,
    turned: BTreeMap<String, u64>,
    by_hand: BTreeMap<String, String>,
}

/// The record.
#[component]
pub fn Before(props: &BeforeProps) -> Html {
    let stages = use_selector(|w| stages(&w.scenario().parts, &w.scenario().given));
    let seed = use_selector(|workshop| workshop.session().head().seed);
    let by_hand = use_state(|| hand_record::read(*seed));
    let found = {
        let by_hand = (*by_hand).clone();
        let stages = stages.clone();
        use_selector(move |workshop| find(workshop, &stages, by_hand.clone()))
    };
    let on_hand = {
        let (by_hand, seed) = (by_hand.clone(), *seed);
        Callback::from(move |(key, text): (String, String)| {
            let mut next = (*by_hand).clone();
            next.insert(key, text);
            hand_record::write(seed, &next);
            by_hand.set(next);
        })
    };
    let all: Vec<(&Stage, &Check)> =
        stages.iter().flat_map(|stage| stage.checks.iter().map(move |check| (stage, check))).collect();
    let done = all.iter().filter(|(stage, check)| outcome(stage, check, &found).1 == Some(true)).count();
    let summary = html! {
        <>
            <h2>{ t!("before-title") }</h2>
            <span class="faint small">{ t!("before-done", done = done, of = all.len()) }</span>
        </>
    };
    html! {
        <More class="before" {summary}>
            <p class="small">{ t!("before-caution") }</p>
            { for stages.iter().map(|stage| self::stage(stage, &found, &props.on_probes, &on_hand)) }
        </More>
    }
}

fn find(workshop: &Workshop, stages: &[Stage], by_hand: BTreeMap<String, String>) -> Found {
    let trace = workshop.session().trace();
    let switch =
        disconnector(&workshop.scenario().parts).and_then(|tag| trace.number(&format!("{tag}.closed")));
    // An act at a tick finds the panel as the tick before it left it. At the very start the lever is closed.
    let open_at = |tick: u64| tick > 0 && switch.is_some_and(|switch| !trace.value_at(switch, tick - 1));
    let (mut readings, mut isolated) = (Vec::new(), Vec::new());
    for entry in workshop.session().entries_from(0) {
        if let Act::Reading(reading) = &entry.act {
            readings.push(reading.clone());
            isolated.push(open_at(entry.at));
        }
    }
    let mut turned = BTreeMap::new();
    for check in stages.iter().flat_map(|stage| &stage.checks) {
        if let Check::Turns { contactor, motor } = check {
            turned.extend(turned_at(workshop, contactor, motor).map(|tick| (motor.clone(), tick)));
        }
    }
    Found { readings, isolated, turned, by_hand }
}

/// The tick at which the motor was first seen to turn clockwise with this contactor in.
fn turned_at(workshop: &Workshop, contactor: &str, motor: &str) -> Option<u64> {
    let trace = workshop.session().trace();
    let (turns, closed) =
        (trace.number(&format!("{motor}.clockwise"))?, trace.number(&format!("{contactor}.closed"))?);
    let first = trace.changes().iter().find(|change| change.name == turns && change.value)?;
    trace.value_at(closed, first.tick).then_some(first.tick)
}

/// Name under which the dial of an overload is recorded.
fn dial_key(overload: &str) -> String {
    format!("dial {overload}")
}

/// What a check has found, and whether that is as expected; none where it has not been done.
fn outcome(stage: &Stage, check: &Check, found: &Found) -> (String, Option<bool>) {
    match check {
        Check::Meter { at, function, expect, .. } => match newest(&found.readings, at, *function) {
            Some(k) if stage.isolated && !found.isolated[k] => {
                (t!("before-live", reading = recorded_text(&found.readings[k])), Some(false))
            }
            Some(k) => (recorded_text(&found.readings[k]), Some(expect.met(&found.readings[k]))),
            None => (String::new(), None),
        },
        Check::Dial { overload, rated_ma } => {
            match found.by_hand.get(&dial_key(overload)).map(|ma| ma.parse::<u32>()) {
                Some(Ok(dial_ma)) => (thousandths(dial_ma.into(), "A"), Some(dial_ma == *rated_ma)),
                _ => (String::new(), None),
            }
        }
        Check::Turns { motor, .. } => match found.turned.get(motor) {
            Some(tick) => (t!("before-turned", time = bench_time(*tick)), Some(true)),
            None => (String::new(), None),
        },
        Check::ByHand { key, .. } => {
            let text = found.by_hand.get(*key).cloned().unwrap_or_default();
            let done = !text.trim().is_empty();
            (text, done.then_some(true))
        }
    }
}

fn stage(
    stage: &Stage,
    found: &Found,
    on_probes: &Callback<Probes>,
    on_hand: &Callback<(String, String)>,
) -> Html {
    html! {
        <section class="before-stage">
            <h3>{ stage.title }</h3>
            <p class="faint small">{ stage.state }</p>
            <ul>{ for stage.checks.iter().map(|check| {
                let (text, met) = outcome(stage, check, found);
                html! { <CheckRow check={Rc::new(check.clone())} {text} {met} on_probes={on_probes.clone()} on_hand={on_hand.clone()} /> }
            }) }</ul>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct CheckRowProps {
    check: Rc<Check>,
    text: String,
    met: Option<bool>,
    on_probes: Callback<Probes>,
    on_hand: Callback<(String, String)>,
}

#[component]
fn CheckRow(props: &CheckRowProps) -> Html {
    let shop = use_workshop();
    let (sign, class) = match props.met {
        Some(true) => ("✓", "kept"),
        Some(false) => ("✗", "broken"),
        None => ("○", "faint"),
    };
    let (name, wanted) = match &*props.check {
        Check::Meter { name, at, expect, .. } => {
            (name.clone(), format!("{} – {}: {}", at[0], at[1], expect.text()))
        }
        Check::Dial { overload, rated_ma } => (
            t!("before-dial-name", tag = overload),
            t!("before-dial-wanted", current = thousandths((*rated_ma).into(), "A")),
        ),
        Check::Turns { contactor, motor } => {
            (t!("before-turns", contactor = contactor, motor = motor), t!("before-turns-wanted").to_string())
        }
        Check::ByHand { name, .. } => (name.to_string(), t!("before-by-hand").to_string()),
    };
    let field = match &*props.check {
        Check::Meter { at, function, .. } => {
            let probes = Probes { at: at.clone(), function: *function };
            let on_probes = props.on_probes.clone();
            let take = Callback::from(move |_: MouseEvent| {
                on_probes.emit(probes.clone());
                match shop.with(|w| probes.reading(w.bench())) {
                    Some(reading) => shop.dispatch(Command::Reading(reading)),
                    None => {
                        let text = t!("meter-in-the-air").to_string();
                        shop.dispatch(Command::Notice(Notice { refused: true, text }));
                    }
                }
            });
            html! { <button type="button" onclick={take} aria-label={t!("before-take-name", name = name)}>{ t!("before-take") }</button> }
        }
        Check::ByHand { key, .. } => {
            let key = key.to_string();
            let write = props.on_hand.reform(move |event: Event| {
                (
                    key.clone(),
                    event.target_dyn_into::<HtmlInputElement>().map(|f| f.value()).unwrap_or_default(),
                )
            });
            html! { <input class="before-hand" value={props.text.clone()} onchange={write} aria-label={t!("before-hand-name", name = name)} /> }
        }
        Check::Dial { overload, .. } => {
            let (overload, on_hand) = (overload.clone(), props.on_hand.clone());
            let read_off = Callback::from(move |_: MouseEvent| {
                if let Some(dial_ma) = shop.with(|w| w.bench().overload(&overload).map(|view| view.dial_ma)) {
                    on_hand.emit((dial_key(&overload), dial_ma.to_string()));
                }
            });
            html! { <button type="button" onclick={read_off} aria-label={t!("before-take-name", name = name)}>{ t!("before-read-off") }</button> }
        }
        Check::Turns { .. } => Html::default(),
    };
    let shown = !matches!(*props.check, Check::ByHand { .. });
    html! {
        <li class="before-check">
            <span class={classes!("check-sign", class)} aria-hidden="true">{ sign }</span>
            <div class="before-name">{ name.clone() }<span class="faint small">{ wanted }</span></div>
            if shown { <span class={classes!("before-found", "mono", class)}>{ props.text.clone() }</span> }
            { field }
        </li>
    }
}
