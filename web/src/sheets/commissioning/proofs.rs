//! The proofs: every requirement that can be explored, with what was found out of it, and the shortest way in which it breaks.

use crate::diagram::{More, Recording};
use crate::hooks::{use_one_stop, use_selector, use_workshop};
use crate::services::proofs as worker;
use crate::sheets::signoff::words::{named, steps_before, with_names};
use crate::store::model::IoRow;
use crate::store::proofs::{Finding, ProofLine, Proofs as Found, Way};
use crate::t;
use crate::text::quantity::{keep_units, milliseconds};
use sealin_exercise::proving::{HARM, Task, tasks};
use std::rc::Rc;
use yew::prelude::*;

/// Where the way in which a requirement breaks is shown.
#[derive(Properties, PartialEq)]
pub struct ProofsProps {
    /// Shows it on the diagram.
    pub on_show: Callback<Rc<Recording>>,
}

/// The list.
#[component]
pub fn Proofs(props: &ProofsProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let found = use_selector(|workshop| workshop.proofs().clone());
    let project = use_selector(|workshop| Rc::new(workshop.project().clone()));
    let all = use_memo(scenario.clone(), |scenario| tasks(scenario, None));
    let list = use_node_ref();
    use_one_stop(&list, ".diagram-more > summary");
    let lines: Vec<Option<&Rc<ProofLine>>> =
        all.iter().map(|task| found.line(&task.name(), &project)).collect();
    let proven = lines.iter().flatten().filter(|line| line.finding == Finding::Proven).count();
    let run = {
        let running = found.running;
        Callback::from(move |_: MouseEvent| if running { worker::stop(&shop) } else { worker::start(&shop) })
    };
    let stale = !found.lines.is_empty() && lines.iter().all(Option::is_none);
    html! {
        <section class="checks proofs" aria-labelledby="proofs-title">
            <div class="heading">
                <h2 id="proofs-title">{ t!("proof-title") }</h2>
                <span class="faint small">{ t!("proof-so-far", proven = proven, of = all.len()) }</span>
            </div>
            <p class="small faint">{ t!("proof-about") }</p>
            <div class="checks-run">
                <button type="button" onclick={run}>
                    { if found.running { t!("proof-stop") } else { t!("proof-run") } }
                </button>
                <span role="status">{ if stale { t!("proof-stale").to_string() } else { progress(&found) } }</span>
            </div>
            <ol ref={list} class="checks-list">
                { for all.iter().zip(lines).map(|(task, line)| html! {
                    <Row key={task.name()} id={task.name()} text={text(task)} formula={formula(task, &scenario.names)}
                        line={line.cloned()}
                        without={without(&found, &task.name())}
                        on_show={props.on_show.clone()} />
                }) }
            </ol>
        </section>
    }
}

/// How far the requirement is that is being explored.
fn progress(found: &Found) -> String {
    let Some(now) = &found.progress else { return String::new() };
    t!("proof-progress", id = name(&now.id), states = now.states, scans = now.scans).to_string()
}

/// What a requirement is called.
fn name(id: &str) -> String {
    if id == HARM { t!("proof-harm").to_string() } else { id.to_string() }
}

fn text(task: &Task) -> String {
    if task.id == HARM { t!("proof-harm-text").to_string() } else { task.text.clone() }
}

/// Where there is no finding yet.
#[derive(Clone, Copy, PartialEq)]
enum Without {
    /// Nothing has been asked.
    NotRun,
    /// It is its turn.
    Exploring,
    /// Its turn comes, or the run was stopped before.
    NotComputed,
}

fn without(found: &Found, id: &str) -> Without {
    match &found.progress {
        Some(now) if now.id == id => Without::Exploring,
        _ if found.running || !found.lines.is_empty() => Without::NotComputed,
        _ => Without::NotRun,
    }
}

/// What exactly is to hold, with the names of the I/O list.
fn formula(task: &Task, names: &[IoRow]) -> String {
    with_names(&task.formulas(), names)
}

/// A sign, a class and a word.
fn shown(finding: Option<Finding>, without: Without) -> (&'static str, &'static str, &'static str) {
    match finding {
        None => match without {
            Without::NotRun => ("○", "faint", t!("checks-not-run")),
            Without::Exploring => ("…", "", t!("proof-exploring")),
            Without::NotComputed => ("○", "faint", t!("proof-not-computed")),
        },
        Some(Finding::Proven) => ("✓", "kept", t!("proof-proven")),
        Some(Finding::NeverExercised) => ("–", "faint", t!("proof-never-exercised")),
        Some(Finding::Broken) => ("✗", "broken", t!("proof-broken")),
        Some(Finding::NotReproduced) => ("?", "faint", t!("proof-not-reproduced")),
        Some(Finding::Undecided) => ("?", "faint", t!("proof-undecided")),
        Some(Finding::NotProvable) => ("–", "faint", t!("proof-not-provable")),
    }
}

