//! The marks line by line, with the evidence behind each: which trial, which step, what was expected and seen, and when.

use super::words::{named, steps_before};
use crate::hooks::{use_selector, use_workshop};
use crate::store::checks::{Failure, MarkLine, TrialResult};
use crate::store::model::{Requirement, Scenario};
use crate::store::{Command, ScreenAct, Thing};
use crate::t;
use crate::text::quantity::milliseconds;
use yew::prelude::*;

/// All requirements with what they earned.
#[component]
pub fn Lines() -> Html {
    let marked = use_selector(|workshop| workshop.checks().marked.clone());
    let chosen = use_selector(|workshop| match &workshop.screen().selection {
        Some(Thing::Requirement(id)) => Some(id.clone()),
        _ => None,
    });
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let lines = match marked.as_ref() {
        Some(marked) => marked.marks.lines.clone(),
        None => scenario.requirements.iter().map(untried).collect(),
    };
    html! {
        <ol class="lines">
            { for lines.iter().map(|line| html! {
                <Line key={line.id.clone()} line={line.clone()} chosen={(*chosen).as_ref() == Some(&line.id)} />
            }) }
        </ol>
    }
}

fn untried(requirement: &Requirement) -> MarkLine {
    MarkLine {
        id: requirement.id.clone(),
        text: requirement.text.clone(),
        earned: 0,
        of: requirement.marks,
        must: requirement.must,
        trials: Vec::new(),
    }
}

#[derive(Properties, PartialEq)]
struct LineProps {
    line: MarkLine,
    chosen: bool,
}

#[component]
fn Line(props: &LineProps) -> Html {
    let shop = use_workshop();
    let line = &props.line;
    let tried = !line.trials.is_empty();
    let (class, sign, word) = match (tried, line.kept()) {
        (false, _) => ("not-tried", "○", t!("signoff-not-tried")),
        (true, true) => ("kept", "✓", t!("signoff-kept")),
        (true, false) => ("broken", "✗", t!("signoff-broken")),
    };
    let choose = {
        let id = line.id.clone();
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::Screen(ScreenAct::Select(Some(Thing::Requirement(id.clone())))));
        })
    };
    let kept = line.trials.iter().filter(|trial| trial.kept).count();
    html! {
        <li class={classes!("line", props.chosen.then_some("line-chosen"))}>
            <details open={!line.kept() && tried}>
                <summary onclick={choose}>
                    <span class={classes!("line-sign", class)}>
                        <span aria-hidden="true">{ sign }</span>
                        <span class="visually-hidden">{ word }</span>
                    </span>
                    <span class="mono line-id">{ line.id.clone() }</span>
                    <span class="line-text">
                        { line.text.clone() }
                        if line.must { <strong class="brief-must">{ t!("signoff-must") }</strong> }
                    </span>
                    <span class="faint small line-trials">
                        if tried { { t!("signoff-trials", kept = kept, all = line.trials.len()) } }
                    </span>
                    <span class="number line-marks">
                        { if tried { format!("{} / {}", line.earned, line.of) } else { line.of.to_string() } }
                    </span>
                </summary>
                if !tried { <p class="trials faint">{ t!("signoff-not-tried") }</p> }
                <ul class="trials">
                    { for line.trials.iter().enumerate().map(|(at, trial)| html! {
                        <Trial key={at} requirement={line.id.clone()} {at} trial={trial.clone()} />
                    }) }
                </ul>
            </details>
        </li>
    }
}

#[derive(Properties, PartialEq)]
struct TrialProps {
    requirement: AttrValue,
    at: usize,
    trial: TrialResult,
}

#[component]
fn Trial(props: &TrialProps) -> Html {
    let shown = use_state(|| false);
    let trial = &props.trial;
    let toggle = {
        let shown = shown.clone();
        Callback::from(move |_: MouseEvent| shown.set(!*shown))
    };
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let (class, sign, end) = match &trial.failure {
        None => ("kept", "✓ ", t!("signoff-trial-kept").to_string()),
        Some(failure) => ("broken", "✗ ", t!("signoff-trial-broken", time = milliseconds(failure.tick))),
    };
    html! {
        <li class={classes!("trial", trial.failure.is_some().then_some("trial-broken"))}>
            <p><span {class}>{ sign }</span><strong>{ trial.name.clone() }</strong>
                <span class="faint">{ ", " }{ end }</span></p>
            { for trial.failure.as_ref().map(|failure| facts(failure, &scenario, &props.requirement, props.at)) }
            <button type="button" class={trial.failure.is_none().then_some("button-quiet")} onclick={toggle}
                aria-expanded={shown.to_string()}>
                { if *shown { t!("signoff-hide") } else { t!("signoff-show") } }
            </button>
            if *shown {
                <super::replay::Replay requirement={props.requirement.clone()} trial={props.at}
                    failure={trial.failure.clone()} />
            }
        </li>
    }
}

/// What was done up to the step that broke, what was expected there, and what was seen.
fn facts(failure: &Failure, scenario: &Scenario, requirement: &str, trial: usize) -> Html {
    let source = scenario
        .requirements
        .iter()
        .find(|one| one.id == requirement)
        .and_then(|one| one.trials.get(trial))
        .map_or("", |trial| trial.source.as_str());
    let steps = steps_before(source, failure.line, &failure.step);
    html! {
        <dl class="facts">
            if !steps.is_empty() {
                <dt>{ t!("signoff-done") }</dt>
                <dd>{ steps.iter().map(|step| named(step, &scenario.names)).collect::<Vec<_>>().join("; ") }</dd>
            }
            <dt>{ t!("signoff-expected") }</dt><dd>{ named(&failure.expected, &scenario.names) }</dd>
            <dt>{ t!("signoff-seen") }</dt><dd>{ named(&failure.seen, &scenario.names) }</dd>
            <dt>{ t!("signoff-at") }</dt>
            <dd>{ t!("signoff-at-step", time = milliseconds(failure.tick), line = failure.line) }</dd>
        </dl>
    }
}
