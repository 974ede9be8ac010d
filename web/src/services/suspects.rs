//! What is still suspected, followed in a worker that stays: it is told what is done on the bench, and answers a look.

use super::errands::{Run, later, send};
use super::protocol::{Answer, Body, Errand, VERSION};
use crate::store::suspects::SuspectEvent;
use crate::store::{Command, Notice, Shop};
use crate::t;
use std::cell::RefCell;

/// A worker that follows the work.
struct Following {
    run: Run,
    /// Counts the attempts that were on the bench.
    epoch: u64,
    /// Entries of the log that it was told of.
    entries: usize,
}

thread_local! {
    static FOLLOWING: RefCell<Option<Following>> = const { RefCell::new(None) };
}

/// Takes a look, which is written into the log and costs marks; the answer comes when every bench has been followed so far.
pub fn look(shop: &Shop) {
    let before = shop.with(|workshop| workshop.session().acts());
    shop.dispatch(Command::Look);
    // One that was refused is told of on the page.
    if shop.with(|workshop| workshop.session().acts()) > before {
        ask(shop);
    }
}

/// Asks for the way of the work that was handed in, beside the coach's own.
pub fn paths(shop: &Shop) {
    shop.dispatch(Command::Suspects(SuspectEvent::Asked));
    FOLLOWING.with_borrow_mut(Option::take);
    begin(shop, Errand::Paths);
}

/// Asks the worker, and begins one where there is none for this work.
fn ask(shop: &Shop) {
    shop.dispatch(Command::Suspects(SuspectEvent::Asked));
    let (epoch, acts, tick) = shop.with(|w| (w.epoch(), w.session().acts(), w.session().tick()));
    let told = FOLLOWING.with_borrow_mut(|following| {
        let Some(following) = following.as_mut().filter(|following| following.epoch == epoch) else {
            return false;
        };
        let entries: Vec<String> = shop.with(|workshop| {
            workshop.session().entries_from(following.entries).iter().map(|entry| entry.to_json()).collect()
        });
        let job = shop.with(|workshop| workshop.suspicion().job);
        following.entries = acts;
        following.run.order(Errand::On { entries, tick }, job).is_ok()
    });
    if told {
        return;
    }
    FOLLOWING.with_borrow_mut(Option::take);
    begin(shop, Errand::Suspects);
}

fn begin(shop: &Shop, errand: Errand) {
    let (epoch, acts) = shop.with(|w| (w.epoch(), w.session().acts()));
    let job = shop.with(|workshop| workshop.suspicion().job);
    let (taking, failing) = (shop.clone(), shop.clone());
    let take = move |answer| take(&taking, answer);
    let fail = move || failed(&failing, t!("checks-no-worker").into());
    match send(shop, (errand, job), take, fail) {
        Ok(run) => {
            let following = Following { run, epoch, entries: acts };
            FOLLOWING.with_borrow_mut(|place| *place = Some(following));
        }
        Err(text) => failed(shop, text),
    }
}

fn take(shop: &Shop, answer: Answer) {
    let current = shop.with(|workshop| workshop.suspicion().job == answer.job);
    if !current || answer.version != VERSION {
        later(|_| drop(FOLLOWING.with_borrow_mut(Option::take)), shop);
        return;
    }
    match answer.body {
        Body::Behind(behind, of) => shop.dispatch(Command::Suspects(SuspectEvent::Behind(behind, of))),
        Body::Suspects(list, entries) => {
            shop.dispatch(Command::Suspects(SuspectEvent::Known(Box::new(list), entries)));
        }
        Body::Paths(paths) => {
            shop.dispatch(Command::Suspects(SuspectEvent::Paths(Box::new(paths))));
            later(|_| drop(FOLLOWING.with_borrow_mut(Option::take)), shop);
        }
        Body::Failed(text) => failed(shop, text),
        _ => {}
    }
}

fn failed(shop: &Shop, text: String) {
    shop.dispatch(Command::Suspects(SuspectEvent::Ended));
    shop.dispatch(Command::Notice(Notice { refused: true, text }));
    later(|_| drop(FOLLOWING.with_borrow_mut(Option::take)), shop);
}
