//! The job's documents on paper: every document has its sheets, numbered, whole, and of the paper's size.
//!
//! What a print must have is known by hand: the list of documents, the sizes of paper (ISO 216), and what was done in the
//! attempt that is opened. Sheets are counted in the file of the print itself, and on the page as it is laid out for paper.

use anyhow::{Context, Result, ensure};
use sealin_core::{BenchAct, Measurement};
use sealin_tests::browser::{Browser, View, with_browser};
use sealin_tests::generate::{paddle, with_reference};
use serde_json::Value;
use std::path::{Path, PathBuf};

/// The documents of a job, in their order.
const DOCUMENTS: [&str; 14] = [
    "Brief and cautions",
    "Devices, plates and settings",
    "Required behaviour",
    "Panel layout as built",
    "Circuit diagram as built",
    "Wiring schedule",
    "I/O list",
    "Program, ladder",
    "Program, structured text",
    "Test record",
    "Check results",
    "Marks and evidence",
    "Fault table",
    "Hand-over",
];

/// Sizes laid across, mm (ISO 216).
const SIZES: [(&str, f64, f64); 2] = [("A4", 297.0, 210.0), ("A3", 420.0, 297.0)];

/// An attempt at the reference with some of the tests recorded, as a file: all marks but the 8 for answers.
fn finished() -> Result<PathBuf> {
    let say = |error: String| anyhow::anyhow!(error);
    let mut session = with_reference(&paddle());
    session.set_author("A. Weir");
    session.set_started("2026-11-27T12:00:00.000Z");
    session
        .bench_act(BenchAct::parse("open QB1").map_err(|found| anyhow::anyhow!("{found:?}"))?)
        .map_err(say)?;
    session.advance(100);
    session.record("locked", "A. Weir").map_err(say)?;
    session.record("dial FC1", "8200").map_err(say)?;
    for (word, places) in [("continuity", ["XE1:1", "MA1:PE"]), ("insulation", ["MA1:U1", "XE1:1"])] {
        let what = Measurement::parse(word, &places.map(String::from)).map_err(say)?;
        session.measure(what).map_err(say)?;
    }
    let path = folder().join("finished.attempt.json");
    std::fs::create_dir_all(folder())?;
    std::fs::write(&path, session.export().map_err(say)?.to_json())?;
    Ok(path)
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join("print")
}

/// The browser's own print dialog belongs to the machine, not to the page: that it was asked for is counted.
const ASKED: &str = "window.asked = 0; window.print = () => { window.asked += 1; };";

/// Chooses documents and paper on a sheet, and has them printed.
async fn ask_for(browser: &Browser, documents: &str, paper: &str) -> Result<()> {
    let before = browser.evaluate("window.asked").await?.as_i64().unwrap_or_default();
    browser.role("combobox").named("Documents").find().await?.choose(documents).await?;
    browser.role("combobox").named("Paper").find().await?.choose(&format!("{paper} across")).await?;
    browser.button("Print").await?.click().await?;
    browser.until(&format!("window.asked === {}", before + 1)).await
}

/// Pages of a file, each with width and height in points: the browser writes its pages in plain text.
fn pages(pdf: &[u8]) -> Vec<(f64, f64)> {
    let text = String::from_utf8_lossy(pdf);
    let of_page = |object: &str| {
        let is_page = object
            .match_indices("/Type /Page")
            .any(|(at, found)| !object[at + found.len()..].starts_with('s'));
        let (_, rest) = object.split_once("/MediaBox [").filter(|_| is_page)?;
        let sides: Vec<f64> =
            rest.split(']').next()?.split_whitespace().filter_map(|side| side.parse().ok()).collect();
        Some((*sides.get(2)?, *sides.get(3)?))
    };
    text.split("endobj").filter_map(of_page).collect()
}

