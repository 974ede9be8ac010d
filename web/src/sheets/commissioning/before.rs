//! Before the first press, as a record: each check with its reading, and whether it is as expected.

use super::dead_tests::{Check, Stage, disconnector, newest, stages};
use super::meter::take;
use super::signature::Signature;
use crate::diagram::More;
use crate::hooks::{use_selector, use_workshop};
use crate::store::model::{DeadPlace, Function, MOST_RECORD, Measurement, Missing, Shown, Taken};
use crate::store::{Command, Workshop};
use crate::t;
use crate::text::instrument::{place_text, shown_text};
use crate::text::quantity::thousandths;
use crate::text::time::bench_time;
use std::collections::BTreeMap;
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Where the instrument is put for a check.
#[derive(Properties, PartialEq)]
pub struct BeforeProps {
    /// Takes the instrument into the hand and puts it there.
    pub on_put: Callback<Measurement>,
}

/// What has been found, of which a check takes its part.
#[derive(Clone, PartialEq)]
pub(super) struct Found {
    pub(super) readings: Vec<Taken>,
    /// Whether the supply disconnector was open when each reading was taken.
    isolated: Vec<bool>,
    pub(super) turned: BTreeMap<String, u64>,
    pub(super) by_hand: BTreeMap<String, (u64, String)>,
    /// What is missing to prove each place dead, in the order of the stages.
    dead: Vec<(DeadPlace, Vec<Missing>)>,
}

/// The record.
#[component]
pub fn Before(props: &BeforeProps) -> Html {
    let stages = use_selector(|w| stages(&w.scenario().parts, &w.scenario().given));
    let found = {
        let stages = stages.clone();
        use_selector(move |workshop| find(workshop, &stages))
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
            { for stages.iter().map(|stage| self::stage(stage, &found, &props.on_put)) }
            <Signature {done} of={all.len()} />
        </More>
    }
}

