//! The same attempts, folded natively and in the page's own WebAssembly: the same bits.

use anyhow::{Result, ensure};
use sealin_core::canon::hex;
use sealin_exercise::fold::fold;
use sealin_tests::browser::{Browser, View, with_browser};
use sealin_tests::generate::{attempt, paddle};

/// Attempts that are compared; more by SEALIN_ATTEMPTS.
fn count() -> u64 {
    std::env::var("SEALIN_ATTEMPTS").ok().and_then(|n| n.parse().ok()).unwrap_or(50)
}

async fn in_the_page(browser: &Browser, json: &str) -> Result<serde_json::Value> {
    let text = serde_json::to_string(json)?;
    let answer = browser
        .evaluate(&format!(
            "import(document.getElementById('start').src.replace(/start\\.js$/, 'sealin.js'))\
             .then((module) => module.attempt_hashes({text}))"
        ))
        .await?;
    Ok(serde_json::from_str(answer.as_str().unwrap_or("null"))?)
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn hashes_are_the_same_in_the_page() {
    with_browser("parity", View::Desk, async |browser| {
        browser.open("").await?;
        browser.role("heading").first().await?;
        let scenario = paddle();
        for seed in 0..count() {
            let made = attempt(&scenario, seed);
            let native = fold(&scenario, &made)?;
            let page = in_the_page(browser, &made.to_json()).await?;
            ensure!(page["trace"] == hex(&native.trace.trace_hash()), "seed {seed}: trace, {page}");
            ensure!(page["exact"] == hex(&native.trace.exact_hash()), "seed {seed}: exact, {page}");
        }
        // And the comparison can fail: another attempt has another hash.
        let other = in_the_page(browser, &attempt(&scenario, 1).to_json()).await?;
        let first = fold(&scenario, &attempt(&scenario, 0))?;
        ensure!(other["trace"] != hex(&first.trace.trace_hash()));
        Ok(())
    });
}
