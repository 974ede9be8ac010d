//! The page's side of the checks: runs them in the worker, so that the bench and the page go on.

use super::errands::{Run, later, send};
use super::protocol::{Answer, Body, Errand, VERSION};
use crate::store::checks::{CheckEvent, Marked};
use crate::store::model::Project;
use crate::store::{Command, Notice, Shop};
use crate::t;
use std::cell::RefCell;
use std::rc::Rc;

thread_local! {
    static RUN: RefCell<Option<Run>> = const { RefCell::new(None) };
}

/// Runs all checks on the work as it stands now.
pub fn start(shop: &Shop) {
    RUN.take();
    shop.dispatch(Command::KeepDraft);
    shop.dispatch(Command::Checks(CheckEvent::Started));
    let (job, project) = shop.with(|workshop| (workshop.checks().job, workshop.project().clone()));
    let (taking, failing) = (shop.clone(), shop.clone());
    let take = move |answer| take(&taking, answer, &project);
    let fail = move || failed(&failing, t!("checks-no-worker").into());
    match send(shop, (Errand::Mark, job), take, fail) {
        Ok(run) => RUN.set(Some(run)),
        Err(text) => failed(shop, text),
    }
}

/// Stops the checks; there are no marks then.
pub fn stop(shop: &Shop) {
    RUN.take();
    shop.dispatch(Command::Checks(CheckEvent::Dropped));
}

fn take(shop: &Shop, answer: Answer, project: &Project) {
    let job = answer.job;
    let current = shop.with(|workshop| workshop.checks().job == job && workshop.project() == project);
    if !current || answer.version != VERSION {
        // The design has been changed since: what comes is for an earlier one.
        later(stop, shop);
        return;
    }
    match answer.body {
        Body::Progress(done, of) => shop.dispatch(Command::Checks(CheckEvent::Progress { job, done, of })),
        Body::Marks(marks) => {
            let marked = Rc::new(Marked { marks, project: project.clone() });
            shop.dispatch(Command::Checks(CheckEvent::Done { job, marked }));
            later(|_| drop(RUN.take()), shop);
        }
        Body::Failed(text) => failed(shop, text),
        Body::Proving(_) | Body::Proof(_) | Body::Proofs => {}
    }
}

fn failed(shop: &Shop, text: String) {
    shop.dispatch(Command::Notice(Notice { refused: true, text }));
    later(stop, shop);
}
