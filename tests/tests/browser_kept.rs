//! Several attempts in one browser: begun anew, opened again, named, doubled, deleted and put back; and one that a link carries.

use anyhow::{Context, Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};

/// Presses and lets go of the supply switch, which is one act.
async fn switch_supply(browser: &Browser) -> Result<()> {
    browser.sheet("Commissioning").await?;
    browser.role("switch").starting("Supply").find().await?.click().await?;
    browser.sheet("Brief").await
}

/// Names of the attempts in the list, from the buttons that open what there is more to do with them.
async fn kept(browser: &Browser) -> Result<Vec<String>> {
    let mut names = Vec::new();
    for more in browser.role("DisclosureTriangle").starting("More to do with ").all().await? {
        let name = more.attribute("aria-label").await?.unwrap_or_default();
        names.push(name.trim_start_matches("More to do with ").to_string());
    }
    Ok(names)
}

/// Waits until so many attempts are in the list.
async fn until_kept(browser: &Browser, count: usize) -> Result<()> {
    browser.until(&format!("document.querySelectorAll('.kept-line').length === {count}")).await
}

async fn more(browser: &Browser, of: &str, act: &str) -> Result<()> {
    let line = browser.role("DisclosureTriangle").named(&format!("More to do with {of}")).find().await?;
    if line.state("expanded").await? != true {
        line.click().await?;
    }
    browser.button(&format!("{act}: {of}")).await?.click().await
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn attempts_lie_beside_each_other() {
    with_browser("kept", View::Desk, async |browser| {
        browser.open("#brief").await?;
        switch_supply(browser).await?;
        browser.button("New attempt").await?.click().await?;
        browser.until_text("The job has been started over").await?;
        switch_supply(browser).await?;
        until_kept(browser, 2).await?;

        let first = kept(browser).await?[0].clone();
        more(browser, &first, "Rename").await?;
        browser.insert_text("second go").await?;
        browser.key(Key::Enter).await?;
        browser.until_text("second go").await?;
        more(browser, "second go", "Duplicate").await?;
        browser.until_text("second go (copy)").await?;
        until_kept(browser, 3).await?;

        more(browser, "second go (copy)", "Delete").await?;
        browser.until_text("Deleted: second go (copy)").await?;
        until_kept(browser, 2).await?;
        browser.button("Put back").await?.click().await?;
        until_kept(browser, 3).await?;

        // The other one has its one act, also after the page was opened anew; and what was on the bench last is there again.
        browser.button("Open second go (copy)").await?.click().await?;
        browser.until_text("The attempt is open").await?;
        browser.reload().await?;
        browser.until_text("second go (copy)").await?;
        ensure!(browser.role("button").with("Open second go (copy)").all().await?.is_empty(), "it is open");
        more(browser, "second go", "Delete").await?;
        browser.until_text("Deleted: second go.").await?;
        browser.reload().await?;
        until_kept(browser, 2).await?;
        let left = kept(browser).await?;
        ensure!(!left.contains(&"second go".to_string()), "it is gone for good: {left:?}");
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_link_carries_an_attempt() {
    with_browser("link", View::Phone, async |browser| {
        browser.open("#commissioning").await?;
        browser.role("switch").starting("Supply").find().await?.tap().await?;
        browser.open("#brief").await?;
        browser.button("Your attempt and the way through the job").await?.tap().await?;
        let make = browser.role("button").with("Make a link").first().await?;
        make.tap().await?;
        let field = browser.role("textbox").starting("The link carries").find().await?;
        let link = field.value().await?;
        let fragment = link.split_once('#').context("a fragment")?.1;
        browser.open(&format!("#{fragment}")).await?;
        browser.until_text("The attempt has been opened: 2 acts").await?;
        browser.open(&format!("#{}", &fragment[..fragment.len() - 20])).await?;
        browser.until_text("The link does not carry an attempt").await?;
        Ok(())
    });
}