pub(super) fn find(workshop: &Workshop, stages: &[Stage]) -> Found {
    let trace = workshop.session().trace();
    let switch =
        disconnector(&workshop.scenario().parts).and_then(|tag| trace.number(&format!("{tag}.closed")));
    // An act at a tick finds the panel as the tick before it left it. At the very start the lever is closed.
    let open_at = |tick: u64| tick > 0 && switch.is_some_and(|switch| !trace.value_at(switch, tick - 1));
    let fold = workshop.session().fold();
    let readings = fold.readings.clone();
    let isolated = readings.iter().map(|taken| open_at(taken.tick)).collect();
    let mut turned = BTreeMap::new();
    for check in stages.iter().flat_map(|stage| &stage.checks) {
        if let Check::Turns { contactor, motor } = check {
            turned.extend(turned_at(workshop, contactor, motor).map(|tick| (motor.clone(), tick)));
        }
    }
    let places = stages.iter().flat_map(|stage| &stage.checks).filter_map(|check| match check {
        Check::Dead { place } => Some((place.clone(), place.missing(fold))),
        _ => None,
    });
    Found { readings, isolated, turned, by_hand: fold.records.clone(), dead: places.collect() }
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
pub(super) fn dial_key(overload: &str) -> String {
    format!("dial {overload}")
}

/// What a check has found, and whether that is as expected; none where it has not been done.
pub(super) fn outcome(stage: &Stage, check: &Check, found: &Found) -> (String, Option<bool>) {
    match check {
        Check::Reading { what, expect, .. } => match newest(&found.readings, what) {
            Some(k) => {
                let shown = found.readings[k].measured.shown;
                if shown == Shown::Refused {
                    (shown_text(shown), Some(false))
                } else if stage.isolated && !found.isolated[k] {
                    (t!("before-live", reading = shown_text(shown)), Some(false))
                } else {
                    (shown_text(shown), Some(expect.met(shown)))
                }
            }
            None => (String::new(), None),
        },
        Check::Dead { place } => dead(found.missing(place), place),
        Check::Dial { overload, rated_ma } => {
            match found.by_hand.get(&dial_key(overload)).map(|(_, ma)| ma.parse::<u32>()) {
                Some(Ok(dial_ma)) => (thousandths(dial_ma.into(), "A"), Some(dial_ma == *rated_ma)),
                _ => (String::new(), None),
            }
        }
        Check::Turns { motor, .. } => match found.turned.get(motor) {
            Some(tick) => (t!("before-turned", time = bench_time(*tick)), Some(true)),
            None => (String::new(), None),
        },
        Check::ByHand { key, .. } => {
            let text = found.by_hand.get(*key).map(|(_, text)| text.clone()).unwrap_or_default();
            let done = !text.trim().is_empty();
            (text, done.then_some(true))
        }
    }
}

impl Found {
    pub(super) fn missing(&self, place: &DeadPlace) -> &[Missing] {
        self.dead.iter().find(|(at, _)| at == place).map_or(&[], |(_, missing)| missing)
    }

    /// The reading that is taken next for a check.
    pub(super) fn next(&self, check: &Check) -> Option<Measurement> {
        match check {
            Check::Reading { what, .. } => Some(what.clone()),
            Check::Dead { place } => self.missing(place).first().map(next_for),
            Check::Dial { .. } | Check::Turns { .. } | Check::ByHand { .. } => None,
        }
    }
}

/// How far a place has been proved dead.
fn dead(missing: &[Missing], place: &DeadPlace) -> (String, Option<bool>) {
    let live = missing.iter().any(|one| matches!(one, Missing::Live(..)));
    // Both proofs and every pair: nothing has been done yet.
    let untouched = missing.len() == place.pairs().len() + 2;
    match missing.first() {
        None => (t!("before-dead-proved").to_string(), Some(true)),
        Some(_) if live => (t!("before-dead-live").to_string(), Some(false)),
        Some(_) if untouched => (String::new(), None),
        Some(_) => (t!("before-dead-left", count = missing.len()), None),
    }
}

/// The reading that is taken next for what is missing.
fn next_for(missing: &Missing) -> Measurement {
    match missing {
        Missing::ProveBefore | Missing::ProveAfter => Measurement::ProvingUnit,
        Missing::Test(from, to) | Missing::Live(from, to) => {
            Measurement::Between { function: Function::Detector, from: from.clone(), to: to.clone() }
        }
    }
}

fn stage(stage: &Stage, found: &Found, on_put: &Callback<Measurement>) -> Html {
    html! {
        <section class="before-stage">
            <h3>{ stage.title }</h3>
            <p class="faint small">{ stage.state }</p>
            <ul>{ for stage.checks.iter().map(|check| {
                let (text, met) = outcome(stage, check, found);
                let next = found.next(check);
                html! { <CheckRow check={Rc::new(check.clone())} {text} {met} {next} on_put={on_put.clone()} /> }
            }) }</ul>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct CheckRowProps {
    check: Rc<Check>,
    text: String,
    met: Option<bool>,
    /// The reading that is taken for it next.
    next: Option<Measurement>,
    on_put: Callback<Measurement>,
}

#[component]
fn CheckRow(props: &CheckRowProps) -> Html {
    let shop = use_workshop();
    let (sign, class) = match props.met {
        Some(true) => ("✓", "kept"),
        Some(false) => ("✗", "broken"),
        None => ("○", "faint"),
    };
    let (name, wanted) = named(&props.check, &props.next);
    let field = match (&*props.check, &props.next) {
        (_, Some(next)) => {
            let (next, on_put) = (next.clone(), props.on_put.clone());
            let take_it = Callback::from(move |_: MouseEvent| {
                on_put.emit(next.clone());
                take(&shop, Some(next.clone()));
            });
            html! { <button type="button" onclick={take_it} aria-label={t!("before-take-name", name = name)}>{ t!("before-take") }</button> }
        }
        (Check::ByHand { key, .. }, _) => {
            let key = key.to_string();
            let write = Callback::from(move |event: Event| {
                let field = event.target_dyn_into::<HtmlInputElement>();
                let text = field.map(|field| field.value()).unwrap_or_default();
                shop.dispatch(Command::Record { check: key.clone(), text });
            });
            html! { <input class="before-hand" value={props.text.clone()} onchange={write} maxlength={MOST_RECORD.to_string()}
            aria-label={t!("before-hand-name", name = name)} /> }
        }
        (Check::Dial { overload, .. }, _) => {
            let overload = overload.clone();
            let read_off = Callback::from(move |_: MouseEvent| {
                if let Some(dial_ma) = shop.with(|w| w.bench().overload(&overload).map(|view| view.dial_ma)) {
                    shop.dispatch(Command::Record { check: dial_key(&overload), text: dial_ma.to_string() });
                }
            });
            html! { <button type="button" onclick={read_off} aria-label={t!("before-read-off-name", name = name)}>{ t!("before-read-off") }</button> }
        }
        (Check::Reading { .. } | Check::Dead { .. } | Check::Turns { .. }, None) => Html::default(),
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

/// What a check is, and where it is taken and what it should be; `next` is the reading that is taken for it next.
pub(super) fn named(check: &Check, next: &Option<Measurement>) -> (String, String) {
    match check {
        Check::Reading { name, what, expect } => {
            (name.clone(), format!("{}: {}", place_text(what), expect.text()))
        }
        Check::Dead { place } => (t!("before-dead-name", place = place.poles[0].part), dead_wanted(next)),
        Check::Dial { overload, rated_ma } => (
            t!("before-dial-name", tag = overload),
            t!("before-dial-wanted", current = thousandths((*rated_ma).into(), "A")),
        ),
        Check::Turns { contactor, motor } => {
            (t!("before-turns", contactor = contactor, motor = motor), t!("before-turns-wanted").to_string())
        }
        Check::ByHand { name, .. } => (name.to_string(), t!("before-by-hand").to_string()),
    }
}

/// What is done next to prove a place dead.
fn dead_wanted(next: &Option<Measurement>) -> String {
    match next {
        Some(Measurement::ProvingUnit) => t!("before-dead-prove").to_string(),
        Some(what) => t!("before-dead-next", place = place_text(what)),
        None => t!("before-dead-done").to_string(),
    }
}
