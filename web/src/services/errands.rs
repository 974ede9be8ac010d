//! A worker of the page's own, on one errand: what it is asked, and what it answers.

use super::page;
use super::protocol::{Answer, Errand, Order, VERSION};
use crate::store::Shop;
use crate::t;
use gloo::events::EventListener;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{HtmlElement, MessageEvent, Worker, WorkerOptions, WorkerType};

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
    let text = serde_json::to_string(&order).map_err(|error| error.to_string())?;
    worker.post_message(&JsValue::from_str(&text)).map_err(refused)?;
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
