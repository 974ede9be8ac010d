//! The page's side of the checks: runs them in the worker, so that the bench and the page go on.

use super::page;
use super::protocol::{Answer, Body, Order, VERSION};
use crate::store::checks::{CheckEvent, Marked};
use crate::store::{Command, Notice, Shop};
use crate::t;
use gloo::events::EventListener;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{HtmlElement, MessageEvent, Worker, WorkerOptions, WorkerType};

struct Run {
    worker: Worker,
    _listeners: [EventListener; 2],
}

thread_local! {
    static RUN: RefCell<Option<Run>> = const { RefCell::new(None) };
}

/// Runs all checks on the work as it stands now.
pub fn start(shop: &Shop) {
    end();
    shop.dispatch(Command::KeepDraft);
    shop.dispatch(Command::Checks(CheckEvent::Started));
    if let Err(text) = order(shop) {
        failed(shop, text);
    }
}

/// Stops the checks; there are no marks then.
pub fn stop(shop: &Shop) {
    end();
    shop.dispatch(Command::Checks(CheckEvent::Dropped));
}

fn order(shop: &Shop) -> Result<(), String> {
    let refused = |_| t!("checks-no-worker").to_string();
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    let worker =
        Worker::new_with_options(&address().ok_or(t!("checks-no-worker"))?, &options).map_err(refused)?;
    let (job, project, attempt) = shop.with(|workshop| {
        (workshop.checks().job, workshop.project().clone(), workshop.session().attempt().to_json())
    });
    let answers = {
        let shop = shop.clone();
        EventListener::new(&worker, "message", move |event| {
            let text = event.dyn_ref::<MessageEvent>().and_then(|event| event.data().as_string());
            if let Some(answer) = text.and_then(|text| serde_json::from_str::<Answer>(&text).ok()) {
                take(&shop, answer, &project);
            }
        })
    };
    let errors = {
        let shop = shop.clone();
        EventListener::new(&worker, "error", move |_| failed(&shop, t!("checks-no-worker").into()))
    };
    let order = Order { version: VERSION, job, attempt };
    let text = serde_json::to_string(&order).map_err(|error| error.to_string())?;
    worker.post_message(&JsValue::from_str(&text)).map_err(refused)?;
    RUN.set(Some(Run { worker, _listeners: [answers, errors] }));
    Ok(())
}

fn take(shop: &Shop, answer: Answer, project: &crate::store::model::Project) {
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
            later(|_| end(), shop);
        }
        Body::Failed(text) => failed(shop, text),
    }
}

fn failed(shop: &Shop, text: String) {
    shop.dispatch(Command::Notice(Notice { refused: true, text }));
    later(stop, shop);
}

/// Ends the worker once its listener, which may be running now, has returned.
fn later(then: impl FnOnce(&Shop) + 'static, shop: &Shop) {
    let shop = shop.clone();
    gloo::timers::callback::Timeout::new(0, move || then(&shop)).forget();
}

fn end() {
    if let Some(run) = RUN.take() {
        run.worker.terminate();
    }
}

/// Address of the worker's script, which stands in the page.
fn address() -> Option<String> {
    let script = page::document()?.get_element_by_id("start")?;
    let name = script.dyn_into::<HtmlElement>().ok()?.dataset().get("worker")?;
    // Relative to the page, as every address in it.
    Some(name)
}
