//! One writer: the lock that a tab holds while it writes the attempt (Web Locks).

use super::page;
use gloo::timers::future::TimeoutFuture;
use js_sys::{Function, Promise, Reflect};
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen::{JsCast, JsValue};

const NAME: &str = "sealin-attempt";

/// How long a page waits for the lock before it takes another tab for its holder, ms. A page that is loaded again gets
/// the lock of the one it replaces within this time.
const PATIENCE_MS: u32 = 600;

/// Asks for the lock and holds it until the page is closed. False when another tab holds it; the page is then loaded
/// again once that tab has let go. A browser without locks answers true: it is the only writer that is known.
pub async fn hold() -> bool {
    let held = Rc::new(Cell::new(false));
    let late = Rc::new(Cell::new(false));
    if ask(held.clone(), late.clone()).is_none() {
        return true;
    }
    let mut waited = 0;
    while waited < PATIENCE_MS && !held.get() {
        TimeoutFuture::new(20).await;
        waited += 20;
    }
    late.set(!held.get());
    held.get()
}

/// Puts the request to the browser. `None` where there are no locks.
fn ask(held: Rc<Cell<bool>>, late: Rc<Cell<bool>>) -> Option<()> {
    let navigator: JsValue = page::window()?.navigator().into();
    let locks = Reflect::get(&navigator, &JsValue::from_str("locks")).ok()?;
    let request: Function = Reflect::get(&locks, &JsValue::from_str("request")).ok()?.dyn_into().ok()?;
    let granted = Closure::once_into_js(move |_lock: JsValue| -> JsValue {
        held.set(true);
        if late.get()
            && let Some(window) = page::window()
        {
            let _ = window.location().reload();
        }
        // The lock is held as long as this promise is open: until the page is closed.
        Promise::new(&mut |_, _| {}).into()
    });
    let asked = request.call2(&locks, &JsValue::from_str(NAME), &granted).ok()?;
    // A refusal (a page without an origin of its own) leaves the page as the only writer that is known.
    let ignore = Closure::once_into_js(|_reason: JsValue| {});
    let _ = asked.dyn_into::<Promise>().ok()?.catch(&Closure::once(|_: JsValue| {}));
    drop(ignore);
    Some(())
}
