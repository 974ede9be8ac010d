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

/// How long a slice of following takes, ms: browsers let some milliseconds pass between two of them.
const SLICE_MS: f64 = 40.0;

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
    // An attempt that is followed from errand to errand.
    static FOLLOWING: RefCell<Option<(Following, Owed)>> = const { RefCell::new(None) };
    // A slice of it is due.
    static DUE: Cell<bool> = const { Cell::new(false) };
}

/// What the page is to be told of an attempt that is followed.
#[derive(Clone, Copy)]
struct Owed {
    /// Number of the last errand.
    job: u32,
    /// What is left.
    list: bool,
    /// The readings worth most; that takes longer.
    next: bool,
}

/// Takes a following up, and works until it is through; messages that come meanwhile are heard between two slices.
fn follow_suspects(scope: &DedicatedWorkerGlobalScope, order: &Order) -> Result<(), String> {
    let now = Owed { job: order.job, list: true, next: true };
    let (following, owed) = match &order.errand {
        Errand::On { entries, tick, look } => {
            let Some((mut following, owed)) = FOLLOWING.take() else { return Ok(()) };
            following.go_on(entries, *tick)?;
            (following, if *look { now } else { owed })
        }
        _ => (Following::new(&order.attempt)?, now),
    };
    FOLLOWING.set(Some((following, owed)));
    if !DUE.replace(true) {
        work_on(scope.clone(), f64::NEG_INFINITY);
    }
    Ok(())
}

/// Works a slice, and comes again. One that is through waits for the next errand outside of here.
fn work_on(scope: DedicatedWorkerGlobalScope, told_at: f64) {
    DUE.set(false);
    let Some((mut following, mut owed)) = FOLLOWING.take() else { return };
    let until = js_sys::Date::now() + SLICE_MS;
    let (done, lists, now) = loop {
        let done = following.advance(suspects::PIECES);
        // Whoever waits for a list gets it at once.
        let (lists, now) = (owed.list && following.is_judged(), js_sys::Date::now());
        if lists || !matches!(done, Ok((1.., _))) || now >= until {
            break (done, lists, now);
        }
    };
    let due = now - told_at >= PROGRESS_EVERY_MS && owed.list;
    match done {
        // What is left is told first: what to read next asks for every bench as it is now.
        Ok(_) if lists => {
            answer(&scope, owed.job, Body::Suspects(following.list(None), following.entries));
            owed.list = false;
        }
        Ok((0, _)) if owed.next => {
            let list = following.list(Some(following.next()));
            answer(&scope, owed.job, Body::Suspects(list, following.entries));
            owed.next = false;
        }
        Ok((0, _)) => return FOLLOWING.set(Some((following, owed))),
        Ok((behind, of)) if due => answer(&scope, owed.job, Body::Behind(behind, of)),
        Ok(_) => {}
        Err(text) => return answer(&scope, owed.job, Body::Failed(text)),
    }
    FOLLOWING.set(Some((following, owed)));
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
        Errand::Mark => marking::mark_file(&order.attempt, &mut |progress| {
            if due() {
                say(Body::Progress(progress));
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
