//! The page's side of what a worker computes about the work, so that the bench and the page go on: checks, proofs, fault table.
//!
//! Each has a [`Desk`]: what it asks for, and what it makes of an answer. At most one worker runs for a desk. An answer about work
//! that has been changed since ends the run.

use super::page;
use super::protocol::{Answer, Body, Errand, Order, VERSION};
use crate::store::model::Project;
use crate::store::{Command, Notice, Shop, Workshop};
use crate::t;
use gloo::events::EventListener;
use std::cell::RefCell;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{HtmlElement, MessageEvent, Worker, WorkerOptions, WorkerType};

/// What is asked of a worker, and what is made of its answers.
pub struct Desk {
    /// Number of the desk, below [`DESKS`].
    pub number: usize,
    /// What the store is told when a run begins, on this work.
    pub started: fn(&Project) -> Command,
    /// Number of the run that has begun.
    pub job: fn(&Workshop) -> u32,
    /// What is asked for.
    pub errand: fn(&Workshop) -> Errand,
    /// What is made of an answer of the run with this number, about this work.
    pub take: fn(Body, u32, &Project) -> Taken,
    /// What the store is told when the run is stopped or has failed.
    pub stopped: fn() -> Command,
}

/// What is made of an answer.
pub enum Taken {
    /// The store is told.
    Told(Command),
    /// The store is told, and the run is over.
    Over(Command),
    /// It is not for this desk.
    NotMine,
}

/// Number of desks.
const DESKS: usize = 3;

thread_local! {
    static RUNS: RefCell<[Option<Run>; DESKS]> = const { RefCell::new([const { None }; DESKS]) };
}

impl Desk {
    fn put(&self, run: Option<Run>) {
        RUNS.with_borrow_mut(|runs| runs[self.number] = run);
    }

    /// Begins a run on the work as it stands now.
    pub fn start(&'static self, shop: &Shop) {
        self.put(None);
        shop.dispatch(Command::KeepDraft);
        let project = shop.with(|workshop| workshop.project().clone());
        shop.dispatch((self.started)(&project));
        let order = shop.with(|workshop| ((self.errand)(workshop), (self.job)(workshop)));
        let (taking, failing) = (shop.clone(), shop.clone());
        let take = move |answer| self.take(&taking, answer, &project);
        let fail = move || self.fail(&failing, t!("checks-no-worker").into());
        match send(shop, order, take, fail) {
            Ok(run) => self.put(Some(run)),
            Err(text) => self.fail(shop, text),
        }
    }

    /// Stops; what has been told by then stays told.
    pub fn stop(&self, shop: &Shop) {
        self.put(None);
        shop.dispatch((self.stopped)());
    }

    fn take(&'static self, shop: &Shop, answer: Answer, project: &Project) {
        let job = answer.job;
        let current = shop.with(|workshop| (self.job)(workshop) == job && workshop.project() == project);
        if !current || answer.version != VERSION {
            // The design has been changed since: what comes is for an earlier one.
            later(|shop| self.stop(shop), shop);
            return;
        }
        if let Body::Failed(text) = answer.body {
            return self.fail(shop, text);
        }
        match (self.take)(answer.body, job, project) {
            Taken::Told(command) => shop.dispatch(command),
            Taken::Over(command) => {
                shop.dispatch(command);
                later(|_| self.put(None), shop);
            }
            Taken::NotMine => {}
        }
    }

    fn fail(&'static self, shop: &Shop, text: String) {
        shop.dispatch(Command::Notice(Notice { refused: true, text }));
        later(|shop| self.stop(shop), shop);
    }
}

/// A worker that runs; it ends when this is dropped.
pub struct Run {
    worker: Worker,
    _listeners: [EventListener; 2],
}

impl Drop for Run {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

impl Run {
    /// Sends it on another errand about the same attempt.
    ///
    /// # Errors
    /// That it does not listen any more.
    pub fn order(&self, errand: Errand, job: u32) -> Result<(), String> {
        post(&self.worker, &Order { version: VERSION, job, errand, attempt: String::new() })
    }
}

fn post(worker: &Worker, order: &Order) -> Result<(), String> {
    let text = serde_json::to_string(order).map_err(|error| error.to_string())?;
    worker.post_message(&JsValue::from_str(&text)).map_err(|_| t!("checks-no-worker").to_string())
}

/// Sends a worker on an errand about the work as it stands. `take` gets its answers of this build, `fail` what keeps it from
/// answering.
///
/// # Errors
/// Why no worker can be had.
pub fn send(
    shop: &Shop,
    (errand, job): (Errand, u32),
    take: impl Fn(Answer) + 'static,
    fail: impl Fn() + 'static,
) -> Result<Run, String> {
    let refused = |_| t!("checks-no-worker").to_string();
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    let worker =
        Worker::new_with_options(&address().ok_or(t!("checks-no-worker"))?, &options).map_err(refused)?;
    let answers = EventListener::new(&worker, "message", move |event| {
        let text = event.dyn_ref::<MessageEvent>().and_then(|event| event.data().as_string());
        if let Some(answer) = text.and_then(|text| serde_json::from_str::<Answer>(&text).ok()) {
            take(answer);
        }
    });
    let errors = EventListener::new(&worker, "error", move |_| fail());
    let attempt = shop.with(|workshop| workshop.session().attempt().to_json());
    let order = Order { version: VERSION, job, errand, attempt };
    post(&worker, &order)?;
    Ok(Run { worker, _listeners: [answers, errors] })
}

/// Does something once a worker's listener, which may be running now, has returned.
pub fn later(then: impl FnOnce(&Shop) + 'static, shop: &Shop) {
    let shop = shop.clone();
    gloo::timers::callback::Timeout::new(0, move || then(&shop)).forget();
}

/// Address of the worker's script, which stands in the page.
fn address() -> Option<String> {
    let script = page::document()?.get_element_by_id("start")?;
    let name = script.dyn_into::<HtmlElement>().ok()?.dataset().get("worker")?;
    // Relative to the page, as every address in it.
    Some(name)
}
