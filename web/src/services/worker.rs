//! The worker's side: marks an attempt, proves it or explores its fault table when asked, and tells how far it has come.

use super::protocol::{Answer, Body, Errand, Order, VERSION};
use crate::store::{marking, proving};
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
    let mut due = || {
        let now = js_sys::Date::now();
        let due = now - last >= PROGRESS_EVERY_MS;
        if due {
            last = now;
        }
        due
    };
    let done = match &order.errand {
        Errand::Mark => marking::mark_file(&order.attempt, &mut |done, of| {
            if due() {
                say(Body::Progress(done, of));
            }
            true
        })
        .map(Body::Marks),
        Errand::Prove => proving::prove_file(
            &order.attempt,
            &mut |progress| {
                if due() {
                    say(Body::Proving(progress));
                }
            },
            &mut |line| say(Body::Proof(line)),
        )
        .map(|()| Body::Done),
        Errand::Faults(wanted) => proving::table_file(
            &order.attempt,
            wanted,
            &mut |progress| {
                if due() {
                    say(Body::Proving(progress));
                }
            },
            &mut |row| say(Body::Row(row)),
        )
        .map(|()| Body::Done),
    };
    say(done.unwrap_or_else(Body::Failed));
}
