//! Other jobs from start to full marks: the questions answered before anything is tried, the wires typed, the program written.

use super::steps::{By, answer, ensure_full_marks, questions, scenario, until_made};
use super::{type_conductor, write_program};
use anyhow::{Context, Result};
use sealin_exercise::shipped;
use sealin_tests::browser::{Browser, View, with_browser};
use std::rc::Rc;

/// The whole job `id`, and the file of it with full marks.
async fn full_marks(browser: &Browser, id: &str) -> Result<()> {
    let written = scenario(id)?;
    let reference = shipped::reference(id).context("its reference ships")?;
    browser.open_job(&written.title).await?;
    let seed = if written.variants.is_empty() { 0 } else { browser.seed().await? };
    let scenario = Rc::new(written).dealt(seed);
    answer(browser, &questions(&scenario)?, By::Mouse).await?;
    browser.sheet("Wiring").await?;
    for wire in reference.wires(&scenario).map_err(anyhow::Error::msg)?.made {
        let (from, to) = (wire.from.to_string(), wire.to.to_string());
        type_conductor(browser, &from, &to).await?;
        until_made(browser, &from, &to).await?;
    }
    if !scenario.is_hard_wired() {
        write_program(browser, &reference.program(&scenario)).await?;
    }
    browser.sheet("Sign-off").await?;
    browser.button("Run all checks").await?.click().await?;
    let all = scenario.total_marks();
    browser.until_text(&format!("{all} of {all} marks")).await?;
    browser.until_text("Passed").await?;
    ensure_full_marks(&browser.save().await?)?;
    Ok(())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_conveyor_without_a_controller_earns_full_marks() {
    with_browser("job-seal-in", View::Desk, async |browser| full_marks(browser, "conveyor-seal-in").await);
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_conveyor_through_a_controller_earns_full_marks() {
    with_browser("job-conveyor", View::Desk, async |browser| {
        full_marks(browser, "conveyor-controller").await
    });
}
