//! The benchmark of a look at what is suspected, run by `cargo xtask bench`, with `SEALIN_DIST` set to the built site: a job of fault
//! finding on the page, with the worker that follows it; a reading is taken, the worker is given time to follow, and the time counts from
//! the press of Look to the list that has it. Prints one JSON object: the median of that time in ms, the first look's, what is suspected at
//! first, and what is left.
//!
//! The browser slows down nothing but the main thread, and most of this is done in the worker. So the times are of this machine as it
//! is; whoever reads them takes them four times for a processor at a quarter.

use anyhow::{Context, Result};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use sealin_tests::browser::{Browser, View, with_browser};
use sealin_tests::hunt::Hands;
use serde_json::{Value, json};
use std::rc::Rc;
use std::time::Duration;

/// The job: two contactors, a controller, an overload, and every conductor between them.
const JOB: &str = "paddle-lets-go";

/// Readings at rest, none of which is out of the ordinary: many suspects are left to be followed.
const READINGS: [&str; 5] = [
    "volts DC KF1:I0 KF1:CI1 = 24 V",
    "volts DC KF1:I1 KF1:CI1 = 0 V",
    "volts DC KF1:I2 KF1:CI1 = 0 V",
    "volts DC KF1:I0 KF1:CI1 = 24 V",
    "volts DC KF1:I1 KF1:CI1 = 0 V",
];

/// Time that the worker has after a reading.
const FOLLOWS: Duration = Duration::from_secs(10);

/// Presses Look, and gives the time until the list is that of this look, and until the readings worth most stand in it.
const LOOK: &str = "new Promise((done) => {
    const box = document.querySelector('#hunt-suspects').closest('section');
    const start = performance.now();
    let listed = 0;
    const watch = () => {
        const waits = box.querySelector('progress') !== null || box.querySelector('strong') === null;
        const weighs = box.querySelector('p[role=status]') !== null;
        if (!waits && listed === 0) { listed = performance.now() - start; }
        if (waits || weighs) { requestAnimationFrame(watch); return; }
        done(JSON.stringify({ listed, weighed: performance.now() - start, text: box.querySelector('strong').textContent }));
    };
    box.querySelector('button').click();
    requestAnimationFrame(watch);
})";

fn main() {
    with_browser("bench-suspects", View::Desk, async |browser| {
        println!("{}", measure(browser).await?);
        Ok(())
    });
}

async fn measure(browser: &Browser) -> Result<Value> {
    let text = shipped::get(JOB).context("it ships")?;
    let scenario = Rc::new(Scenario::parse(text).map_err(|e| anyhow::anyhow!("{e:?}"))?);
    browser.open("#brief").await?;
    browser.open_job(&scenario.title).await?;
    browser.sheet("Commissioning").await?;
    let mut hands = Hands::new(browser, scenario);
    hands.lenient = true;
    hands.play("power on\nwait 3s").await?;
    let first = look(browser).await?;
    let mut looks = Vec::new();
    for reading in READINGS {
        browser.sheet("Commissioning").await?;
        hands.play(reading).await?;
        tokio::time::sleep(FOLLOWS).await;
        looks.push(look(browser).await?);
    }
    let median = |key: &str| {
        let mut all: Vec<f64> = looks.iter().filter_map(|look| look[key].as_f64()).collect();
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 2).copied().context("a look was timed")
    };
    let left = |of: &Value| of["text"].as_str().map(str::to_string);
    Ok(json!({
        "listed_ms": median("listed")?, "weighed_ms": median("weighed")?, "first_ms": first["listed"],
        "at_first": left(&first), "at_last": looks.last().and_then(left),
    }))
}

async fn look(browser: &Browser) -> Result<Value> {
    browser.sheet("Fault finding").await?;
    browser.until("document.querySelector('#hunt-suspects') !== null").await?;
    let found = browser.evaluate(LOOK).await?;
    Ok(serde_json::from_str(found.as_str().context("a text")?)?)
}
