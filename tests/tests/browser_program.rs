//! The program sheet as a person works it: rungs written from nothing by the keyboard alone, then by a finger; the text
//! follows, and each change can be taken back. What must come out is written here by hand.

use anyhow::{Context, Result, ensure};
use sealin_ladder::{Program, Rung, parse};
use sealin_tests::browser::{Browser, Key, Thing, View, with_browser};
use std::path::PathBuf;

/// Two parallel branches, a timer, and the timer read in series with both.
const WANTED: &str = "
QA1_out := (SF2_in AND SF1_in OR QA1_out AND QA1_in) AND timer1.Q;
timer1(IN := SF3_in, PT := T#2s);
";

/// The rungs of a statement list, with the variables that the sheet declares for it.
fn rungs(statements: &str) -> Result<Vec<Rung>> {
    let source = format!(
        "PROGRAM p VAR SF1_in AT %IX0.0 : BOOL; SF2_in AT %IX0.1 : BOOL; SF3_in AT %IX0.2 : BOOL;
         QA1_in AT %IX0.4 : BOOL; QA1_out AT %QX0.0 : BOOL; timer1 : TON; END_VAR {statements} END_PROGRAM"
    );
    parse(&source).map(|program| program.rungs).map_err(|found| anyhow::anyhow!("{found:?}"))
}

/// The structured text as it stands in its field, whether it is on the screen or in the closed drawer.
async fn text(browser: &Browser) -> Result<String> {
    let text =
        browser.evaluate("document.querySelector('textarea[aria-controls], .editor-field').value").await?;
    Ok(text.as_str().context("the field has no text")?.to_owned())
}

async fn program(browser: &Browser) -> Result<Program> {
    let text = text(browser).await?;
    parse(&text).map_err(|found| anyhow::anyhow!("{found:?}\n{text}"))
}

/// Waits until the text holds these rungs.
async fn until_rungs(browser: &Browser, statements: &str) -> Result<()> {
    let wanted = rungs(statements)?;
    let mut seen = String::new();
    for _ in 0..100 {
        seen = text(browser).await?;
        if parse(&seen).is_ok_and(|program| program.rungs == wanted) {
            return Ok(());
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    anyhow::bail!("the text is\n{seen}\nwith other rungs than\n{statements}")
}

/// Writes into the field that a key has opened.
async fn write(browser: &Browser, field: &str, text: &str) -> Result<()> {
    browser.until_focus(field).await?;
    browser.type_text(text).await?;
    browser.key(Key::Enter).await
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn two_branches_and_a_timer_by_the_keyboard_alone() {
    with_browser("program-keys", View::Desk, async |browser| {
        browser.open("#program").await?;
        browser.role("main").named("Program").find().await?;
        browser.tab_to("textbox", "Structured text").await?;
        browser.chord(&[Key::Control], 'a').await?;
        browser.key(Key::Delete).await?;
        browser.until_text("No rung yet.").await?;

        // From nothing: the coil, then contact by contact. Names of the I/O list are declared with their address.
        browser.tab_to("button", "New rung …").await?;
        browser.key(Key::Enter).await?;
        write(browser, "New rung", "QA1_out").await?;
        write(browser, "and", "SF2_in").await?;
        browser.until_focus("SF2_in, normally open contact").await?;
        browser.key('a').await?;
        write(browser, "and", "SF1_in").await?;
        browser.until_focus("SF1_in, normally open contact").await?;
        until_rungs(browser, "QA1_out := SF2_in AND SF1_in;").await?;
        // Both in hand, a branch around them, and a second contact in it.
        browser.key(Key::Left).await?;
        browser.until_focus("SF2_in,").await?;
        browser.chord(&[Key::Shift], Key::Right).await?;
        browser.until_text("In hand: 2 contacts, rung 1.").await?;
        browser.chord(&[Key::Shift], 'A').await?;
        // Completion: the first letters, down to the name that fits, Enter for it, Enter to put it in.
        browser.until_focus("or").await?;
        browser.type_text("qa1_o").await?;
        browser.role("option").named("QA1_out").find().await?;
        browser.key(Key::Down).await?;
        browser.key(Key::Enter).await?;
        browser.key(Key::Enter).await?;
        browser.until_focus("QA1_out, normally open contact").await?;
        browser.key('a').await?;
        write(browser, "and", "QA1_in").await?;
        until_rungs(browser, "QA1_out := SF2_in AND SF1_in OR QA1_out AND QA1_in;").await?;

        // The timer as a line of text; it is declared with it.
        browser.until_focus("QA1_in, normally open contact").await?;
        browser.key('+').await?;
        write(browser, "New rung", "timer1(IN := sf3_in, PT := T#2s)").await?;
        browser.until_focus("timer1, on-delay timer TON").await?;
        browser.key(Key::Up).await?;
        browser.until_focus("QA1_out, coil").await?;
        browser.key('a').await?;
        write(browser, "and", "timer1.Q").await?;
        until_rungs(browser, WANTED).await?;
        let declared = program(browser).await?;
        let address = |name: &str| {
            let var = declared.vars.iter().find(|var| var.name == name);
            var.and_then(|var| var.address).map(|address| address.to_string())
        };
        ensure!(address("QA1_out").as_deref() == Some("%QX0.0"), "{:?}", declared.vars);
        ensure!(address("SF3_in").as_deref() == Some("%IX0.2"), "{:?}", declared.vars);
        browser.screenshot(&picture("program-keys")).await?;

        // Back and forth again, from the drawing.
        browser.until_focus("timer1.Q, normally open contact").await?;
        browser.key('n').await?;
        let negated = WANTED.replace("timer1.Q", "NOT timer1.Q");
        until_rungs(browser, &negated).await?;
        browser.chord(&[Key::Control], 'z').await?;
        until_rungs(browser, WANTED).await?;
        browser.chord(&[Key::Control], 'z').await?;
        until_rungs(browser, &WANTED.replace(") AND timer1.Q", ")")).await?;
        browser.chord(&[Key::Control], 'y').await?;
        until_rungs(browser, WANTED).await?;
        browser.chord(&[Key::Control], 'y').await?;
        until_rungs(browser, &negated).await?;

        // The other way round: the drawing follows the text as it is typed.
        browser.tab_to("textbox", "Structured text").await?;
        browser.chord(&[Key::Control], Key::End).await?;
        for _ in 0.."END_PROGRAM\n".len() {
            browser.key(Key::Left).await?;
        }
        browser.type_text("PF1_out := SF1_in;\n").await?;
        browser.until_text("PF1_out is not declared").await?;
        browser.chord(&[Key::Control], 'z').await?;
        until_rungs(browser, &negated).await?;
        Ok(())
    });
}

async fn tap(browser: &Browser, name: &str) -> Result<()> {
    browser.button(name).await?.tap().await
}

/// Taps a name of the list under the field.
async fn offer(browser: &Browser, name: &str) -> Result<()> {
    browser.role("option").named(name).find().await?.tap().await
}

/// A part of the drawing, by how its name begins.
async fn part<'b>(browser: &'b Browser, start: &str) -> Result<Thing<'b>> {
    browser.role("button").starting(start).first().await
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn two_branches_and_a_timer_by_a_finger() {
    with_browser("program-touch", View::Phone, async |browser| {
        browser.open("#program").await?;
        browser.role("main").named("Program").find().await?;
        let given = program(browser).await?.rungs.len();
        part(browser, "Rung 1, whole").await?.tap().await?;
        for left in (0..given).rev() {
            tap(browser, "Delete").await?;
            for _ in 0..100 {
                if program(browser).await?.rungs.len() == left {
                    break;
                }
                tokio::time::sleep(std::time::Duration::from_millis(50)).await;
            }
        }
        browser.until_text("No rung yet.").await?;

        // Every name is there to be tapped.
        tap(browser, "New rung …").await?;
        offer(browser, "QA1_out").await?;
        offer(browser, "SF2_in").await?;
        until_rungs(browser, "QA1_out := SF2_in;").await?;
        tap(browser, "And …").await?;
        offer(browser, "SF1_in").await?;
        until_rungs(browser, "QA1_out := SF2_in AND SF1_in;").await?;
        tap(browser, "Take more …").await?;
        part(browser, "SF2_in, normally open contact").await?.tap().await?;
        browser.until_text("In hand: 2 contacts, rung 1.").await?;
        tap(browser, "Or …").await?;
        offer(browser, "QA1_out").await?;
        tap(browser, "And …").await?;
        offer(browser, "QA1_in").await?;
        until_rungs(browser, "QA1_out := SF2_in AND SF1_in OR QA1_out AND QA1_in;").await?;

        // A rung for another output, whose coil becomes a timer with a name and a time.
        tap(browser, "New rung …").await?;
        offer(browser, "QA2_out").await?;
        offer(browser, "SF3_in").await?;
        part(browser, "QA2_out, coil").await?.tap().await?;
        tap(browser, "Kind …").await?;
        tap(browser, "on-delay timer TON").await?;
        offer(browser, "timer1").await?;
        tap(browser, "Preset …").await?;
        offer(browser, "T#2s").await?;
        part(browser, "QA1_out, coil").await?.tap().await?;
        tap(browser, "And …").await?;
        offer(browser, "timer1.Q").await?;
        until_rungs(browser, WANTED).await?;
        browser.screenshot(&picture("program-touch")).await?;

        tap(browser, "Undo").await?;
        until_rungs(browser, &WANTED.replace(") AND timer1.Q", ")")).await?;
        tap(browser, "Redo").await?;
        until_rungs(browser, WANTED).await?;

        // The text lies in the drawer, one tap away.
        tap(browser, "Structured text").await?;
        let field = browser.field("Structured text").await?;
        ensure!(field.value().await?.contains("timer1(IN := SF3_in, PT := T#2s);"), "the text follows");
        browser.screenshot(&picture("program-touch-text")).await?;
        let overhang = browser.evaluate("document.documentElement.scrollWidth - innerWidth").await?;
        ensure!(overhang.as_i64() <= Some(0), "the page is {overhang} px wider than the phone");
        Ok(())
    });
}

/// The I/O list: a name is changed through the whole program, comments stay; a variable is made and taken out again.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_list_is_written_into_the_text() {
    with_browser("program-list", View::Desk, async |browser| {
        browser.open("#program").await?;
        browser.button("Change SF2_in").await?.click().await?;
        browser.field("name").await?.write("raise_in").await?;
        browser.field("comment").await?.write("RAISE, white").await?;
        browser.key(Key::Enter).await?;
        browser.button("Change raise_in").await?;
        let now = text(browser).await?;
        ensure!(now.contains("QA1_out := (raise_in OR QA1_out)"), "{now}");
        ensure!(now.contains("raise_in AT %IX0.1 : BOOL;  (* RAISE, white *)"), "{now}");
        ensure!(!now.contains("SF2_in"), "{now}");

        browser.button("New variable …").await?.click().await?;
        browser.field("name").await?.write("fresh").await?;
        browser.key(Key::Enter).await?;
        browser.button("Change fresh").await?.click().await?;
        ensure!(text(browser).await?.contains("fresh : BOOL;"));
        browser
            .role("form")
            .named("Variable")
            .find()
            .await?
            .role("button")
            .named("Delete")
            .first()
            .await?
            .click()
            .await?;
        browser.button("Change raise_in").await?.click().await?;
        ensure!(!text(browser).await?.contains("fresh"));
        // One that is used stays, and it says where it is used.
        browser
            .role("form")
            .named("Variable")
            .find()
            .await?
            .role("button")
            .named("Delete")
            .first()
            .await?
            .click()
            .await?;
        browser.until_text("raise_in is used in rung 1.").await?;
        Ok(())
    });
}

/// Where a picture goes, out of the tree's way.
fn picture(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.png"))
}
