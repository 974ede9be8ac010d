//! The benchmark of a frame of the page, run by `cargo xtask bench`, with `SEALIN_DIST` set to the built site: time of the main
//! thread with the motor running and the timing diagram live, on a processor slowed down to a quarter. Prints one JSON
//! object: the 95th percentile in ms, the same with the bench standing still, and that of a page that holds one changing number and nothing
//! else, which is what the browser takes for itself on this machine.

use anyhow::{Context, Result};
use sealin_tests::browser::{Browser, View, with_browser};
use sealin_tests::generate::{at_work, paddle};
use serde_json::{Value, json};

/// Frames that are timed.
const FRAMES: usize = 300;
/// The processor is this many times slower.
const SLOWER: f64 = 4.0;
/// A page that writes a number in every frame.
const ONE_NUMBER: &str = "(() => {
    const number = document.createTextNode('0');
    document.body.append(number);
    const write = () => { number.data = String(frameCosts.total); requestAnimationFrame(write); };
    write();
})()";

fn main() {
    with_browser("bench-frame", View::Desk, async |browser| {
        println!("{}", measure(browser).await?);
        Ok(())
    });
}

async fn measure(browser: &Browser) -> Result<Value> {
    browser.count_frames().await?;
    browser
        .cdp("Page.navigate", json!({ "url": "data:text/html,<!doctype html><title>One number</title>" }))
        .await?;
    browser.slow_down(SLOWER).await?;
    browser.evaluate(ONE_NUMBER).await?;
    let empty = percentile_95(browser).await?;
    browser.slow_down(1.0).await?;
    browser.open_attempt(&at_work(&paddle())).await?;
    browser.sheet("Commissioning").await?;
    browser.slow_down(SLOWER).await?;
    let running = percentile_95(browser).await?;
    browser.button("Pause").await?.click().await?;
    let still = percentile_95(browser).await?;
    browser.slow_down(1.0).await?;
    Ok(json!({ "running_ms": running, "still_ms": still, "empty_ms": empty }))
}

async fn percentile_95(browser: &Browser) -> Result<f64> {
    // The browser compiles what is often run anew, and better.
    browser.frame_costs(FRAMES / 2).await?;
    let costs = browser.frame_costs(FRAMES).await?;
    let mut all: Vec<f64> = costs.iter().filter_map(|cost| cost.ms).collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() * 95 / 100).copied().context("frames were timed")
}
