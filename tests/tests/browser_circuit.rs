//! The circuit diagram as a person uses it: the coil path of QA1 in its order, live when RAISE is pressed; a conductor that
//! is taken out on the wiring sheet leaves an open end here.

use anyhow::{Context, Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};
use std::time::Duration;

/// The symbols of the diagram whose names start with one of these, each as the top of its box on the screen.
async fn tops(browser: &Browser, starts: &[&str]) -> Result<Vec<i64>> {
    let mut all = Vec::new();
    for start in starts {
        let thing =
            browser.role("button").starting(start).first().await.with_context(|| start.to_string())?;
        all.push(thing.middle().await?.1);
    }
    Ok(all)
}

/// Classes of the lines that carry a wire number.
async fn live(browser: &Browser, number: &str) -> Result<bool> {
    let found = browser.evaluate(&format!(
        "[...document.querySelectorAll('svg g')].filter((g) => [...g.children].some((c) => c.tagName === 'text' && c.textContent === '{number}'))
            .map((g) => getComputedStyle(g.querySelector('path')).strokeWidth)"
    ));
    let widths = found.await?;
    let widths = widths.as_array().context("lines")?;
    ensure!(!widths.is_empty(), "no line carries {number}");
    Ok(widths
        .iter()
        .all(|w| w.as_str().is_some_and(|w| w.trim_end_matches("px").parse::<f64>().unwrap_or(0.0) > 2.0)))
}

/// paddle-panel.md section 3: coil QA1 is 2U, FC4, link, 95-96, CQ1 and Q0, 21-22 of QA2, A1-A2, back to 2V.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_coil_path_of_qa1_stands_in_its_order_and_goes_live() {
    with_browser("circuit-path", View::Desk, async |browser| {
        browser.open("").await?;
        browser.sheet("Circuit").await?;
        browser.button("Fit").await?.click().await?;
        let order = [
            "TA1 2U-2V, winding",
            "FC4 1-2, switching poles",
            "XD3 1, terminal",
            "XD3 2, terminal",
            "FC1 95-96, break contact",
            "KF1 CQ1, common",
            "KF1 Q0, make contact",
            "QA2 21-22, break contact, closed at rest",
            "QA1 A1-A2, coil",
            "XD3 3-4, terminal",
        ];
        let tops = tops(browser, &order).await?;
        ensure!(tops.windows(2).all(|w| w[0] < w[1]), "from above: {tops:?}");

        browser.sheet("Commissioning").await?;
        browser.role("switch").starting("Supply").find().await?.click().await?;
        browser.until_text("controller scans").await?;
        browser.sheet("Circuit").await?;
        ensure!(!live(browser, "111").await?, "111 is live before anyone has pressed");
        browser.sheet("Commissioning").await?;
        let raise = browser.role("button").starting("SF2,").find().await?;
        raise.hold().await?;
        tokio::time::sleep(Duration::from_millis(400)).await;
        browser.release().await?;
        browser.sheet("Circuit").await?;
        tokio::time::sleep(Duration::from_millis(500)).await;
        for number in ["101", "102", "103", "110", "111"] {
            ensure!(live(browser, number).await?, "{number} is not live with QA1 in");
        }
        ensure!(!live(browser, "121").await?, "121 is live, and QA2 is out");
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_conductor_taken_out_leaves_an_open_end_and_keys_walk_the_path() {
    with_browser("circuit-open", View::Desk, async |browser| {
        browser.open("#wiring").await?;
        for wire in ["XD4:7 > QA1:13", "QA1:14 > KF1:I4"] {
            browser.role("combobox").named("Type a conductor").find().await?.click().await?;
            browser.type_text(wire).await?;
            browser.key(Key::Enter).await?;
        }
        browser.sheet("Circuit").await?;
        browser.role("button").starting("QA1 13-14, make contact, open at rest").find().await?;
        browser.role("button").with("open end at 14").gone().await?;

        browser.sheet("Wiring").await?;
        browser.role("button").with("QA1:14 to KF1:I4").first().await?.click().await?;
        browser.button("Take out").await?.click().await?;
        browser.sheet("Circuit").await?;
        let contact = browser.role("button").starting("QA1 13-14, make contact, open at rest").find().await?;
        ensure!(contact.name.ends_with("open end at 14"), "{}", contact.name);

        contact.click().await?;
        browser.until_text("QA1:14 on the wiring sheet").await?;
        browser.role("button").starting("QA1 A1-A2, coil").find().await?.focus().await?;
        browser.key(Key::Enter).await?;
        browser.until_text("QA1:A1 on the wiring sheet").await?;
        browser.button("QA1:A1 on the wiring sheet").await?.click().await?;
        browser.role("main").named("Wiring").find().await?;
        browser.until_text("QA1 terminal A1").await
    });
}
