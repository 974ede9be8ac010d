//! The page by the keyboard: the focus is always seen, the way through each sheet is short, each sheet has a key, and motion
//! is left out where the person wants none.

use anyhow::{Context, Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};
use sealin_tests::generate::{at_work, paddle};

/// Most stops of the Tab key on a sheet as it is opened, list of drawings and title block included.
const MOST_STOPS: usize = 100;

/// On every sheet of the job that is open, in both lights.
async fn seen_at_every_stop(browser: &Browser) -> Result<()> {
    let mut faults = Vec::new();
    browser
        .on_every_sheet(&[false, true], async |sheet, dark| {
            // To the end of the page; the next Tab begins at its start.
            while browser.focus().await?.is_some() {
                browser.key(Key::Tab).await?;
            }
            let mut stops = 0;
            loop {
                browser.key(Key::Tab).await?;
                let Some(focus) = browser.focus().await? else { break };
                stops += 1;
                ensure!(stops <= MOST_STOPS, "{sheet} has more than {MOST_STOPS} stops");
                // 2 px and 3:1 are WCAG 2.4.13.
                if !focus.seen || focus.outline < 2.0 || focus.contrast < 3.0 {
                    faults.push(format!("{sheet}, dark {dark}: {focus:?}"));
                }
            }
            ensure!(stops > 8, "{sheet} has only {stops} stops");
            Ok(())
        })
        .await?;
    ensure!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
    Ok(())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_focus_is_seen_at_every_stop() {
    with_browser("focus", View::Desk, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        seen_at_every_stop(browser).await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_focus_is_seen_on_the_empty_panel() {
    with_browser("focus-empty", View::Desk, async |browser| {
        browser.open_empty_panel().await?;
        seen_at_every_stop(browser).await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn every_sheet_has_a_key_and_the_ways_past_are_there() {
    with_browser("sheet-keys", View::Desk, async |browser| {
        browser.open("").await?;
        browser.role("main").named("Brief").find().await?;
        browser.key(Key::Tab).await?;
        ensure!(browser.focused().await? == ("link".into(), "Skip to the drawing".into()));
        browser.key(Key::Enter).await?;
        browser.key(Key::Tab).await?;
        let (_, name) = browser.focused().await?;
        ensure!(!name.contains("Skip"), "past the ways past: {name}");
        for (at, sheet) in browser.sheets().await?.iter().enumerate().rev() {
            let digit = char::from_digit(at as u32 + 1, 10).context("a digit")?;
            browser.chord(&[Key::Control, Key::Shift], digit).await?;
            browser.role("main").named(sheet).find().await?;
            browser.until_focus(sheet).await?;
        }
        // In a text as well, and without writing there.
        browser.chord(&[Key::Control, Key::Shift], '4').await?;
        let text = browser.field("Structured text").await?;
        let before = text.value().await?;
        text.focus().await?;
        browser.chord(&[Key::Control, Key::Shift], '4').await?;
        ensure!(text.value().await? == before);
        browser.chord(&[Key::Control, Key::Shift], '1').await?;
        browser.until_focus("Brief").await
    });
}

/// With less motion asked for, nothing moves but what the bench does.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn nothing_moves_for_one_who_wants_no_motion() {
    with_browser("motion", View::Desk, async |browser| {
        browser.prefer(false, true).await?;
        browser.open_attempt(&at_work(&paddle())).await?;
        for sheet in browser.sheets().await? {
            browser.sheet(&sheet).await?;
            let moving = "[...document.querySelectorAll('*')].filter((element) => {
                const { transitionDuration, animationName, scrollBehavior } = getComputedStyle(element);
                return transitionDuration !== '0s' || animationName !== 'none' || scrollBehavior === 'smooth';
            }).length + document.getAnimations().length";
            ensure!(browser.evaluate(moving).await? == 0, "{sheet}");
        }
        Ok(())
    });
}
