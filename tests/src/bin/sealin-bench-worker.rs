//! The benchmarks of the proof in a worker of the browser, run by `cargo xtask bench`, with `SEALIN_DIST` set to the built site: the
//! questions of `proof-states` and `proof-paddle`, timed by the worker's clock. Prints one JSON object: of each, by name, states and
//! seconds.
//!
//! How this program is compiled does not matter: it only asks the page.

use anyhow::{Context, Result};
use sealin_tests::browser::{Browser, View, with_browser};
use sealin_tests::generate::{Asked, MANY_STATES, RESTART, paddle, with_reference};
use serde_json::{Value, json};

/// Times of which the shortest counts. The browser compiles the module anew, and better, after some.
const ROUNDS: u32 = 5;

fn main() {
    with_browser("bench-worker", View::Desk, async |browser| {
        println!("{}", measure(browser).await?);
        Ok(())
    });
}

async fn measure(browser: &Browser) -> Result<Value> {
    Ok(json!({
        "proof-states": explored(browser, MANY_STATES).await?,
        "proof-paddle": explored(browser, RESTART).await?,
    }))
}

/// States of a question, and seconds.
async fn explored(browser: &Browser, (formulas, free): Asked) -> Result<Value> {
    // The page's own worker marks and proves; this one has a script of its own, which the page would not allow.
    browser.cdp("Page.setBypassCSP", json!({ "enabled": true })).await?;
    browser.open("").await?;
    browser.role("heading").first().await?;
    let attempt = with_reference(&paddle()).attempt().to_json();
    let asked = json!([attempt.to_string(), formulas.join("\n"), free.join("\n")]);
    let answer = browser
        .evaluate(&format!(
            "new Promise((done, fail) => {{
                const home = new URL(document.getElementById('start').dataset.worker, location.href);
                const script = `
                    import init, {{ bench_proof }} from '${{new URL('sealin.js', home)}}';
                    await init();
                    onmessage = ({{ data }}) => {{
                        const asked = bench_proof(...data);
                        let states = 0, best = Infinity;
                        for (let k = 0; k < {ROUNDS}; k += 1) {{
                            const start = performance.now();
                            states = asked.states();
                            best = Math.min(best, performance.now() - start);
                        }}
                        postMessage({{ states, ms: best }});
                    }};
                    postMessage('ready');`;
                const address = URL.createObjectURL(new Blob([script], {{ type: 'text/javascript' }}));
                const worker = new Worker(address, {{ type: 'module' }});
                worker.onerror = (event) => fail(new Error(event.message));
                worker.onmessage = ({{ data }}) => {{
                    if (data === 'ready') {{ worker.postMessage({asked}); }} else {{ done(JSON.stringify(data)); }}
                }};
            }})"
        ))
        .await?;
    let found: Value = serde_json::from_str(answer.as_str().context("the worker gives a text")?)?;
    let (states, ms) = (found["states"].as_f64().unwrap_or(0.0), found["ms"].as_f64().unwrap_or(f64::NAN));
    Ok(json!({ "states": states, "seconds": ms / 1000.0 }))
}
