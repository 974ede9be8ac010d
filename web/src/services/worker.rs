//! The worker's side: marks an attempt when asked, and tells how far it has come.

use super::protocol::{Answer, Body, Order, VERSION};
use crate::store::checks::Marks;
use crate::store::marking;
use gloo::events::EventListener;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// Least time between two messages of progress, ms.
const PROGRESS_EVERY_MS: f64 = 100.0;

/// Listens for orders if this module runs in a worker.
pub fn listen() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let own = scope.clone();
    EventListener::new(&scope, "message", move |event| {
        let text = event.dyn_ref::<MessageEvent>().and_then(|event| event.data().as_string());
        if let Some(order) = text.and_then(|text| serde_json::from_str::<Order>(&text).ok()) {
            follow(&own, &order);
        }
    })
    .forget();
}

fn follow(scope: &DedicatedWorkerGlobalScope, order: &Order) {
    let say = |body: Body| {
        let answer = Answer { version: VERSION, job: order.job, body };
        if let Ok(text) = serde_json::to_string(&answer) {
            let _ = scope.post_message(&JsValue::from_str(&text));
        }
    };
    if order.version != VERSION {
        say(Body::Failed(crate::t!("checks-other-build").into()));
        return;
    }
    let mut last = f64::NEG_INFINITY;
    let marks: Result<Marks, String> = marking::mark_file(&order.attempt, &mut |done, of| {
        let now = js_sys::Date::now();
        if now - last >= PROGRESS_EVERY_MS {
            last = now;
            say(Body::Progress(done, of));
        }
        true
    });
    say(match marks {
        Ok(marks) => Body::Marks(marks),
        Err(text) => Body::Failed(text),
    });
}
