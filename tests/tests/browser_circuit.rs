//! The circuit diagram as a person uses it: the coil path of QA1 in its order, live when RAISE is pressed; a conductor that
//! is taken out on the wiring sheet leaves an open end here; from the program to a contact and back; by keys and by a finger.
//! What is expected is read off paddle-panel.md, sections 3 to 6, whose conductors are the exercise that ships.

use anyhow::{Context, Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};
use sealin_tests::generate::{at_work, paddle};
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

/// Whether all lines with this wire number are drawn heavy.
async fn live(browser: &Browser, number: &str) -> Result<bool> {
    let strokes = format!(
        "[...document.querySelectorAll('svg g')]
            .filter((g) => [...g.children].some((c) => c.tagName === 'text' && c.textContent === '{number}'))
            .map((g) => getComputedStyle(g.querySelector('path')).strokeWidth)"
    );
    let widths = browser.evaluate(&strokes).await?;
    let widths = widths.as_array().context("lines")?;
    ensure!(!widths.is_empty(), "no line carries {number}");
    Ok(widths
        .iter()
        .all(|w| w.as_str().is_some_and(|w| w.trim_end_matches("px").parse::<f64>().unwrap_or(0.0) > 2.0)))
}

/// Section 3: coil QA1 is 2U, FC4, link, 95-96, CQ1 and Q0, 21-22 of QA2, A1-A2, back to 2V.
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
        browser.role("row").with("QA1:14 to KF1:I4").first().await?.click().await?;
        browser.button("Take out").await?.click().await?;
        browser.sheet("Circuit").await?;
        let contact = browser.role("button").starting("QA1 13-14, make contact, open at rest").find().await?;
        ensure!(contact.name.ends_with("open end at 14"), "{}", contact.name);

        // It stands in one of the last paths, beside what is in view at first.
        browser.button("Fit").await?.click().await?;
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

/// The power circuit has four paths (sections 1 and 3: QA1, QA2 beside it, FC3 to TA1, FC5 to TB1), so the coil of QA1 stands in
/// path 5. Section 6: rung 4 holds by QA1_in and writes QA1_out, which is Q0.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn from_a_contact_in_the_program_to_its_contact_and_back() {
    with_browser("circuit-program", View::Desk, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        browser.sheet("Program").await?;
        browser.role("button").starting("QA1_in, normally open contact").first().await?.click().await?;
        browser.button("In the circuit").await?.click().await?;
        browser.role("main").named("Circuit").find().await?;
        browser.until_text("QA1 13-14, make contact, open at rest, path").await?;
        browser.until_text("moved in path 5").await?;
        for rung in [1, 4, 5] {
            browser.button(&format!("QA1_in in rung {rung} of the program")).await?;
        }
        browser.button("QA1_in in rung 4 of the program").await?.click().await?;
        browser.role("main").named("Program").find().await?;
        // The contact that holds the coil has the keyboard, seen, and the arrow keys go on from it to the output of the rung.
        browser.until_focus("QA1_in, normally open contact").await?;
        let focus = browser.focus().await?.context("a focus")?;
        ensure!(focus.seen && focus.outline >= 2.0 && focus.contrast >= 3.0, "{focus:?}");
        browser.key(Key::End).await?;
        browser.until_focus("QA1_out, coil").await?;
        // The output leads to Q0, which has the keyboard then, and from there back.
        browser.button("In the circuit").await?.click().await?;
        browser.until_text("KF1 Q0, make contact, open at rest, path 5, %QX0.0").await?;
        browser.until_focus("KF1 Q0, make contact").await?;
        browser.button("QA1_out in rung 4 of the program").await?.click().await?;
        browser.until_focus("QA1_out, coil").await
    });
}

/// In path 5 the coil of QA1 lies under 21-22 of QA2 (section 3, C07), and left of path 6 with that of QA2.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_keys_go_on_from_what_was_chosen_by_mouse() {
    with_browser("circuit-keys", View::Desk, async |browser| {
        browser.open("").await?;
        browser.sheet("Circuit").await?;
        browser.button("Fit").await?.click().await?;
        browser.role("button").starting("QA2 21-22, break contact").find().await?.click().await?;
        browser.until_text("QA2:21 on the wiring sheet").await?;
        browser.until_focus("QA2 21-22, break contact").await?;
        browser.key(Key::Down).await?;
        browser.until_focus("QA1 A1-A2, coil").await?;
        browser.key(Key::Right).await?;
        browser.until_focus("QA2 A1-A2, coil").await?;
        // Walking chooses nothing; Enter does, and the walk goes on.
        browser.until_text("QA2:21 on the wiring sheet").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("QA2:A1 on the wiring sheet").await?;
        browser.key(Key::Up).await?;
        browser.until_focus("QA1 21-22, break contact").await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_finger_moves_the_diagram_and_all_of_it_is_shown_on_demand() {
    with_browser("circuit-finger", View::Phone, async |browser| {
        browser.open("").await?;
        browser.sheet("Circuit").await?;
        let supply = browser.role("button").starting("XD0 L1-L2-L3, supply").find().await?;
        let (x, y) = supply.middle().await?;
        // From between the symbols.
        browser.swipe((200, y + 60), (140, y + 60)).await?;
        let moved = supply.middle().await?.0;
        ensure!((x - 64..=x - 50).contains(&moved), "60 px to the left: from {x} to {moved}");
        supply.tap().await?;
        browser.until_text("XD0 on the wiring sheet").await?;
        let lamp = browser.role("button").starting("PF1 X1-X2, lamp").find().await?;
        ensure!(lamp.middle().await.is_err(), "the last path is in view beside the first");
        // Fitted to a phone the words can be read, from the first path on; the rest is a drag away, or smaller by the button.
        browser.button("Fit").await?.tap().await?;
        supply.middle().await.context("the first path is not in view")?;
        let least = "Math.min(...[...document.querySelectorAll('main svg text')].filter((t) => t.textContent)
            .map((t) => parseFloat(getComputedStyle(t).fontSize) * Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b)))";
        let least = browser.evaluate(least).await?.as_f64().context("words")?;
        ensure!(least >= 11.0, "the smallest words are {least} px high");
        for _ in 0..5 {
            browser.button("Smaller").await?.tap().await?;
        }
        lamp.middle().await.context("all of it is not in view")?;
        supply.middle().await.map(drop)
    });
}
