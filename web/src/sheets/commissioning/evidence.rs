//! The evidence behind a check that failed: what was expected, what was seen and when, and the moment on the diagram.

use crate::diagram::{Recording, tracks};
use crate::hooks::{use_selector, use_workshop};
use crate::services::page;
use crate::sheets::signoff::words::{named, steps_before};
use crate::store::checks::{Failure, MarkLine};
use crate::store::marking::replay;
use crate::store::model::Project;
use crate::store::{Command, Shop};
use crate::t;
use crate::text::quantity::milliseconds;
use std::rc::Rc;
use yew::prelude::*;

/// A check that failed.
#[derive(Properties, PartialEq)]
pub struct EvidenceProps {
    /// Its line.
    pub line: MarkLine,
    /// The work that was tried.
    pub project: Rc<Project>,
    /// Shows a recorded trial.
    pub on_show: Callback<Rc<Recording>>,
}

/// The trials that failed.
#[component]
pub fn Evidence(props: &EvidenceProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let trials = scenario.requirements.iter().find(|one| one.id == props.line.id).map(|one| &one.trials);
    let failed = props
        .line
        .trials
        .iter()
        .enumerate()
        .filter_map(|(n, trial)| Some((n, trial, trial.failure.as_ref()?)));
    html! {
        <div class="evidence">
            { for failed.map(|(n, trial, failure)| {
                let show = {
                    let (shop, project, id, failure, on_show) = (shop.clone(), props.project.clone(),
                        props.line.id.clone(), failure.clone(), props.on_show.clone());
                    Callback::from(move |_: MouseEvent| {
                        if let Some(recording) = record(&shop, &project, &id, n, Some(&failure)) {
                            on_show.emit(Rc::new(recording));
                        }
                    })
                };
                let source = trials.and_then(|all| all.get(n)).map_or("", |one| one.source.as_str());
                let steps = steps_before(source, failure.line, &failure.step);
                html! {
                    <div class="evidence-trial">
                        <p><strong>{ trial.name.clone() }</strong></p>
                        <dl class="evidence-facts">
                            if !steps.is_empty() {
                                <dt>{ t!("checks-done") }</dt>
                                <dd>{ steps.iter().map(|step| named(step, &scenario.names)).collect::<Vec<_>>().join("; ") }</dd>
                            }
                            <dt>{ t!("checks-expected") }</dt><dd>{ named(&failure.expected, &scenario.names) }</dd>
                            <dt>{ t!("checks-seen") }</dt><dd>{ named(&failure.seen, &scenario.names) }</dd>
                            <dt>{ t!("checks-when") }</dt><dd>{ t!("checks-at", time = milliseconds(failure.tick), line = failure.line) }</dd>
                        </dl>
                        if failure.line > 0 {
                            <button type="button" onclick={show}>{ t!("checks-show") }</button>
                        }
                    </div>
                }
            }) }
        </div>
    }
}

/// Runs the trial again and keeps what it did: to be seen at where it broke, or without that to be followed as it runs.
fn record(
    shop: &Shop,
    project: &Project,
    id: &str,
    trial: usize,
    failure: Option<&Failure>,
) -> Option<Recording> {
    let scenario = shop.with(|workshop| workshop.scenario().clone());
    let replayed = replay(&scenario, project, id, trial).ok()?;
    let tracks = tracks(&replayed.trace, &replayed.signals, 0, replayed.end);
    let moment = failure.map(|failure| {
        let text = t!("checks-moment", id = id, expected = failure.expected, seen = failure.seen);
        (failure.tick, text)
    });
    let end = replayed.end.max(moment.as_ref().map_or(0, |(tick, _)| *tick));
    let requirement = scenario.requirements.iter().find(|one| one.id == id);
    let name = requirement.and_then(|one| one.trials.get(trial)).map_or("", |one| one.name.as_str());
    let played = failure.is_none().then(|| (page::clock_ms(), format!("{id}: {name}")));
    Some(Recording { end, tracks, moment, played })
}

/// A requirement, the trials of which are to be followed.
#[derive(Properties, PartialEq)]
pub struct FollowProps {
    /// Its id.
    pub id: AttrValue,
    /// Shows a recorded trial.
    pub on_show: Callback<Rc<Recording>>,
}

/// The trials of a requirement, each to be followed on the diagram as it runs, on the work as it stands.
#[component]
pub fn Follow(props: &FollowProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let Some(requirement) = scenario.requirements.iter().find(|one| one.id == *props.id) else {
        return Html::default();
    };
    html! {
        <div class="buttons">
            { for requirement.trials.iter().enumerate().map(|(n, trial)| {
                let (shop, id, on_show) = (shop.clone(), props.id.clone(), props.on_show.clone());
                let follow = Callback::from(move |_: MouseEvent| {
                    shop.dispatch(Command::KeepDraft);
                    let project = shop.with(|workshop| workshop.project().clone());
                    if let Some(recording) = record(&shop, &project, &id, n, None) {
                        on_show.emit(Rc::new(recording));
                    }
                });
                html! { <button key={n} type="button" class="check-trial" onclick={follow}>{ trial.name.clone() }</button> }
            }) }
        </div>
    }
}
