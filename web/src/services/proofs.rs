//! The page's side of the proofs: explores in a worker, so that the bench and the page go on.

use super::errands::{Run, later, send};
use super::protocol::{Answer, Body, Errand, VERSION};
use crate::store::model::Project;
use crate::store::proofs::ProofEvent;
use crate::store::{Command, Notice, Shop};
use crate::t;
use std::cell::RefCell;

thread_local! {
    static RUN: RefCell<Option<Run>> = const { RefCell::new(None) };
}

/// Proves what the scenario asks to be proven, of the work as it stands now.
pub fn start(shop: &Shop) {
    RUN.take();
    shop.dispatch(Command::KeepDraft);
    let project = shop.with(|workshop| workshop.project().clone());
    shop.dispatch(Command::Proofs(ProofEvent::Started(Box::new(project.clone()))));
    let job = shop.with(|workshop| workshop.proofs().job);
    let (taking, failing) = (shop.clone(), shop.clone());
    let take = move |answer| take(&taking, answer, &project);
    let fail = move || failed(&failing, t!("checks-no-worker").into());
    match send(shop, (Errand::Prove, job), take, fail) {
        Ok(run) => RUN.set(Some(run)),
        Err(text) => failed(shop, text),
    }
}

/// Stops exploring. What is proven by then stays; the rest is not computed.
pub fn stop(shop: &Shop) {
    RUN.take();
    shop.dispatch(Command::Proofs(ProofEvent::Ended));
}

fn take(shop: &Shop, answer: Answer, project: &Project) {
    let job = answer.job;
    let current = shop.with(|workshop| workshop.proofs().job == job && workshop.project() == project);
    if !current || answer.version != VERSION {
        // The design has been changed since: what comes is for an earlier one.
        later(stop, shop);
        return;
    }
    match answer.body {
        Body::Proving(progress) => shop.dispatch(Command::Proofs(ProofEvent::Progress(progress))),
        Body::Proof(line) => shop.dispatch(Command::Proofs(ProofEvent::Done(Box::new(line)))),
        Body::Proofs => later(stop, shop),
        Body::Failed(text) => failed(shop, text),
        Body::Progress(..) | Body::Marks(_) => {}
    }
}

fn failed(shop: &Shop, text: String) {
    shop.dispatch(Command::Notice(Notice { refused: true, text }));
    later(stop, shop);
}
