//! A trial run again, and drawn: the signals that its script speaks of, and those that lead to them, over time.

use super::words::named;
use crate::diagram::{RecordedDiagram, Recording, tracks};
use crate::hooks::use_selector;
use crate::services::surface::reveal;
use crate::store::checks::Failure;
use crate::store::marking::replay;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// Which trial.
#[derive(Properties, PartialEq)]
pub struct ReplayProps {
    /// Id of the requirement.
    pub requirement: AttrValue,
    /// Number of the trial, from 0.
    pub trial: usize,
    /// Where it broke; none for a trial that was kept.
    pub failure: Option<Failure>,
}

/// Runs a trial again and draws it. It is the trial of the work that was marked, though the work may have gone on since.
#[component]
pub fn Replay(props: &ReplayProps) -> Html {
    let marked = use_selector(|workshop| workshop.checks().marked.clone());
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let which = (props.requirement.clone(), props.trial, props.failure.clone(), marked);
    let recording = use_memo(which, |(requirement, trial, failure, marked)| {
        let marked = marked.as_ref().as_ref().ok_or("")?;
        let replayed = replay(&scenario, &marked.project, requirement, *trial)?;
        Ok::<_, String>(Rc::new(Recording {
            tracks: tracks(&replayed.trace, &replayed.signals, 0, replayed.end),
            end: replayed.end,
            moment: failure.as_ref().map(|failure| {
                let text = t!(
                    "signoff-moment",
                    expected = named(&failure.expected, &scenario.names),
                    seen = named(&failure.seen, &scenario.names),
                );
                (failure.tick, text)
            }),
            played: None,
        }))
    });
    let node = use_node_ref();
    {
        let node = node.clone();
        // It opens under a button that may stand at the lower edge of the sheet.
        use_effect_with((), move |()| reveal(&node));
    }
    match recording.as_ref() {
        Ok(recording) => {
            html! { <div class="replay" ref={node}><RecordedDiagram recording={recording.clone()} /></div> }
        }
        Err(problem) => html! { <p>{ t!("signoff-replay-failed", problem = problem) }</p> },
    }
}
