//! The wiring sheet by real events: rows pasted, the schedule written by keys alone, a finger on a small drawing, find.

use anyhow::{Context, Result, ensure};
use sealin_tests::browser::{Browser, Key, Thing, View, with_browser};

/// Three rows of the reference as a spreadsheet copies them, and two that cannot be made.
const ROWS: &str = "from\\tto\\tnumber\\tmm²\\tcolour\\nQA1:14\\tKF1:I4\\t213\\t0.75\\tdark blue\\n\
    QA2:14\\tKF1:I5\\t214\\t0,75\\tdark blue\\nFC9:98\\tKF1:I6\\t215\\nXD5:6\\tKF1:CQ2\\t299\\t0.75\\tpink\\n\
    FC1:98\\tKF1:I6\\t215\\n";

/// Puts a text on the clipboard as a person does in another program: chosen in a field, and copied by its keys.
async fn copy_elsewhere(browser: &Browser, text: &str) -> Result<()> {
    let field = format!(
        "(() => {{ const t = document.createElement('textarea'); t.id = 'elsewhere'; t.value = \"{text}\";
        document.body.append(t); t.focus(); return true; }})()"
    );
    ensure!(browser.evaluate(&field).await? == true);
    browser.chord(&[Key::Control], 'a').await?;
    browser.chord(&[Key::Control], 'c').await?;
    ensure!(browser.evaluate("document.getElementById('elsewhere').remove(), true").await? == true);
    Ok(())
}

/// The schedule's row with this in its name, such as `QA1:14 to KF1:I4`.
async fn row<'b>(browser: &'b Browser, ends: &str) -> Result<Thing<'b>> {
    browser.role("row").with(ends).first().await.with_context(|| ends.to_string())
}

