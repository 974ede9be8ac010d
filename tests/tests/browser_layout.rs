//! Every sheet on every screen as a person with an eye for drawings would look at it: no text on another, nothing cut, nothing
//! beside the screen, all that can be pressed large enough and within reach. The pictures are kept.

use std::path::PathBuf;

use anyhow::{Result, ensure};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use sealin_tests::browser::{Browser, Target, View, with_browser};
use sealin_tests::generate::{at_work, paddle};

/// Width, height, device pixels to a CSS pixel, touch. The first two are those that the sheets are drawn for; the third is
/// the first at 200 % zoom (WCAG 1.4.4), the others are the smallest and the largest to be expected.
const SCREENS: [(u32, u32, u32, bool); 6] = [
    (1440, 900, 1, false),
    (390, 844, 2, true),
    (720, 450, 2, false),
    (360, 780, 2, true),
    (1024, 768, 1, false),
    (2560, 1440, 1, false),
];

/// Targets that may be smaller than 44 px on a touch screen, by element and class, with the reason. What stands in a line of text
/// may be as well, down to 24 px (WCAG 2.5.8).
const SMALL_ON_TOUCH: [(&str, &str); 2] = [
    (
        "g.terminal",
        "drawn to scale: two fingers enlarge the drawing, and the schedule takes terminals by name",
    ),
    ("rect.rung-touch", "drawn to scale: the bar has a button for each thing that can be done"),
];