/// What is seen of each sheet on the page as it is laid out for paper: name, heading, overflow, size in mm.
const SHEETS: &str = "[...document.querySelectorAll('body section[aria-label^=\"Sheet \"]')]
    .filter(sheet => sheet.checkVisibility())
    .map(sheet => {
        const box = sheet.getBoundingClientRect();
        const spills = [sheet, ...sheet.querySelectorAll('*')].filter(one => !(one instanceof SVGElement)
            && one.checkVisibility() && (one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1)
            && getComputedStyle(one).display !== 'inline' && !['TR', 'THEAD', 'TBODY'].includes(one.tagName));
        const texts = document.createTreeWalker(sheet, NodeFilter.SHOW_TEXT);
        let least = 99;
        while (texts.nextNode()) {
            const parent = texts.currentNode.parentElement;
            if (!texts.currentNode.data.trim() || !parent.checkVisibility()) continue;
            const scale = parent instanceof SVGElement ? Math.hypot(parent.getScreenCTM().a, parent.getScreenCTM().b) : 1;
            least = Math.min(least, parseFloat(getComputedStyle(parent).fontSize) * scale * 0.75);
        }
        const room = sheet.querySelector('.doc-room').getBoundingClientRect();
        const below = [...sheet.querySelectorAll('.doc-room *')].filter(one => one.checkVisibility() && !one.ownerSVGElement
            && one.getBoundingClientRect().bottom > room.bottom + 1
            || !one.ownerSVGElement && one.getBoundingClientRect().right > room.right + 1);
        return {
            name: sheet.getAttribute('aria-label'),
            heading: sheet.querySelector('h1').innerText,
            spills: [...spills, ...below].map(one => one.outerHTML.slice(0, 120)),
            least,
            width: box.width / 96 * 25.4,
            height: box.height / 96 * 25.4,
            text: sheet.innerText,
        };
    })";

/// What is seen of the page as it is laid out for paper.
async fn on_paper(browser: &Browser, what: &str) -> Result<Value> {
    browser.cdp("Emulation.setEmulatedMedia", serde_json::json!({ "media": "print" })).await?;
    let seen = browser.evaluate(what).await?;
    browser.cdp("Emulation.setEmulatedMedia", serde_json::json!({ "media": "" })).await?;
    Ok(seen)
}

/// The sheets that stand on the page for paper.
async fn sheets(browser: &Browser) -> Result<Vec<Value>> {
    Ok(on_paper(browser, SHEETS).await?.as_array().cloned().unwrap_or_default())
}

fn word<'a>(sheet: &'a Value, field: &str) -> &'a str {
    sheet[field].as_str().unwrap_or_default()
}

/// Every sheet is whole and numbered, and every document has one.
fn check(sheets: &[Value], (paper, width, height): (&str, f64, f64)) -> Result<()> {
    let of = sheets.len();
    for (n, sheet) in sheets.iter().enumerate() {
        let name = word(sheet, "name");
        ensure!(name.starts_with(&format!("Sheet {} of {of}: ", n + 1)), "{name}");
        ensure!(name.ends_with(word(sheet, "heading")), "{name}: {}", sheet["heading"]);
        ensure!(sheet["spills"].as_array().is_some_and(Vec::is_empty), "{paper} {name}: {}", sheet["spills"]);
        let (w, h) = (sheet["width"].as_f64().unwrap_or(1e9), sheet["height"].as_f64().unwrap_or(1e9));
        ensure!(w <= width + 0.1 && h <= height + 0.1, "{paper} {name}: {w} x {h} mm");
        let least = sheet["least"].as_f64().unwrap_or(0.0);
        ensure!(least >= 6.95, "{paper} {name}: letters of {least} pt");
        ensure!(word(sheet, "text").contains("Training model"), "{name} lacks the caution");
    }
    for title in DOCUMENTS {
        let own = sheets.iter().filter(|sheet| word(sheet, "heading").starts_with(title));
        ensure!(own.count() > 0, "{paper}: no sheet of {title}");
    }
    Ok(())
}

/// Prints what is on the page, by the size that it asks for and by the size of the paper in the tray.
async fn print(browser: &Browser, name: &str, size: (&str, f64, f64), sheets: usize) -> Result<()> {
    let (paper, width, height) = size;
    for by_page in [true, false] {
        let pdf = browser.print((width / 10.0, height / 10.0), by_page).await?;
        std::fs::write(folder().join(format!("{name}-{paper}.pdf")), &pdf)?;
        let pages = pages(&pdf);
        ensure!(pages.len() == sheets, "{name} {paper}: {} pages for {sheets} sheets", pages.len());
        for (w, h) in pages {
            let (w, h) = (w / 72.0 * 25.4, h / 72.0 * 25.4);
            ensure!((w - width).abs() < 1.0 && (h - height).abs() < 1.0, "{name} {paper}: {w} x {h} mm");
        }
    }
    Ok(())
}

