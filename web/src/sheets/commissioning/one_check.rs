//! Running the trials of one requirement, one after the other, between frames.

use crate::store::checks::{CheckEvent, MarkLine, Tried};
use crate::store::{Command, Shop};
use gloo::timers::future::TimeoutFuture;
use sealin_exercise::marking::run_trial;
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;

/// Tries one requirement on the work as it stands.
pub fn run(shop: Shop, id: String) {
    let (scenario, project) = shop.with(|w| (w.scenario().clone(), Rc::new(w.project().clone())));
    let Some(requirement) = scenario.requirements.iter().find(|r| r.id == id).cloned() else { return };
    spawn_local(async move {
        let tell = |event: CheckEvent| shop.dispatch(Command::Checks(event));
        let of = requirement.trials.len();
        let mut trials = Vec::with_capacity(of);
        for n in 0..of {
            tell(CheckEvent::Trying(id.clone(), n, of));
            // The page is drawn between two trials.
            TimeoutFuture::new(0).await;
            if shop.with(|w| *w.project() != *project) {
                tell(CheckEvent::TryDropped);
                return;
            }
            trials.extend(run_trial(&scenario, &project, &id, n, &mut ()));
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
        tell(CheckEvent::Tried(Rc::new(Tried { line, project })));
    });
}
