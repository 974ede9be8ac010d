//! Proofs beside the checks, and the fault table, as a person works them: explored beside the bench, stopped, the shortest way
//! opened and shown on the diagram; by mouse, by the keyboard alone and by a finger.
//!
//! What is found is worked out by hand from the exercise; what is explored has few states, so that no test waits long.

use anyhow::{Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};
use sealin_tests::generate::{at_work, paddle};

/// A list of steps is in sight that begins with the power and presses both start buttons.
const PRESSES_BOTH: &str = "[...document.querySelectorAll('ol, ul')].map(list => list.innerText).some(text =>
    text.startsWith('power on') && text.includes('press SF2') && text.includes('press SF3'))";

/// As handed over, both start buttons pressed in one scan turn on QA1, as its rung comes first (requirement R4; R1 to R3 hold). Power
/// comes on by itself on every way, and no fewer presses can do.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_proof_runs_beside_the_bench_is_stopped_and_its_way_shown() {
    with_browser("proof", View::Desk, async |browser| {
        browser.open("#commissioning").await?;
        browser.button("Prove").await?.click().await?;
        browser.until_text("states,").await?;
        // The bench goes on meanwhile.
        browser.role("switch").starting("Supply").find().await?.click().await?;
        browser.until_text("controller scans").await?;
        let way = browser.role("DisclosureTriangle").with("The shortest way").first().await?;
        browser.button("Stop").await?.click().await?;
        browser.button("Prove").await?;
        way.click().await?;
        browser.until(PRESSES_BOTH).await?;
        browser.button("Show it on the diagram").await?.click().await?;
        browser.until_text("R4 breaks here").await?;
        // What was not reached by then is open, not proven.
        let outline = browser.outline().await?;
        ensure!(outline.contains("not computed here"), "{outline}");
        // The keyboard has gone where the eye is, and is not lost with the button that brings the bench back.
        browser.until_focus("What is shown").await?;
        browser.key(Key::Tab).await?;
        browser.until_focus("Back to the bench").await?;
        browser.key(Key::Enter).await?;
        browser.role("button").named("Back to the bench").gone().await?;
        browser.until_focus("What is shown").await?;
        browser.key(Key::Tab).await?;
        browser.until_focus("Timing diagram").await
    });
}

/// The rows of R14 with contacts of FC1 that never close: two formulas, each with 95-96 and 97-98. With 97-98 the lamp stays dark while
/// FC1 has tripped, which the first of them forbids; 95-96 reaches no lamp, and a lamp that is never lit is never lit too long.
const ROWS: &str = "4 of 4 explored: 3 proven, 1 broken, 0 open";

async fn list_four(browser: &Browser) -> Result<()> {
    for (what, one) in [("Requirement", "R14"), ("Device", "FC1"), ("Kind of fault", "contact never closes")]
    {
        browser.role("combobox").named(what).find().await?.choose(one).await?;
    }
    browser.until_text("0 of 4 explored").await
}

/// The broken row, with what is seen of it: the lamp of a trial that trips FC1 stays dark, and the alarm, which is its bit, does not rise.
async fn detail(browser: &Browser) -> Result<()> {
    let row = browser.role("complementary").named("The row").find().await?;
    for text in ["FC1: 97-98 never closes", "PF1 dark", "not noticed", "trip FC1", "It breaks"] {
        row.until_text(text).await?;
    }
    Ok(())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_fault_table_is_explored_and_a_broken_row_shown() {
    with_browser("fault-table", View::Desk, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        browser.sheet("Fault table").await?;
        list_four(browser).await?;
        browser.button("Explore these 4").await?.click().await?;
        browser.until_text(ROWS).await?;
        browser.role("combobox").named("Verdict").find().await?.choose("broken").await?;
        let rows = browser.role("row").all().await?;
        ensure!(
            rows.len() == 2,
            "the head and one row: {:?}",
            rows.iter().map(|r| &r.name).collect::<Vec<_>>()
        );
        browser.button("FC1 97-98 never closes").await?.click().await?;
        detail(browser).await?;
        browser.button("Show it on the diagram").await?.click().await?;
        browser.until_text("R14-1 breaks here").await?;
        browser.button("Put the diagram away").await?.click().await?;
        browser.role("button").named("Put the diagram away").gone().await?;
        // With 97-98 a person sees the lamp; who notices can be asked for.
        browser.role("combobox").named("Verdict").find().await?.choose("any verdict").await?;
        browser.role("combobox").named("Noticed").find().await?.choose("by a person").await?;
        browser.role("button").with("97-98 never closes").first().await?;
        // A change of the work takes all of it back.
        browser.sheet("Program").await?;
        let text = browser.field("Structured text").await?;
        text.click().await?;
        browser.chord(&[Key::Control], Key::End).await?;
        browser.type_text("\n(* later *)").await?;
        browser.sheet("Fault table").await?;
        browser.until_text("The work has been changed since").await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_fault_table_by_the_keyboard_alone() {
    with_browser("fault-table-keys", View::Desk, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        browser.chord(&[Key::Control, Key::Shift], '6').await?;
        browser.role("main").named("Fault table").find().await?;
        list_four(browser).await?;
        browser.tab_to("button", "Explore these 4").await?;
        browser.key(Key::Enter).await?;
        browser.until_text(ROWS).await?;
        // The rows are one stop of the Tab key; the arrow keys go from row to row.
        browser.tab_to("button", "FC1").await?;
        for _ in 0..4 {
            if browser.focused().await?.1.contains("97-98") {
                break;
            }
            browser.key(Key::Down).await?;
        }
        browser.key(Key::Enter).await?;
        detail(browser).await?;
        browser.tab_to("button", "Show it on the diagram").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("R14-1 breaks here").await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_fault_table_by_a_finger_and_stopped() {
    with_browser("fault-table-finger", View::Phone, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        browser.sheet("Fault table").await?;
        list_four(browser).await?;
        browser.button("Explore these 4").await?.tap().await?;
        browser.until_text(ROWS).await?;
        // R14-1 comes before R14-2, so its row is the first of the two.
        browser.role("button").with("97-98 never closes").first().await?.tap().await?;
        detail(browser).await?;
        browser.button("Show it on the diagram").await?.tap().await?;
        browser.until_text("R14-1 breaks here").await?;
        // All rows of all requirements take long: they are stopped, and what was found by then stays.
        for (what, one) in
            [("Requirement", "all requirements"), ("Device", "all devices"), ("Kind of fault", "all kinds")]
        {
            browser.role("combobox").named(what).find().await?.choose(one).await?;
        }
        browser.role("button").starting("Explore these").find().await?.tap().await?;
        browser.until_text("states").await?;
        browser.button("Stop").await?.tap().await?;
        browser.role("button").starting("Explore these").find().await?;
        let status = browser.role("status").all().await?;
        let mut texts = Vec::new();
        for one in &status {
            texts.push(one.text().await?);
        }
        ensure!(texts.iter().any(|text| text.contains("explored") && text.contains("1 broken")), "{texts:?}");
        Ok(())
    });
}