async fn the_set(browser: &Browser, name: &str) -> Result<()> {
    for size in SIZES {
        ask_for(browser, "all, the whole set", size.0).await?;
        let seen = sheets(browser).await?;
        check(&seen, size).with_context(|| name.to_string())?;
        print(browser, name, size, seen.len()).await?;
    }
    // With the next touch of the page the documents are gone.
    browser.move_to(5, 5).await?;
    browser.until("document.querySelectorAll('section[aria-label^=\"Sheet \"]').length === 0").await
}

/// The sheet in view, as the browser's own print command takes it: black ink by night, too, and no buttons.
async fn plain(browser: &Browser) -> Result<()> {
    let seen = on_paper(
        browser,
        "({ ink: getComputedStyle(document.querySelector('main')).color,
            buttons: [...document.querySelectorAll('main button')].filter(one => one.checkVisibility()).length,
            marks: document.querySelector('main').innerText.includes('112 of 120 marks') })",
    )
    .await?;
    ensure!(seen == serde_json::json!({ "ink": "rgb(0, 0, 0)", "buttons": 0, "marks": true }), "{seen}");
    Ok(())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_untouched_job_on_paper() {
    with_browser("print-untouched", View::Desk, async |browser| {
        browser.open("").await?;
        browser.role("main").named("Brief").find().await?;
        std::fs::create_dir_all(folder())?;
        browser.evaluate(ASKED).await?;
        the_set(browser, "untouched").await?;

        // One check by itself: its result is in print, and that it stands alone. The job as it is handed out has no lamp in
        // its program, so R14 is broken (paddle-panel.md, section 6).
        browser.sheet("Commissioning").await?;
        browser.button("Run R14").await?.click().await?;
        browser.until_text("R14: broken").await?;
        browser.sheet("Sign-off").await?;
        ask_for(browser, "Check results", "A4").await?;
        let text: String =
            sheets(browser).await?.iter().map(|sheet| word(sheet, "text").to_string()).collect();
        for wanted in ["Run one by one, of the work as it is printed here: R14.", "✗", "○ not tried"] {
            ensure!(text.contains(wanted), "{wanted} in the check results: {text}");
        }
        Ok(())
    });
}

/// The finished job, by night: what was recorded stands in it, one document can be had alone with its own numbers, and
/// the plain print of a sheet has ink on it and no buttons.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_finished_job_on_paper() {
    with_browser("print-finished", View::Desk, async |browser| {
        let file = finished()?;
        browser.open("#sign-off").await?;
        browser.evaluate(ASKED).await?;
        browser.role("combobox").named("light").find().await?.choose("night").await?;
        browser.give_file("input[type=file]", &file).await?;
        browser.until_text("has been opened").await?;
        browser.button("Run all checks").await?.click().await?;
        browser.until_text("112 of 120 marks").await?;
        the_set(browser, "finished").await?;

        ask_for(browser, "Test record", "A4").await?;
        let alone = sheets(browser).await?;
        let text: String = alone.iter().map(|sheet| word(sheet, "text")).collect();
        ensure!(alone.iter().all(|sheet| word(sheet, "heading").starts_with("Test record")));
        ensure!(!word(&alone[0], "name").starts_with("Sheet 1 of"), "it keeps its number in the set");
        // The continuity of the protective conductor and 8.2 A on the dial; who locked it off; what is still open.
        for wanted in ["2026-11-27 A.W.", "8.2\u{a0}A", "MA1:PE", "○ open", "✓ as it should be"] {
            ensure!(text.contains(wanted), "{wanted} in the test record: {text}");
        }
        browser.move_to(5, 5).await?;
        ask_for(browser, "Hand-over", "A4").await?;
        let text: String =
            sheets(browser).await?.iter().map(|sheet| word(sheet, "text").to_string()).collect();
        for wanted in ["QA1:14 – KF1:I4", "taken over by", "QA1_out"] {
            ensure!(text.contains(wanted), "{wanted} in the hand-over: {text}");
        }
        browser.move_to(5, 5).await?;
        plain(browser).await
    });
}
