//! The front end of the bench: the drawing set of a job as a page.
//!
//! - `store` holds the work in progress and what the screen shows of it; every change goes through one command.
//! - `services` and `hooks` are the only places that touch the browser.
//! - `frame` is the drawing frame with the list of drawings and the title block; `sheets` holds one folder a sheet.
//! - `text` holds every word of the screen by key.
//!
//! No rule of physics, of the language or of marking lives here.

mod app;
mod diagram;
mod frame;
mod hooks;
mod loop_strip;
mod services;
mod sheets;
mod store;
mod text;

use wasm_bindgen::prelude::wasm_bindgen;

/// Renders into `#app`; in a worker there is no window, and the module answers messages instead.
#[wasm_bindgen(start)]
pub fn start() {
    if let Some(root) = services::page::root() {
        yew::Renderer::<app::App>::with_root(root).render();
    }
}
