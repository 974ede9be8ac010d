//! The whole job by a finger on a phone, and the keys of its on-screen keyboard.

use crate::steps::{
    By, WIRES, answer, ensure_full_marks, main_questions, program, terminal, turning, until_a_press_counts,
    until_it_scans,
};
use anyhow::{Context, Result};
use sealin_tests::browser::{Browser, Key, View, with_browser};

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_whole_job_by_a_finger() {
    with_browser("job-touch", View::Phone, async |browser| {
        browser.open("").await?;
        browser.role("main").named("Brief").find().await?;
        answer(browser, &main_questions()?, By::Finger).await?;
        browser.sheet("Wiring").await?;
        for (from, to) in WIRES {
            make_wire(browser, from, to).await.with_context(|| format!("{from} > {to}"))?;
        }
        browser.button("Wiring schedule").await?.tap().await?;
        browser.until_text("9 of 9 yours").await?;
        write_program(browser).await?;

        browser.sheet("Commissioning").await?;
        dead_test(browser).await?;
        browser.role("switch").starting("Supply").find().await?.tap().await?;
        until_it_scans(browser).await?;
        press(browser, "SF2", "raise").await?;
        press(browser, "SF1", "still").await?;
        press(browser, "SF3", "lower").await?;
        browser.button("Test").await?.tap().await?;
        turning(browser, "still").await?;
        browser.button("Reset").await?.tap().await?;
        browser.until_text("ready").await?;
        press(browser, "SF2", "raise").await?;

        browser.sheet("Sign-off").await?;
        browser.button("Run all checks").await?.tap().await?;
        browser.until_text("120 of 120 marks").await?;
        if browser.role("button").named("Save as a file").all().await?.is_empty() {
            unfold_drawer(browser).await?;
        }
        browser.button("Save as a file").await?.tap().await?;
        ensure_full_marks(&browser.downloaded().await?).map(drop)
    });
}

/// Taps one terminal and then the other; where several lie under the finger it is asked which is meant.
async fn make_wire(browser: &Browser, from: &str, to: &str) -> Result<()> {
    for end in [from, to] {
        terminal(browser, end).await?.tap().await?;
        browser.frames(3).await?;
        let asked = browser.role("dialog").named("Which terminal?").all().await?;
        if let Some(dialog) = asked.first() {
            dialog.role("button").starting(&format!("{end} ")).find().await?.tap().await?;
        }
    }
    Ok(())
}

async fn unfold_drawer(browser: &Browser) -> Result<()> {
    let tray = browser.evaluate("document.querySelector('.split-handle').innerText.slice(1).trim()").await?;
    browser.button(tray.as_str().context("the drawer has a name")?).await?.tap().await
}

/// The text lies in the drawer; an on-screen keyboard gives it in one piece, as it does with what was pasted.
async fn write_program(browser: &Browser) -> Result<()> {
    browser.sheet("Program").await?;
    browser.button("Structured text").await?.tap().await?;
    browser.field("Structured text").await?.tap().await?;
    browser.chord(&[Key::Control], 'a').await?;
    browser.insert_text(program()?).await?;
    browser.button("Structured text").await?.tap().await?;
    browser.button("Transfer to the controller").await?.tap().await?;
    browser.until_text("The controller runs the program on this sheet.").await
}

/// Isolates, takes the first dead test, and closes again.
async fn dead_test(browser: &Browser) -> Result<()> {
    browser.role("switch").starting("QB1").find().await?.tap().await?;
    browser.button("Checks").await?.tap().await?;
    browser.role("DisclosureTriangle").with("Before the first press").find().await?.tap().await?;
    browser.button("Take the reading: Continuity to UC1:plate").await?.tap().await?;
    browser.until_text("1 of 21 done").await?;
    browser.button("Checks").await?.tap().await?;
    browser.role("switch").starting("QB1").find().await?.tap().await
}

/// Holds a button of the station in until the motor is seen to do this.
async fn press(browser: &Browser, tag: &str, way: &str) -> Result<()> {
    until_a_press_counts(browser).await?;
    browser.role("button").starting(&format!("{tag},")).find().await?.touch().await?;
    turning(browser, way).await?;
    browser.lift().await
}
