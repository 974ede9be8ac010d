//! The whole job by the keyboard alone: no pointer is moved from first to last.

use crate::steps::{
    WIRES, all_are_right, ensure_full_marks, main_questions, program, terminal, turning,
    until_a_press_counts, until_it_scans, until_made, until_open,
};
use anyhow::{Context, Result, bail};
use sealin_tests::browser::{Browser, Key, View, with_browser};

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_whole_job_by_the_keyboard_alone() {
    with_browser("job-keys", View::Desk, async |browser| {
        browser.open("").await?;
        browser.role("main").named("Brief").find().await?;
        answer(browser).await?;
        sheet(browser, "Wiring").await?;
        make_wires(browser).await?;

        sheet(browser, "Program").await?;
        browser.tab_to("textbox", "Structured text").await?;
        browser.chord(&[Key::Control], 'a').await?;
        browser.type_text(program()?).await?;
        browser.tab_to("button", "Transfer to the controller").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("The controller runs the program on this sheet.").await?;

        sheet(browser, "Commissioning").await?;
        dead_test(browser).await?;
        browser.tab_to("switch", "Supply").await?;
        browser.key(' ').await?;
        until_it_scans(browser).await?;
        press(browser, "SF2,", "raise").await?;
        // The key of STOP, wherever the focus is.
        browser.key_down(Key::Escape).await?;
        turning(browser, "still").await?;
        browser.key_up(Key::Escape).await?;
        press(browser, "SF3,", "lower").await?;
        browser.tab_to("button", "Test").await?;
        browser.key(Key::Enter).await?;
        turning(browser, "still").await?;
        browser.tab_to("button", "Reset").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("ready").await?;
        press(browser, "SF2,", "raise").await?;

        sheet(browser, "Sign-off").await?;
        browser.tab_to("button", "Run all checks").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("120 of 120 marks").await?;
        browser.tab_to("button", "Save as a file").await?;
        browser.key(Key::Enter).await?;
        ensure_full_marks(&browser.downloaded().await?).map(drop)
    });
}

/// Goes to a sheet by its key.
async fn sheet(browser: &Browser, name: &str) -> Result<()> {
    let sheets = browser.sheets().await?;
    let number = sheets.iter().position(|sheet| sheet == name).context("a sheet")? + 1;
    let digit = char::from_digit(number as u32, 10).context("a digit")?;
    browser.chord(&[Key::Control, Key::Shift], digit).await?;
    browser.role("main").named(name).find().await.map(drop)
}

/// Answers every question as the bench does. Tab comes to the first answer of a question, the arrow keys to the others.
async fn answer(browser: &Browser) -> Result<()> {
    let questions = main_questions()?;
    for (done, question) in questions.iter().enumerate() {
        browser.tab_to("radio", &question.answers[0]).await?;
        browser.key(' ').await?;
        for _ in 0..question.right {
            browser.key(Key::Down).await?;
        }
        browser.tab_to("button", "Answer").await?;
        browser.key(Key::Enter).await?;
        until_open(browser, questions.len() - done - 1).await?;
    }
    all_are_right(browser).await
}

/// The first conductor from terminal to terminal on the drawing, by the arrow keys; the others by their names.
async fn make_wires(browser: &Browser) -> Result<()> {
    let ((from, to), typed) = WIRES.split_first().context("conductors")?;
    browser.tab_until(60, |_, name| name.contains(" terminal ")).await?;
    for end in [from, to] {
        walk_to(browser, end).await?;
        browser.key(Key::Enter).await?;
    }
    until_made(browser, from, to).await?;
    browser.tab_to("combobox", "Type a conductor").await?;
    for (from, to) in typed {
        browser.type_text(&format!("{from} > {to}")).await?;
        browser.key(Key::Enter).await?;
        until_made(browser, from, to).await?;
    }
    Ok(())
}

/// Goes from terminal to terminal, each time by the arrow that leads nearer, until this one has the focus.
async fn walk_to(browser: &Browser, end: &str) -> Result<()> {
    let goal = terminal(browser, end).await?;
    let (x, y) = goal.middle().await?;
    for step in 0..200 {
        let (_, here) = browser.focused().await?;
        if here == goal.name {
            return Ok(());
        }
        let (a, b) = browser.role("button").named(&here).find().await?.middle().await?;
        let across = if x > a { Key::Right } else { Key::Left };
        let along = if y > b { Key::Down } else { Key::Up };
        // Every few steps the other way, as an arrow need not find a terminal straight ahead.
        let sideways = ((x - a).abs() > (y - b).abs()) != (step % 5 == 4);
        browser.key(if sideways { across } else { along }).await?;
    }
    bail!("the arrow keys do not come to {end}")
}

/// Isolates, takes the first dead test, and closes again.
async fn dead_test(browser: &Browser) -> Result<()> {
    browser.tab_to("switch", "QB1").await?;
    browser.key(' ').await?;
    browser.tab_to("DisclosureTriangle", "▸ Before the first press").await?;
    browser.key(Key::Enter).await?;
    browser.tab_to("button", "Take the reading: Continuity to UC1:plate").await?;
    browser.key(Key::Enter).await?;
    browser.until_text("1 of 21 done").await?;
    browser.tab_to("switch", "QB1").await?;
    browser.key(' ').await
}

/// Holds a button of the station in by the space bar, until the motor is seen to do this.
async fn press(browser: &Browser, name: &str, way: &str) -> Result<()> {
    browser.tab_to("button", name).await?;
    until_a_press_counts(browser).await?;
    browser.key_down(' ').await?;
    turning(browser, way).await?;
    browser.key_up(' ').await
}
