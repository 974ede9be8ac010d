//! The proofs: every requirement that can be explored, with what was found out of it, and the shortest way in which it breaks.

use crate::diagram::{More, Recording};
use crate::hooks::{use_one_stop, use_selector, use_workshop};
use crate::services::proofs as worker;
use crate::sheets::proof::{
    WayOf, Without, fault as fault_in_words, formula, marginal, name, says, shown, text, why,
};
use crate::store::proofs::{ProofLine, Proofs as Found};
use crate::t;
use crate::text::quantity::keep_units;
use sealin_exercise::proofs::ProofVerdict;
use sealin_exercise::proving::tasks;
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
    let proven = lines.iter().flatten().filter(|line| line.finding == ProofVerdict::Proven).count();
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

fn without(found: &Found, id: &str) -> Without {
    match &found.progress {
        Some(now) if now.id == id => Without::Exploring,
        _ if found.running || !found.lines.is_empty() => Without::NotComputed,
        _ => Without::NotRun,
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
    let conductors = use_selector(|workshop| workshop.conductors());
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
                if let Some(marginal) = marginal(line) {
                    <p class="proof-why small">{ marginal }</p>
                }
                if let Some(fault) = &line.fault {
                    <p class="proof-why small">{ t!("proof-with-fault", fault = fault_in_words(fault, &conductors)) }</p>
                }
                if let Some(way) = &line.way {
                    <More class="proof-more" summary={html! { t!("proof-way") }}>
                        <WayOf line={line.clone()} way={way.clone()} on_show={props.on_show.clone()} />
                    </More>
                }
                <More class="proof-more" summary={html! { t!("proof-says") }}>
                    <p class="small">{ says(line, &conductors) }</p>
                </More>
            }
        </li>
    }
}
