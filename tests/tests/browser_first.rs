//! A person who has never seen the bench: the hints of the first minute, and the worked example, by real events.

use anyhow::{Context, Result, ensure};
use sealin_tests::browser::{Browser, Key, Thing, View, with_browser};

async fn terminal<'b>(browser: &'b Browser, end: &str) -> Result<Thing<'b>> {
    let (tag, name) = end.split_once(':').context("a terminal")?;
    browser.role("button").starting(&format!("{tag} terminal {name},")).find().await
}

/// Waits until the hint with this number says this.
async fn hint(browser: &Browser, number: usize, words: &str) -> Result<()> {
    let note = browser.role("note").named(&format!("Hint {number} of 7")).find().await?;
    note.until_text(words).await
}

/// Waits until the note lies within the window, and not over what it speaks of. It is placed with the next frame.
async fn beside(browser: &Browser, thing: &str) -> Result<()> {
    let apart = format!(
        "(() => {{
            const [n, t] = ['.hint', \"{thing}\"].map((s) => document.querySelector(s)?.getBoundingClientRect());
            const apart = n && t && (n.left >= t.right || n.right <= t.left || n.top >= t.bottom || n.bottom <= t.top);
            return apart && n.left >= 0 && n.top >= 0 && n.right <= innerWidth && n.bottom <= innerHeight;
        }})()"
    );
    browser.until(&apart).await.with_context(|| format!("the note beside {thing}"))
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_first_minute_by_mouse() {
    with_browser("first-minute", View::Desk, async |browser| {
        browser.open("").await?;
        browser.role("heading").named("Start here").find().await?;
        browser.button("Show me the first steps").await?.click().await?;
        hint(browser, 1, "begins here, at QA1:14").await?;
        beside(browser, ".surface [data-terminal='QA1:14']").await?;
        terminal(browser, "QA1:14").await?.drag_onto(&terminal(browser, "KF1:I4").await?).await?;

        // Dragged, the conductor is begun and ended at once. The next deed is on another sheet.
        hint(browser, 3, ", Program.").await?;
        beside(browser, ".list li:nth-child(4) button").await?;
        browser.sheet("Program").await?;
        hint(browser, 3, "choose New rung").await?;
        beside(browser, ".bar").await?;
        browser.role("button").starting("New rung").find().await?.click().await?;
        browser.until("document.activeElement?.getAttribute('role') === 'combobox'").await?;
        browser.type_text("PF1_out := FC1_in").await?;
        browser.key(Key::Enter).await?;

        hint(browser, 4, "Transfer yours").await?;
        beside(browser, ".transfer-buttons").await?;
        browser.button("Transfer to the controller").await?.click().await?;
        browser.until_text("The controller runs the program on this sheet.").await?;

        browser.sheet("Commissioning").await?;
        hint(browser, 5, "Switch the supply on").await?;
        beside(browser, ".supply-switch").await?;
        browser.role("switch").starting("Supply").find().await?.click().await?;

        hint(browser, 6, "Press RAISE").await?;
        beside(browser, ".push-face[aria-label^='SF2,']").await?;
        tokio::time::sleep(std::time::Duration::from_millis(1_500)).await;
        browser.role("button").starting("SF2,").find().await?.click().await?;
        browser
            .until("document.querySelector('main').innerText.replace(/\\s+/g,' ').includes('turning raise')")
            .await?;
        hint(browser, 7, "the bench is yours").await?;
        browser.sheet("Brief").await?;
        browser.role("note").named("Hint 7 of 7").gone().await?;
        browser.reload().await?;
        browser.button("Show me the first steps").await?;
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn hints_put_away_by_keyboard_stay_away_and_come_back_when_called() {
    with_browser("hints-keys", View::Desk, async |browser| {
        browser.open("").await?;
        browser.button("Show me the first steps").await?.focus().await?;
        browser.key(Key::Enter).await?;
        hint(browser, 1, "begins here").await?;
        // Backwards from the drawing, the hint is the first thing.
        let mut steps = 0;
        while browser.focused().await.map(|(_, name)| name).unwrap_or_default() != "Put away" {
            browser.chord(&[Key::Shift], Key::Tab).await?;
            steps += 1;
            ensure!(steps < 60, "the hint is not in the tab order");
        }
        browser.key(Key::Enter).await?;
        hint(browser, 2, "ends here").await?;
        ensure!(browser.focused().await?.1 == "Put away", "the keyboard stays at the hint");
        browser.key(Key::Escape).await?;
        hint(browser, 3, ", Program.").await?;
        // What was put away stays so, on a later visit too.
        browser.reload().await?;
        hint(browser, 3, ", Program.").await?;
        browser.button("No more hints").await?.focus().await?;
        browser.key(Key::Enter).await?;
        browser.role("note").named("Hint 3 of 7").gone().await?;
        browser.reload().await?;
        browser.sheet("Brief").await?;
        browser.button("Show me the first steps").await?.click().await?;
        hint(browser, 1, "begins here").await?;
        Ok(())
    });
}

/// On a phone no hint lies over what it speaks of, or out of the window; by finger, tap after tap.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn hints_on_a_phone() {
    with_browser("hints-phone", View::Phone, async |browser| {
        browser.open("").await?;
        browser.button("Show me the first steps").await?.tap().await?;
        hint(browser, 1, "begins here").await?;
        beside(browser, ".surface [data-terminal='QA1:14']").await?;
        browser.button("Put away").await?.tap().await?;
        hint(browser, 2, "ends here").await?;
        beside(browser, ".surface [data-terminal='KF1:I4']").await?;
        browser.button("Put away").await?.tap().await?;
        browser.sheet("Program").await?;
        hint(browser, 3, "New rung").await?;
        beside(browser, ".bar").await?;
        browser.button("Put away").await?.tap().await?;
        hint(browser, 4, "Transfer").await?;
        beside(browser, ".transfer-buttons").await?;
        browser.sheet("Commissioning").await?;
        browser.button("Put away").await?.tap().await?;
        hint(browser, 5, "supply").await?;
        beside(browser, ".supply-switch").await?;
        browser.role("switch").starting("Supply").find().await?.tap().await?;
        hint(browser, 6, "Press RAISE").await?;
        beside(browser, ".push-face[aria-label^='SF2,']").await?;
        Ok(())
    });
}

/// The worked example is looked at and left; the work in progress is as it was, also after the page was loaded again.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_example_leaves_ones_own_work_as_it_is() {
    with_browser("example", View::Desk, async |browser| {
        browser.open("#wiring").await?;
        let field = browser.role("combobox").named("Type a conductor").find().await?;
        field.click().await?;
        browser.type_text("XD4:7 > QA1:13").await?;
        browser.key(Key::Enter).await?;
        browser.role("row").with("XD4:7 to QA1:13").first().await?;
        browser.until_text("saved, ").await?;

        browser.sheet("Brief").await?;
        browser.button("Look at a worked example").await?.click().await?;
        browser.until_text("example, not kept").await?;
        browser.sheet("Wiring").await?;
        browser.role("row").with("KF1:Q4 to XD2:5").first().await?;
        let back = browser.button("Back to my work").await?;
        browser.reload().await?;
        drop(back);
        browser.until_text("saved, ").await?;

        browser.sheet("Brief").await?;
        browser.button("Look at a worked example").await?.click().await?;
        browser.until_text("example, not kept").await?;
        browser.sheet("Sign-off").await?;
        browser.button("Run all checks").await?.click().await?;
        // All but the 8 for answers, of which the example gives none.
        browser.until_text("112 of 120 marks").await?;
        browser.button("Back to my work").await?.click().await?;
        browser.until_text("saved, ").await?;
        browser.sheet("Wiring").await?;
        browser.role("row").with("XD4:7 to QA1:13").first().await?;
        ensure!(!browser.text().await?.contains("KF1:Q4 to XD2:5"), "a conductor of the example is left");
        Ok(())
    });
}

/// Takes the first part of a kind from stores by finger; the button says its tag.
async fn take(browser: &Browser, kind: &str, tag: &str) -> Result<()> {
    browser.role("combobox").named("Kind").find().await?.choose(kind).await?;
    browser.button(&format!("Take {tag}")).await?.tap().await?;
    browser.until_text(&format!("{tag} is mounted")).await
}

/// The empty panel on a phone: three parts are taken, one conductor is made, the last taking is undone; the other job's work
/// is as it was.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_empty_panel_by_finger() {
    with_browser("free-bench", View::Phone, async |browser| {
        browser.open("#brief").await?;
        browser.button("Your attempt and the way through the job").await?.tap().await?;
        browser.button("Open Empty panel").await?.tap().await?;
        browser.until_text("Empty panel is open").await?;
        browser.sheet("Wiring").await?;
        browser.button("Stores and wiring schedule").await?.tap().await?;
        take(browser, "Contactors", "QA1").await?;
        take(browser, "Push-buttons", "SF1").await?;
        let field = browser.role("combobox").named("Type a conductor").find().await?;
        field.tap().await?;
        browser.type_text("SF1:13 > QA1:A1").await?;
        browser.key(Key::Enter).await?;
        browser.role("row").with("SF1:13 to QA1:A1").first().await?;
        take(browser, "Lamps", "PF1").await?;
        browser.button("Give PF1 back, with its conductors").await?;
        browser.button("Undo").await?.tap().await?;
        browser.role("button").named("Show PF1").gone().await?;
        // Given back, the push-button takes the conductor along; one undo brings both back.
        browser.button("Give SF1 back, with its conductors").await?.tap().await?;
        browser.role("row").with("SF1:13 to QA1:A1").gone().await?;
        browser.button("Undo").await?.tap().await?;
        browser.role("row").with("SF1:13 to QA1:A1").first().await?;
        browser.until_text("saved,").await?;

        // Each job keeps its attempt, and the last one is opened again.
        browser.reload().await?;
        browser.role("button").starting("SF1 terminal 13,").find().await?;
        browser.sheet("Brief").await?;
        browser.button("Your attempt and the way through the job").await?.tap().await?;
        browser.button("Open Close the loop of the paddle gear").await?.tap().await?;
        // A job that was only looked at is as it is handed out.
        browser.until_text("no acts yet").await?;
        browser.button("Open Empty panel").await?.tap().await?;
        browser.sheet("Wiring").await?;
        browser.role("button").starting("SF1 terminal 13,").find().await?;
        Ok(())
    });
}
