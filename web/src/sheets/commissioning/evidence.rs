//! The evidence behind a check that failed: what was expected, what was seen and when, and the moment on the diagram.

use crate::diagram::{Recording, tracks};
use crate::hooks::{use_selector, use_workshop};
use crate::sheets::signoff::words::{named, steps_before};
use crate::store::Shop;
use crate::store::checks::{Failure, MarkLine};
use crate::store::marking::replay;
use crate::store::model::Project;
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
                        if let Some(recording) = record(&shop, &project, &id, n, &failure) {
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

/// Runs the trial again and keeps what it did.
fn record(shop: &Shop, project: &Project, id: &str, trial: usize, failure: &Failure) -> Option<Recording> {
    let scenario = shop.with(|workshop| workshop.scenario().clone());
    let replayed = replay(&scenario, project, id, trial).ok()?;
    let tracks = tracks(&replayed.trace, &replayed.signals, 0, replayed.end);
    let text = t!("checks-moment", id = id, expected = failure.expected, seen = failure.seen);
    Some(Recording { end: replayed.end.max(failure.tick), tracks, moment: Some((failure.tick, text)) })
}
