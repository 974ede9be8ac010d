//! The front end of the bench: the drawing set of a job as a page.
//!
//! - `store` holds the work in progress and what the screen shows of it; every change goes through one command.
//! - `services` and `hooks` are the only places that touch the browser.
//! - `frame` is the drawing frame with the list of drawings and the title block; `sheets` holds one folder a sheet.
//! - `hints` leads a newcomer to the first press.
//! - `shelves` are the stores of a job: parts taken, moved, given back.
//! - `text` holds every word of the screen by key.
//!
//! No rule of physics, of the language or of marking lives here.

mod app;
mod charts;
mod diagram;
mod documents;
mod frame;
mod hints;
mod hooks;
mod loop_strip;
mod services;
mod sheets;
mod shelves;
mod store;
mod text;
mod why;

use sealin_exercise::laps::Laps;
use wasm_bindgen::JsError;
use wasm_bindgen::prelude::wasm_bindgen;

/// Renders into `#app`; in a worker there is no window, and the module answers messages instead.
#[wasm_bindgen(start)]
pub fn start() {
    match services::page::root() {
        Some(root) => {
            root.set_text_content(None);
            yew::Renderer::<app::App>::with_root(root).render();
        }
        None => services::worker::listen(),
    }
}

/// Folds an attempt file here, in WebAssembly, and gives its hashes: `{"trace":"…","exact":"…"}` in hexadecimal, or
/// `{"error":"…"}`. For the tests that hold both targets against each other.
#[wasm_bindgen]
pub fn attempt_hashes(json: &str) -> String {
    answer(
        store::marking::hashes(json)
            .map(|(trace, exact)| serde_json::json!({ "trace": trace, "exact": exact })),
    )
}

/// Marks an attempt file here, in WebAssembly: the marks with their lines and trials as JSON, or `{"error":"…"}`.
#[wasm_bindgen]
pub fn attempt_marks(json: &str) -> String {
    let marks = store::marking::mark_file(json, &mut |_| true);
    answer(marks.and_then(|marks| serde_json::to_value(marks).map_err(|error| error.to_string())))
}

/// A stretch of an attempt to be run again and again here, in WebAssembly: for the benchmark, which holds the clock.
#[wasm_bindgen]
pub struct BenchLaps(Laps);

/// The laps of an attempt file from tick `from` on.
///
/// # Errors
/// With a sentence, if the file cannot be read or followed, or changes the design after `from`.
#[wasm_bindgen]
pub fn bench_realtime(json: &str, from: u32) -> Result<BenchLaps, JsError> {
    store::marking::laps(json, u64::from(from)).map(BenchLaps).map_err(|error| JsError::new(&error))
}

#[wasm_bindgen]
impl BenchLaps {
    /// Ticks of a lap.
    pub fn ticks(&self) -> f64 {
        self.0.run(false).ticks as f64
    }

    /// One lap; `every_tick`: quiet ticks are computed, too. Returns how many changes of signals there were.
    pub fn run(&self, every_tick: bool) -> f64 {
        self.0.run(every_tick).changes as f64
    }
}

/// A question on the design at the end of an attempt file, to be explored again and again here, in WebAssembly: for the benchmark,
/// which holds the clock.
#[wasm_bindgen]
pub struct BenchProof(store::proving::Asked);

/// The question whether formulas, a line each, hold while what is named in `free`, a line each, moves by itself.
///
/// # Errors
/// With a sentence, if the file or a formula cannot be read.
#[wasm_bindgen]
pub fn bench_proof(json: &str, formulas: &str, free: &str) -> Result<BenchProof, JsError> {
    store::proving::Asked::new(json, formulas, free).map(BenchProof).map_err(|error| JsError::new(&error))
}

#[wasm_bindgen]
impl BenchProof {
    /// Explores. Returns how many states there are, if everything holds, and else 0.
    pub fn states(&self) -> f64 {
        self.0.states() as f64
    }
}

fn answer(result: Result<serde_json::Value, String>) -> String {
    result.unwrap_or_else(|error| serde_json::json!({ "error": error })).to_string()
}
