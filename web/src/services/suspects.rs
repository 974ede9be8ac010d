//! What is still suspected, followed in a worker that stays: it is told what is done on the bench, and answers a look.

use super::errands::{Run, later, send};
use super::protocol::{Answer, Body, Errand, VERSION};
use crate::store::suspects::SuspectEvent;
use crate::store::{Command, Notice, Shop};
use crate::t;
use gloo::timers::callback::Interval;
use std::cell::RefCell;

/// How often the worker is told what is new, so that the next look finds it near, ms.
const KEEP_UP_MS: u32 = 1_000;

/// A worker that follows the work.
struct Following {
    run: Run,
    /// Counts the attempts that were on the bench.
    epoch: u64,
    /// Entries of the log that it was told of.
    entries: usize,
    /// Tick up to which it was told.
    tick: u64,
    /// Tells it what is new, until this is dropped.
    _keep_up: Interval,
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
    if !tell(shop, true) {
        FOLLOWING.with_borrow_mut(Option::take);
        begin(shop, Errand::Suspects);
    }
}

/// Tells the worker what is new. False where none follows this work.
fn tell(shop: &Shop, look: bool) -> bool {
    let (epoch, acts, tick) = shop.with(|w| (w.epoch(), w.session().acts(), w.session().tick()));
    FOLLOWING.with_borrow_mut(|following| {
        let Some(following) = following.as_mut().filter(|following| following.epoch == epoch) else {
            return false;
        };
        if !look && (following.entries, following.tick) == (acts, tick) {
            return true;
        }
        let entries: Vec<String> = shop.with(|workshop| {
            workshop.session().entries_from(following.entries).iter().map(|entry| entry.to_json()).collect()
        });
        let job = shop.with(|workshop| workshop.suspicion().job);
        (following.entries, following.tick) = (acts, tick);
        following.run.order(Errand::On { entries, tick, look }, job).is_ok()
    })
}

fn begin(shop: &Shop, errand: Errand) {
    let (epoch, acts, tick) = shop.with(|w| (w.epoch(), w.session().acts(), w.session().tick()));
    let job = shop.with(|workshop| workshop.suspicion().job);
    let (taking, failing) = (shop.clone(), shop.clone());
    let take = move |answer| take(&taking, answer);
    let fail = move || failed(&failing, t!("checks-no-worker").into());
    match send(shop, (errand, job), take, fail) {
        Ok(run) => {
            let telling = shop.clone();
            let keep_up = Interval::new(KEEP_UP_MS, move || keep_up(&telling));
            let following = Following { run, epoch, entries: acts, tick, _keep_up: keep_up };
            FOLLOWING.with_borrow_mut(|place| *place = Some(following));
        }
        Err(text) => failed(shop, text),
    }
}

/// Tells the worker what was done, as long as there is something to find.
fn keep_up(shop: &Shop) {
    if shop.with(|workshop| workshop.is_sealed()) {
        tell(shop, false);
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