/// Why it came to that, where a word does not say it.
fn why(line: &ProofLine) -> Option<String> {
    match line.finding {
        Finding::NeverExercised => Some(t!("proof-never-exercised-why").to_string()),
        Finding::Undecided => Some(t!("proof-undecided-why").to_string()),
        _ => line.why.clone(),
    }
}

/// `no fault`, or which.
fn faults(line: &ProofLine) -> String {
    if line.faults.is_empty() {
        t!("proof-no-fault").to_string()
    } else {
        t!("proof-one-fault", faults = line.faults.join(", "))
    }
}

#[derive(Properties, PartialEq)]
struct RowProps {
    id: String,
    text: String,
    formula: String,
    line: Option<Rc<ProofLine>>,
    without: Without,
    on_show: Callback<Rc<Recording>>,
}

#[component]
fn Row(props: &RowProps) -> Html {
    let (sign, class, word) = shown(props.line.as_ref().map(|line| line.finding), props.without);
    html! {
        <li class="check">
            <div class="check-row proof-row">
                <span class={classes!("check-sign", class)} aria-hidden="true">{ sign }</span>
                <span class="check-id mono">{ name(&props.id) }</span>
                <span class="check-text">{ keep_units(&props.text) }
                    <span class={classes!("check-word", class)}>{ word }</span>
                    if !props.formula.is_empty() {
                        <code class="proof-formula">{ props.formula.clone() }</code>
                    }
                </span>
            </div>
            if let Some(line) = &props.line {
                if let Some(why) = why(line) {
                    <p class="proof-why small">{ why }</p>
                }
                if let Some(fault) = &line.fault {
                    <p class="proof-why small">{ t!("proof-with-fault", fault = fault) }</p>
                }
                if let Some(way) = &line.way {
                    <More class="proof-more" summary={html! { t!("proof-way") }}>
                        <WayOf line={line.clone()} way={way.clone()} on_show={props.on_show.clone()} />
                    </More>
                }
                <More class="proof-more" summary={html! { t!("proof-says") }}>
                    <p class="small">{ t!("proof-says-text", free = line.free.join(", "), faults = faults(line), states = line.states, scans = line.scans) }</p>
                </More>
            }
        </li>
    }
}

#[derive(Properties, PartialEq)]
struct WayProps {
    line: Rc<ProofLine>,
    way: Way,
    on_show: Callback<Rc<Recording>>,
}

/// What is done, step by step, and the moment on the diagram.
#[component]
fn WayOf(props: &WayProps) -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let (way, id) = (&props.way, name(&props.line.id));
    let steps = steps_before(&way.steps.join("\n"), u32::MAX, "");
    let show = {
        let (way, id, on_show) = (way.clone(), id, props.on_show.clone());
        Callback::from(move |_: MouseEvent| {
            on_show.emit(Rc::new(Recording {
                tracks: way.tracks.clone(),
                end: way.tick,
                moment: Some((way.tick, t!("proof-moment", id = id).to_string())),
                played: None,
            }));
        })
    };
    html! {
        <div class="evidence-trial">
            <ol class="proof-steps small">
                { for steps.iter().map(|step| html! { <li>{ named(step, &scenario.names) }</li> }) }
            </ol>
            <p class="small">{ t!("proof-breaks", time = milliseconds(way.tick)) }</p>
            if !way.records.is_empty() {
                <More summary={html! { t!("proof-devices") }}>
                    <ul class="proof-records small">
                        { for way.records.iter().map(|record| html! { <li>{ keep_units(record) }</li> }) }
                    </ul>
                </More>
            }
            <button type="button" onclick={show}>{ t!("proof-show") }</button>
        </div>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_proven_wears_the_sign_of_kept() {
        let all = [
            Finding::NeverExercised,
            Finding::Broken,
            Finding::NotReproduced,
            Finding::Undecided,
            Finding::NotProvable,
        ];
        let shown = |finding| shown(finding, Without::NotRun);
        assert_eq!(shown(Some(Finding::Proven)).1, "kept");
        assert!(all.iter().all(|finding| shown(Some(*finding)).0 != "✓"));
        assert_ne!(shown(None).0, "✓");
    }
}