/// Tab until the focus is in the schedule.
async fn into_the_schedule(browser: &Browser) -> Result<()> {
    browser.tab_until(60, |role, _| role == "gridcell").await
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn three_rows_are_pasted_told_and_taken_as_one_step() {
    with_browser("wiring-paste", View::Desk, async |browser| {
        browser.open("#wiring").await?;
        browser.role("grid").starting("Wiring schedule").find().await?;
        copy_elsewhere(browser, ROWS).await?;
        into_the_schedule(browser).await?;
        browser.chord(&[Key::Control], 'v').await?;
        browser.until_text("3 of 5 rows can be made.").await?;
        // By row, with what was expected.
        browser.until_text("There is no FC9 in this job.").await?;
        browser.until_text("“pink” is no insulation colour").await?;
        ensure!(
            browser.focused().await? == ("button".into(), "Make 3".into()),
            "{:?}",
            browser.focused().await?
        );
        browser.key(Key::Enter).await?;
        for ends in ["213, QA1:14 to KF1:I4", "214, QA2:14 to KF1:I5", "215, FC1:98 to KF1:I6"] {
            row(browser, ends).await?;
        }
        browser.button("Undo").await?.click().await?;
        browser.role("row").with("QA1:14 to KF1:I4").gone().await?;
        browser.role("row").with("FC1:98 to KF1:I6").gone().await?;
        browser.button("Redo").await?.click().await?;
        row(browser, "214, QA2:14 to KF1:I5").await?;
        row(browser, "215, FC1:98 to KF1:I6").await?;
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_number_is_changed_by_keys_alone() {
    with_browser("wiring-keys", View::Desk, async |browser| {
        browser.open("#wiring").await?;
        browser.role("combobox").named("Type a conductor").find().await?.focus().await?;
        browser.type_text("QA1:14 > KF1:I4").await?;
        browser.key(Key::Enter).await?;
        row(browser, "213, QA1:14 to KF1:I4").await?;
        into_the_schedule(browser).await?;
        // Enter opens the cell with its text chosen, Escape leaves it as it was, a letter begins it anew.
        browser.key(Key::Home).await?;
        browser.key(Key::Enter).await?;
        browser.type_text("77").await?;
        browser.key(Key::Escape).await?;
        row(browser, "213, QA1:14 to KF1:I4").await?;
        browser.key(Key::Enter).await?;
        browser.type_text("300").await?;
        browser.key(Key::Enter).await?;
        row(browser, "300, QA1:14 to KF1:I4").await?;
        ensure!(browser.focused().await?.0 == "gridcell", "the keys are back in the table");
        // Colour: what cannot stand there is told, with what is expected.
        for _ in 0..4 {
            browser.key(Key::Right).await?;
        }
        browser.type_text("pink").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("one of black, red, dark blue").await?;
        browser.chord(&[Key::Control], 'a').await?;
        browser.type_text("red").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("red, yours").await?;
        // To the drawing and back.
        browser.chord(&[Key::Shift], Key::Enter).await?;
        let (role, name) = browser.focused().await?;
        ensure!(role == "button" && name.starts_with("QA1 terminal 14,"), "{role} {name}");
        browser.chord(&[Key::Shift], Key::Enter).await?;
        ensure!(browser.focused().await?.0 == "gridcell", "{:?}", browser.focused().await?);
        browser.key(Key::Delete).await?;
        browser.role("row").with("QA1:14 to KF1:I4").gone().await?;
        Ok(())
    });
}

/// Where on the screen the mark of a terminal is, and how wide, CSS pixels.
async fn mark(browser: &Browser, terminal: &str) -> Result<(i64, i64, f64)> {
    let place = browser
        .evaluate(&format!(
            "(() => {{ const b = document.querySelector('[data-terminal=\"{terminal}\"] rect').getBoundingClientRect();
            return [b.x + b.width / 2, b.y + b.height / 2, b.width]; }})()"
        ))
        .await?;
    let of = |k: usize| place[k].as_f64().context("a number");
    Ok((of(0)? as i64, of(1)? as i64, of(2)?))
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_tap_on_the_small_drawing_opens_the_terminals_near_it() {
    with_browser("wiring-tap", View::Phone, async |browser| {
        browser.open("#wiring").await?;
        browser.role("button").starting("XD4 terminal 7,").find().await?;
        let (x, y, wide) = mark(browser, "XD4:7").await?;
        ensure!(wide < 24.0, "the drawing opens small: {wide}");
        browser.touch(x, y).await?;
        browser.lift().await?;
        let list = browser.role("dialog").named("Which terminal?").find().await?;
        let near = list.role("button").starting("XD4:7").first().await?;
        ensure!(near.name.contains("free, on 201"), "with its state: {}", near.name);
        list.role("button").starting("XD4:6").first().await?;
        near.tap().await?;
        browser.until_text("From XD4 terminal 7").await?;
        // Closer, a terminal is met by itself.
        browser.touch(x, y).await?;
        browser.lift().await?;
        browser.role("button").named("Look closer").find().await?.tap().await?;
        browser.until("document.querySelector('[data-terminal=\"XD4:7\"] rect').getBoundingClientRect().width >= 24").await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn what_is_found_comes_into_view_on_a_phone() {
    with_browser("wiring-find", View::Phone, async |browser| {
        browser.open("#wiring").await?;
        browser.button("Wiring schedule").await?.tap().await?;
        let field = browser.role("searchbox").named("Find a terminal or number").find().await?;
        field.tap().await?;
        browser.type_text("XE1:10").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("XE1 terminal 10").await?;
        browser.until("document.querySelector('[data-terminal=\"XE1:10\"] rect').getBoundingClientRect().width >= 24").await?;
        let (x, y, _) = mark(browser, "XE1:10").await?;
        ensure!((0..390).contains(&x) && (0..844).contains(&y), "{x} {y}");
        let there =
            format!("document.elementFromPoint({x}, {y})?.closest('[data-terminal]')?.dataset.terminal");
        ensure!(browser.evaluate(&there).await? == "XE1:10", "nothing covers it");
        Ok(())
    });
}
