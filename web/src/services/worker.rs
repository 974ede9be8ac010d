//! The worker's side: marks an attempt, proves it or explores its fault table when asked, and tells how far it has come.

use super::protocol::{Answer, Body, Errand, Order, VERSION};
use crate::store::suspects::{self, Following};
use crate::store::{marking, proving};
use gloo::events::EventListener;
use std::cell::{Cell, RefCell};
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

fn answer(scope: &DedicatedWorkerGlobalScope, job: u32, body: Body) {
    let answer = Answer { version: VERSION, job, body };
    if let Ok(text) = serde_json::to_string(&answer) {
        let _ = scope.post_message(&JsValue::from_str(&text));
    }
}

thread_local! {
    // An attempt that is followed from errand to errand, with the number of the last one.
    static FOLLOWING: RefCell<Option<(Following, u32)>> = const { RefCell::new(None) };
    // A slice of it is due.
    static DUE: Cell<bool> = const { Cell::new(false) };
}

/// Takes a following up, and works until it is through; messages that come meanwhile are heard between two slices.
fn follow_suspects(scope: &DedicatedWorkerGlobalScope, order: &Order) -> Result<(), String> {
    let following = match &order.errand {
        Errand::On { entries, tick } => {
            let Some((mut following, _)) = FOLLOWING.take() else { return Ok(()) };
            following.go_on(entries, *tick)?;
            following
        }
        _ => Following::new(&order.attempt)?,
    };
    FOLLOWING.set(Some((following, order.job)));
    if !DUE.replace(true) {
        work_on(scope.clone(), f64::NEG_INFINITY);
    }
    Ok(())
}

/// Works a slice, and comes again. One that is through waits for the next errand outside of here.
fn work_on(scope: DedicatedWorkerGlobalScope, told_at: f64) {
    DUE.set(false);
    let Some((mut following, job)) = FOLLOWING.take() else { return };
    let done = following.advance(suspects::PIECES);
    let now = js_sys::Date::now();
    let due = now - told_at >= PROGRESS_EVERY_MS;
    match done {
        Ok((0, _)) => {
            answer(&scope, job, Body::Suspects(following.list(), following.entries));
            FOLLOWING.set(Some((following, job)));
            return;
        }
        Ok((behind, of)) if due => answer(&scope, job, Body::Behind(behind, of)),
        Ok(_) => {}
        Err(text) => return answer(&scope, job, Body::Failed(text)),
    }
    FOLLOWING.set(Some((following, job)));
    let told_at = if due { now } else { told_at };
    DUE.set(true);
    gloo::timers::callback::Timeout::new(0, move || work_on(scope, told_at)).forget();
}

fn follow(scope: &DedicatedWorkerGlobalScope, order: &Order) {
    let say = |body: Body| answer(scope, order.job, body);
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
        Errand::Paths => suspects::paths(&order.attempt, &mut |behind, of| {
            if due() {
                say(Body::Behind(behind, of));
            }
        })
        .map(Body::Paths),
        Errand::Suspects | Errand::On { .. } => match follow_suspects(scope, order) {
            Ok(()) => return,
            Err(text) => Err(text),
        },
    };
    say(done.unwrap_or_else(Body::Failed));
}