async fn screen(browser: &Browser, (width, height, density, touch): (u32, u32, u32, bool)) -> Result<()> {
    browser.set_view(if touch { View::Phone } else { View::Desk }).await?;
    browser.set_screen(width, height, density, touch).await
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn every_sheet_is_well_drawn_on_every_screen_by_day_and_night() {
    with_browser("layout", View::Desk, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        let mut faults = Vec::new();
        for (at, size) in SCREENS.into_iter().enumerate() {
            screen(browser, size).await?;
            // Light changes no place; two screens by night are for what it might.
            let lights: &[bool] = if at < 2 { &[false, true] } else { &[false] };
            browser
                .on_every_sheet(lights, async |sheet, dark| {
                    browser.frames(3).await?;
                    let light = if dark { "night" } else { "day" };
                    let place = format!("{sheet}, {} px wide, {light}", size.0);
                    faults.extend(browser.badly_drawn().await?.into_iter().map(|f| format!("{place}: {f}")));
                    if at < 2 {
                        let screen = if at == 0 { "desk" } else { "phone" };
                        let name = format!("{}-{screen}-{light}", sheet.to_lowercase().replace(' ', "-"));
                        browser.screenshot(&picture(&name)).await?;
                    }
                    browser.unfold().await?;
                    faults.extend(
                        browser.badly_drawn().await?.into_iter().map(|f| format!("{place}, unfolded: {f}")),
                    );
                    Ok(())
                })
                .await?;
        }
        ensure!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn every_sheet_of_the_empty_panels_is_well_drawn() {
    with_browser("layout-empty", View::Desk, async |browser| {
        let mut faults = Vec::new();
        for panel in ["Empty panel", "Empty panel, 60 Hz"] {
            screen(browser, SCREENS[0]).await?;
            browser.open_job(panel).await?;
            for size in SCREENS.into_iter().take(2) {
                screen(browser, size).await?;
                let found = sheets_of_an_empty_panel(browser, size.3).await?;
                faults.extend(found.into_iter().map(|fault| format!("{panel}, {} px wide, {fault}", size.0)));
            }
        }
        ensure!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
        Ok(())
    });
}

/// Each job has a station of its own: selectors with two positions and three, an emergency stop, up to six buttons.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_station_of_every_job_is_well_drawn() {
    with_browser("layout-stations", View::Desk, async |browser| {
        let mut faults = Vec::new();
        let jobs = shipped::all().map(|(_, text)| Scenario::parse(text).expect("a shipped scenario reads"));
        // The main job, which is open at first, is looked at on all screens above.
        let others = jobs.filter(|job| {
            job.fault_finding.is_none() && !job.requirements.is_empty() && job.id != paddle().id
        });
        for job in others {
            screen(browser, SCREENS[0]).await?;
            browser.open_job(&job.title).await?;
            browser.sheet("Commissioning").await?;
            for size in SCREENS.into_iter().take(2) {
                screen(browser, size).await?;
                browser.frames(3).await?;
                let found = browser.badly_drawn().await?;
                faults.extend(
                    found.into_iter().map(|fault| format!("{}, {} px wide: {fault}", job.id, size.0)),
                );
            }
        }
        ensure!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
        Ok(())
    });
}

/// What is badly drawn, too small to be pressed or a heading of nothing, on all sheets of the job that is open.
async fn sheets_of_an_empty_panel(browser: &Browser, by_finger: bool) -> Result<Vec<String>> {
    let mut faults = Vec::new();
    for sheet in browser.sheets().await? {
        browser.sheet(&sheet).await?;
        browser.frames(3).await?;
        faults.extend(browser.badly_drawn().await?.into_iter().map(|fault| format!("{sheet}: {fault}")));
        let targets = browser.targets().await?;
        let small = targets.iter().filter(|target| !large_enough(target, by_finger));
        faults.extend(small.map(|target| format!("{sheet}: {target:?}")));
        // A heading has something under it.
        let bare = "[...document.querySelectorAll('main :is(h2, h3)')].filter((h) => h.checkVisibility()
            && !h.parentElement.innerText.replace(h.innerText, '').trim()).map((h) => h.innerText)";
        let bare = browser.evaluate(bare).await?;
        ensure!(bare == serde_json::json!([]), "{sheet}: {bare} with nothing under it");
    }
    Ok(faults)
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn what_is_pressed_is_large_enough_and_within_reach() {
    with_browser("targets", View::Desk, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        let mut faults = Vec::new();
        for size in &SCREENS[..3] {
            screen(browser, *size).await?;
            for sheet in browser.sheets().await? {
                browser.sheet(&sheet).await?;
                for unfolded in [false, true] {
                    if unfolded {
                        browser.unfold().await?;
                    }
                    let place = format!("{sheet}, {} px wide", size.0);
                    let targets = browser.targets().await?;
                    ensure!(targets.len() > 7, "{place}: only {targets:?}");
                    let small = targets.iter().filter(|target| !large_enough(target, size.3));
                    faults.extend(small.map(|t| format!("{place}: {t:?}")));
                    let hidden = browser.out_of_reach().await?;
                    faults.extend(hidden.into_iter().map(|fault| format!("{place}: {fault}")));
                }
            }
        }
        ensure!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
        Ok(())
    });
}

/// The eye sees what it should: the same page, spoilt in each way.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_eye_sees_what_is_wrong() {
    with_browser("layout-control", View::Desk, async |browser| {
        browser.open("").await?;
        browser.role("main").named("Brief").find().await?;
        ensure!(browser.badly_drawn().await?.is_empty() && browser.out_of_reach().await?.is_empty());
        let spoil = "(() => {
            const sheet = new CSSStyleSheet();
            sheet.replaceSync(`
                h1 { width: 60px; overflow: hidden; white-space: nowrap }
                h2 { position: relative; top: 26px }
                .title-job { margin-inline-end: -60px; transform: translateX(2000px) }
                .list button { height: 12px; min-height: 0 }
                .attempt-buttons { position: fixed; top: -400px }
            `);
            document.adoptedStyleSheets = [sheet];
            return true;
        })()";
        ensure!(browser.evaluate(spoil).await? == true);
        let drawn = browser.badly_drawn().await?;
        for fault in ["lie on one another", " cuts ", "is beside the screen"] {
            ensure!(drawn.iter().any(|line| line.contains(fault)), "{fault:?} is not among {drawn:?}");
        }
        let small =
            browser.targets().await?.into_iter().filter(|target| !large_enough(target, false)).count();
        ensure!(small >= 6, "{small} small targets");
        let hidden = browser.out_of_reach().await?;
        ensure!(hidden.iter().any(|line| line.contains("Save as a file")), "{hidden:?}");
        Ok(())
    });
}

/// 44 px where fingers press (WCAG 2.5.5), 24 px elsewhere and within a line of text (WCAG 2.5.8); half a pixel is rounding.
fn large_enough(target: &Target, touch: bool) -> bool {
    let least = if touch && !target.inline { 43.5 } else { 23.5 };
    let excepted = SMALL_ON_TOUCH.iter().any(|(what, _)| *what == target.what);
    target.width.min(target.height) >= least || (target.drawn && excepted)
}

/// Where a picture is kept.
fn picture(name: &str) -> PathBuf {
    xtask::paths::target().join("pictures").join(format!("{name}.png"))
}
