//! The machine as a person at it sees it: a blocked motor trips in the time of its class, a missing phase shows in the
//! three line currents, both contactors in open the fuses, and the page says so.

use anyhow::{Context, Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};
use std::time::Duration;

async fn switch_on(browser: &Browser) -> Result<()> {
    browser.role("switch").starting("Supply").find().await?.click().await?;
    browser.until_text("controller scans").await
}

/// Sets a fault on the fault-finding sheet: the thing by a part of its name, the fault by its words.
async fn set_fault(browser: &Browser, thing: &str, fault: &str) -> Result<()> {
    browser.sheet("Fault finding").await?;
    browser.role("button").with(thing).first().await?.click().await?;
    let switch = browser.role("switch").with(fault).first().await?;
    switch.click().await?;
    browser.sheet("Commissioning").await
}

/// The number that stands between two words in a text; no-break spaces count as spaces.
fn number_between(text: &str, before: &str, after: &str) -> Result<f64> {
    let text = text.replace('\u{a0}', " ");
    let start = text.find(before).with_context(|| format!("no {before:?} in {text:?}"))? + before.len();
    let length = text[start..].find(after).with_context(|| format!("no {after:?} in {text:?}"))?;
    text[start..start + length].trim().parse().with_context(|| text.clone())
}

/// IEC 60947-4-1, class 10: at 7.2 times the dial from cold between 4 s and 10 s. A locked rotor draws 6.17 times the dial
/// at stiff 400 V, up to 4 % less behind the wiring: 270 s · ln(i²/(i² − 1.2544)) = 9.0 s to 9.8 s (hand calculation).
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_blocked_motor_trips_in_the_time_of_its_class() {
    with_browser("blocked", View::Desk, async |browser| {
        browser.open("#commissioning").await?;
        switch_on(browser).await?;
        browser.button("Time to trip FC1").await?.click().await?;
        browser.until_text("No current; cold.").await?;
        browser.button("Block shaft").await?.click().await?;
        browser.button("60 ×").await?.click().await?;
        let start = browser.role("button").starting("SF2,").find().await?;
        start.hold().await?;
        tokio::time::sleep(Duration::from_millis(400)).await;
        browser.release().await?;
        browser.until_text("Last trip by heat").await?;
        browser.until_text("FC1 has tripped by heat").await?;
        let table = browser.role("DisclosureTriangle").with("Table and words").first().await?;
        table.click().await?;
        // What is told is written anew now and then, and is not there for a moment.
        let mut summary = String::new();
        for _ in 0..50 {
            for one in &browser.role("status").all().await? {
                let text = one.text().await?;
                if text.contains("Last trip by heat") {
                    summary = text;
                }
            }
            if !summary.is_empty() {
                break;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        let multiple = last_multiple(&summary)?;
        let seconds = number_between(&summary, " the dial for ", " s, from")?;
        ensure!((5.9..6.2).contains(&multiple), "{summary}");
        ensure!((4.0..=10.0).contains(&seconds) && (8.9..9.9).contains(&seconds), "{summary}");
        let outline = browser.outline().await?.replace("\\u{a0}", " ");
        let row =
            outline.split("rowheader").find(|row| row.starts_with(" \"7.20 ×\"")).context("a row of 7.2")?;
        ensure!(row.contains("6.6 s"), "by hand 6.61 s: {row}");
        Ok(())
    });
}

/// `… 00:00:12.345: 5.97 × the dial …`
fn last_multiple(summary: &str) -> Result<f64> {
    let text = summary.replace('\u{a0}', " ");
    let end = text.rfind(" × the dial").context("no multiple")?;
    let start = text[..end].rfind(' ').context("no multiple")? + 1;
    text[start..end].parse().with_context(|| text.clone())
}

/// With a line open at standstill the two others carry √3/2 of the locked-rotor current, 43.8 A at stiff 400 V, and the
/// third nothing (hand calculation); the motor hums and does not start.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_missing_phase_hums_and_shows_in_the_three_currents() {
    with_browser("phase", View::Desk, async |browser| {
        browser.open("#commissioning").await?;
        set_fault(browser, "XD1:V – MA1:V1", "broken").await?;
        switch_on(browser).await?;
        let start = browser.role("button").starting("SF2,").find().await?;
        start.hold().await?;
        tokio::time::sleep(Duration::from_millis(500)).await;
        browser.release().await?;
        browser.until_text("hums and does not start").await?;
        browser.until_text("V1 carries nothing").await?;
        let lines = browser.evaluate(
            "[...document.querySelectorAll('[aria-label=\"Clamp on the three lines\"] dd')].map((d) => parseFloat(d.innerText))",
        );
        let lines = lines.await?;
        let amperes: Vec<f64> =
            lines.as_array().context("three lines")?.iter().filter_map(|a| a.as_f64()).collect();
        let [u, v, w] = amperes[..] else { anyhow::bail!("{lines}") };
        ensure!((41.0..44.5).contains(&u) && (41.0..44.5).contains(&w) && v < 0.5, "{lines}");
        browser.button("Torque MA1").await?.click().await?;
        browser.until_text("no torque at standstill").await
    });
}

/// With the mechanical interlock broken, both contactors pushed in by hand join L1 and L3: the links of poles 1 and 3
/// melt (hand: reversing exchanges the outer phases, L2 stays).
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn both_contactors_in_open_fuses_and_it_says_which_and_why() {
    with_browser("both-in", View::Desk, async |browser| {
        browser.open("#commissioning").await?;
        browser.until_text("nothing yet").await?;
        set_fault(browser, "QA2 contactor", "mechanical interlock does not hold it back").await?;
        switch_on(browser).await?;
        browser.button("Push QA1").await?.click().await?;
        browser.button("Push QA2").await?.click().await?;
        browser.until_text("the links of poles 1 and 3 have melted").await?;
        browser.until_text("QA1 and QA2 were in together").await?;
        let links = browser.button("New links, FC2").await?;
        browser.role("switch").starting("Supply").find().await?.click().await?;
        browser.button("Push QA2").await?.click().await?;
        browser.button("Push QA1").await?.click().await?;
        links.click().await?;
        browser.role("button").named("New links, FC2").gone().await?;
        // The key of STOP holds SF1 in.
        browser.key_down(Key::Escape).await?;
        let stop = browser.role("button").starting("SF1,").find().await?;
        for _ in 0..40 {
            if stop.attribute("aria-pressed").await?.as_deref() == Some("true") {
                return browser.key_up(Key::Escape).await;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        anyhow::bail!("Escape does not press SF1")
    });
}
