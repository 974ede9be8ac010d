//! The check list: every requirement with its result, to be run one by one or all together.

use super::evidence::{Evidence, Follow};
use super::one_check::run;
use crate::diagram::{More, Recording};
use crate::hooks::{use_one_stop, use_selector, use_workshop};
use crate::services::checks as worker;
use crate::store::checks;
use crate::store::checks::{MarkLine, Progress};
use crate::store::model::{Project, Requirement};
use crate::store::{Command, Thing, Workshop};
use crate::t;
use crate::text::quantity::keep_units;
use std::rc::Rc;
use yew::prelude::*;

/// Where a failed trial is shown.
#[derive(Properties, PartialEq)]
pub struct ChecksProps {
    /// Shows a recorded trial.
    pub on_show: Callback<Rc<Recording>>,
}

/// The list.
#[component]
pub fn Checks(props: &ChecksProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let checks = use_selector(|workshop| workshop.checks().clone());
    let project = use_selector(|workshop| Rc::new(workshop.project().clone()));
    let chosen = use_selector(|workshop| match &workshop.screen().selection {
        Some(Thing::Requirement(id)) => Some(id.clone()),
        _ => None,
    });
    let result = |id: &str| Some((checks.result(id, &project)?.clone(), (*project).clone()));
    let results: Vec<Option<(MarkLine, Rc<Project>)>> =
        scenario.requirements.iter().map(|r| result(&r.id)).collect();
    let earned: u32 = results.iter().flatten().map(|(line, _)| line.earned).sum();
    let of: u32 = scenario.requirements.iter().map(|r| r.marks).sum();
    let all = {
        let shop = shop.clone();
        let running = checks.running.is_some();
        Callback::from(move |_: MouseEvent| if running { worker::stop(&shop) } else { worker::start(&shop) })
    };
    let list = use_node_ref();
    use_one_stop(&list, ".check-row > button:enabled, .diagram-more > summary");
    if scenario.requirements.is_empty() {
        return html! { <p class="small faint">{ t!("checks-none") }</p> };
    }
    html! {
        <section class="checks" aria-labelledby="checks-title">
            <div class="heading">
                <h2 id="checks-title">{ t!("checks-title") }</h2>
                if of > 0 { <span class="faint small">{ t!("checks-so-far", earned = earned, of = of) }</span> }
            </div>
            <div class="checks-run">
                <button type="button" class="button-main" onclick={all}>
                    { if checks.running.is_some() { t!("checks-stop") } else { t!("checks-run-all") } }
                </button>
                <span role="status">{ progress(&checks) }</span>
            </div>
            <ol ref={list} class="checks-list">
                { for scenario.requirements.iter().zip(results).map(|(requirement, result)| {
                    let running = checks.trying.as_ref().is_some_and(|(id, _, _)| *id == requirement.id);
                    html! {
                        <Row key={requirement.id.clone()} requirement={requirement.clone()} {result} {running}
                            chosen={chosen.as_ref() == &Some(requirement.id.clone())}
                            on_show={props.on_show.clone()} />
                    }
                }) }
            </ol>
        </section>
    }
}

/// How far the checks are; once one that was tried by itself is over, how it went.
fn progress(checks: &checks::Checks) -> String {
    let ended = checks.last.as_ref().and_then(|id| checks.tried.get(id));
    match (&checks.running, &checks.trying, ended) {
        (Some(Progress { done, of, benches: true }), ..) => t!("signoff-worth", done = done, of = of),
        (Some(Progress { done, of, .. }), ..) => t!("checks-progress", done = done, of = of),
        (None, Some((id, done, of)), _) => t!("checks-progress-one", id = id, done = done, of = of),
        (None, None, Some(tried)) => {
            let word = if tried.line.kept() { t!("checks-kept") } else { t!("checks-broken") };
            format!("{}: {word}", tried.line.id)
        }
        (None, None, None) => String::new(),
    }
}

#[derive(Properties, PartialEq)]
struct RowProps {
    requirement: Requirement,
    result: Option<(MarkLine, Rc<Project>)>,
    running: bool,
    chosen: bool,
    on_show: Callback<Rc<Recording>>,
}

#[component]
fn Row(props: &RowProps) -> Html {
    let shop = use_workshop();
    let requirement = &props.requirement;
    // A trial that is followed shows the inside of the machine.
    let sealed = use_selector(Workshop::is_sealed);
    let (sign, class, word) = match &props.result {
        _ if props.running => ("…", "", t!("checks-running")),
        None => ("○", "faint", t!("checks-not-run")),
        Some((line, _)) if line.kept() => ("✓", "kept", t!("checks-kept")),
        Some(_) => ("✗", "broken", t!("checks-broken")),
    };
    let start = {
        let id = requirement.id.clone();
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::KeepDraft);
            run(shop.clone(), id.clone());
        })
    };
    let marks = match &props.result {
        // In a job of fault finding what the machine must do earns nothing by itself.
        _ if requirement.marks == 0 => String::new(),
        Some((line, _)) => t!("checks-earned", earned = line.earned, of = line.of),
        None => requirement.marks.to_string(),
    };
    let broken = props.result.as_ref().filter(|(line, _)| !line.kept());
    html! {
        <li class={classes!("check", props.chosen.then_some("check-chosen"), broken.map(|_| "check-broken"))}>
            <div class="check-row">
                <span class={classes!("check-sign", class)} aria-hidden="true">{ sign }</span>
                <span class="check-id mono">{ requirement.id.clone() }</span>
                <span class="check-text">{ keep_units(&requirement.text) }
                    if requirement.must { <span class="check-must">{ t!("checks-must") }</span> }
                    <span class={classes!("check-word", class, props.result.is_none().then_some("visually-hidden"))}>{ word }</span>
                </span>
                <span class="check-marks number">{ marks }</span>
                <button type="button" disabled={props.running} onclick={start}
                    aria-label={t!("checks-run-one", id = requirement.id)}>{ t!("checks-run") }</button>
            </div>
            if !*sealed {
                <More class="check-follow" summary={html! { t!("checks-follow") }}>
                    <Follow id={requirement.id.clone()} on_show={props.on_show.clone()} />
                </More>
            }
            if let Some((line, project)) = broken {
                <More summary={html! { t!("checks-evidence") }}>
                    <Evidence line={line.clone()} project={project.clone()} on_show={props.on_show.clone()} />
                </More>
            }
        </li>
    }
}
