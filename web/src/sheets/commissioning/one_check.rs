//! Running the trials of one requirement, one after the other, between frames.

use crate::store::Shop;
use crate::store::checks::{Failure, MarkLine, TrialResult};
use crate::store::model::Project;
use gloo::timers::future::TimeoutFuture;
use sealin_exercise::marking::run_trial;
use std::collections::BTreeMap;
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;
use yew::prelude::*;

/// A requirement that was tried by itself, and the work that it was tried on.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// How it went.
    pub line: MarkLine,
    /// The work.
    pub project: Rc<Project>,
}

/// Requirements tried by themselves, by id, and the one that is being tried.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct OneChecks {
    /// Those that are done.
    pub tried: BTreeMap<String, Tried>,
    /// Id, trials done, trials in all.
    pub running: Option<(String, usize, usize)>,
    /// Id of the one that was done last.
    pub last: Option<String>,
}

/// What happens to them.
#[derive(Debug)]
pub enum OneEvent {
    /// A trial begins.
    Running(String, usize, usize),
    /// All trials are done.
    Done(Box<Tried>),
    /// The work was changed meanwhile.
    Dropped,
}

impl Reducible for OneChecks {
    type Action = OneEvent;

    fn reduce(self: Rc<Self>, event: OneEvent) -> Rc<OneChecks> {
        let mut next = (*self).clone();
        match event {
            OneEvent::Running(id, done, of) => next.running = Some((id, done, of)),
            OneEvent::Done(tried) => {
                next.running = None;
                next.last = Some(tried.line.id.clone());
                next.tried.insert(tried.line.id.clone(), *tried);
            }
            OneEvent::Dropped => next.running = None,
        }
        Rc::new(next)
    }
}

/// Tries one requirement on the work as it stands.
pub fn run(shop: Shop, id: String, tell: UseReducerDispatcher<OneChecks>) {
    let (scenario, project) = shop.with(|w| (w.scenario().clone(), Rc::new(w.project().clone())));
    let Some(requirement) = scenario.requirements.iter().find(|r| r.id == id).cloned() else { return };
    spawn_local(async move {
        let of = requirement.trials.len();
        let mut trials = Vec::with_capacity(of);
        for n in 0..of {
            tell.dispatch(OneEvent::Running(id.clone(), n, of));
            // The page is drawn between two trials.
            TimeoutFuture::new(0).await;
            if shop.with(|w| *w.project() != *project) {
                tell.dispatch(OneEvent::Dropped);
                return;
            }
            trials.extend(run_trial(&scenario, &project, &id, n, &mut ()).map(|trial| TrialResult {
                name: trial.name,
                kept: trial.kept,
                failure: trial.failure.map(|failure| Failure {
                    line: failure.line,
                    step: failure.step,
                    expected: failure.expected,
                    seen: failure.seen,
                    tick: failure.tick,
                }),
            }));
        }
        let kept = trials.len() == of && trials.iter().all(|trial| trial.kept);
        let line = MarkLine {
            id,
            text: requirement.text,
            earned: if kept { requirement.marks } else { 0 },
            of: requirement.marks,
            must: requirement.must,
            trials,
        };
        tell.dispatch(OneEvent::Done(Box::new(Tried { line, project })));
    });
}
