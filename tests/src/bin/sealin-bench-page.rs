//! The benchmark of the bench in the page's own WebAssembly, run by `cargo xtask bench`, with `SEALIN_DIST` set to the
//! built site: the laps of `bench-realtime`, timed by the page's clock. Prints one JSON object: how many times faster
//! than life with every tick computed, and with quiet ticks passed over.
//!
//! How this program is compiled does not matter: it only asks the page.

use anyhow::{Context, Result, ensure};
use sealin_exercise::laps::Laps;
use sealin_tests::browser::{Browser, View, with_browser};
use sealin_tests::generate::{paddle, presses_and_reversals};
use serde_json::{Value, json};

/// Laps of which the fastest counts. The browser compiles the module anew, and better, after some.
const LAPS: u32 = 60;

fn main() {
    with_browser("bench", View::Desk, async |browser| {
        println!("{}", measure(browser).await?);
        Ok(())
    });
}

async fn measure(browser: &Browser) -> Result<Value> {
    browser.open("").await?;
    browser.role("heading").first().await?;
    let scenario = paddle();
    let (attempt, from) = presses_and_reversals(&scenario);
    let json = serde_json::to_string(&attempt.to_json())?;
    let answer = browser
        .evaluate(&format!(
            "import(document.getElementById('start').src.replace(/start\\.js$/, 'sealin.js')).then((module) => {{
                const laps = module.bench_realtime({json}, {from});
                const fastest = (every) => {{
                    let best = Infinity;
                    for (let k = 0; k < {LAPS}; k += 1) {{
                        const start = performance.now();
                        laps.run(every);
                        best = Math.min(best, performance.now() - start);
                    }}
                    return best;
                }};
                return JSON.stringify({{
                    ticks: laps.ticks(), changes: [laps.run(true), laps.run(false)],
                    ms: [fastest(true), fastest(false)],
                }});
            }})"
        ))
        .await?;
    let page: Value = serde_json::from_str(answer.as_str().context("the page gives a text")?)?;
    let here = Laps::new(&scenario, &attempt, from).map_err(anyhow::Error::msg)?.run(false);
    ensure!(page["ticks"] == here.ticks, "{page}, and here {here:?}");
    ensure!(page["changes"] == json!([here.changes, here.changes]), "{page}, and here {here:?}");
    // A tick is 1 ms.
    let times = |place: usize| page["ms"][place].as_f64().map(|ms| here.ticks as f64 / ms);
    Ok(json!({ "every_tick": times(0), "passed_over": times(1) }))
}
