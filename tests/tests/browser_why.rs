//! Why? as a person asks it: by mouse, by the keyboard alone, and by a finger. The chain is worked out by hand from the
//! circuit of the paddle job as it is handed out: coil QA1 is fed over Q0 (C01 to C07), rung 1 is
//! `QA1_out := (SF2_in OR QA1_out) AND SF1_in AND NOT QA2_out`, and SF2's make contact feeds input 1 at %IX0.1. At rest one
//! press of SF2 alone would bring QA1 in, so each link has one cause.

use anyhow::{Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};

/// Links from QA1 to the button, and the number of the sheet that each leads to.
const CHAIN: [&str; 11] = [
    "QA1 is out 2",
    "coil QA1 is off 2",
    "no volts at A1-A2 of QA1 2",
    "output Q0 of KF1 is open 2",
    "QX0.0 is 0 4",
    "QA1_out is 0, rung 1 is blocked at SF2_in = 0 4",
    "SF2_in is 0 4",
    "IX0.1 is 0 4",
    "no volts at input 1 of KF1 2",
    "13-14 of SF2 is open 2",
    "SF2 is not pressed 5",
];

async fn until_chain(browser: &Browser) -> Result<()> {
    let chain = browser.role("list").named("Causes, nearest first").find().await?;
    let mut links = Vec::new();
    for button in chain.role("button").all().await? {
        let text = button.text().await?.split_whitespace().collect::<Vec<_>>().join(" ");
        if text != "Why?" {
            links.push(text);
        }
    }
    ensure!(links == CHAIN, "{links:?}");
    Ok(())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_loop_answers_and_its_links_lead_to_their_places_by_mouse() {
    with_browser("why-mouse", View::Desk, async |browser| {
        browser.open("#commissioning").await?;
        browser.role("switch").starting("Supply").find().await?.click().await?;
        browser.until_text("controller scans").await?;
        browser.button("Why? QA1 armature").await?.click().await?;
        browser.role("heading").named("Why? QA1 is out").find().await?;
        until_chain(browser).await?;
        browser.button(CHAIN[5]).await?.click().await?;
        browser.role("main").named("Program").find().await?;
        let contact = browser.role("button").starting("SF2_in, ").first().await?;
        ensure!(contact.state("pressed").await? == "true", "the contact that blocks is not in hand");
        browser.button(CHAIN[8]).await?.click().await?;
        browser.role("main").named("Wiring").find().await?;
        browser.until_text("KF1 terminal I1").await?;
        // The answer goes with the sheets, and leads on from any of its links.
        browser.button("Why? 13-14 of SF2 is open").await?.click().await?;
        browser.role("heading").named("Why? 13-14 of SF2 is open").find().await?;
        browser.button("Close Why?").await?.click().await?;
        browser.role("heading").starting("Why?").gone().await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_key_asks_about_what_has_the_focus() {
    with_browser("why-keys", View::Desk, async |browser| {
        browser.open("#commissioning").await?;
        browser.tab_to("switch", "Supply").await?;
        browser.key(' ').await?;
        browser.until_text("controller scans").await?;
        // The strip is one stop: the arrow keys go along it.
        browser.tab_to("button", "13-14 open").await?;
        browser.key(Key::End).await?;
        browser.until_focus("Why? QA1 armature").await?;
        browser.key(Key::Left).await?;
        browser.until_focus("QA1 out armature").await?;
        browser.key('?').await?;
        browser.role("heading").named("Why? QA1 is out").find().await?;
        ensure!(browser.focused().await?.1 == "Why? QA1 is out", "the answer has not the focus");
        until_chain(browser).await?;
        browser.tab_to("button", CHAIN[1]).await?;
        browser.key(Key::Enter).await?;
        browser.role("main").named("Wiring").find().await?;
        browser.until_text("QA1 terminal A1").await?;
        // Escape puts the answer away; outside of it, it is the stop button's key.
        browser.key(Key::Escape).await?;
        browser.role("heading").starting("Why?").gone().await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_finger_points_at_what_it_asks_about() {
    with_browser("why-touch", View::Phone, async |browser| {
        browser.open("#commissioning").await?;
        browser.role("switch").starting("Supply").find().await?.tap().await?;
        browser.until_text("controller scans").await?;
        browser.button("Why?").await?.tap().await?;
        // While the answer waits for it, a press on the button asks and does not press.
        let start = browser.role("button").starting("SF2,").find().await?;
        start.tap().await?;
        browser.role("heading").named("Why? SF2 is not pressed").find().await?;
        ensure!(start.state("pressed").await? == "false", "SF2 was pressed");
        browser.button("Close Why?").await?.tap().await?;
        browser.button("Why?").await?.tap().await?;
        browser.role("button").named("Why? QA1").first().await?.tap().await?;
        until_chain(browser).await?;
        browser.button(CHAIN[9]).await?.tap().await?;
        browser.role("main").named("Wiring").find().await?;
        browser.until_text("SF2 terminal 13").await
    });
}
