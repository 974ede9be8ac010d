//! The page comes up in a real browser, on a desk and on a phone, under its policy and without a network.

use anyhow::{Result, ensure};
use sealin_tests::browser::{Browser, View, with_browser};

async fn comes_up(browser: &Browser) -> Result<()> {
    browser.open("").await?;
    browser.role("heading").first().await?;
    ensure!(!browser.text().await?.contains("could not be loaded"), "the page says that it failed");
    Ok(())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_page_comes_up_on_a_desk() {
    with_browser("smoke-desk", View::Desk, async |browser| {
        comes_up(browser).await?;
        let size = browser.evaluate("`${innerWidth}x${innerHeight}`").await?;
        ensure!(size == "1440x900", "the window is {size}");
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_page_comes_up_on_a_phone() {
    with_browser("smoke-phone", View::Phone, async |browser| {
        comes_up(browser).await?;
        let size = browser.evaluate("`${innerWidth} ${navigator.maxTouchPoints}`").await?;
        ensure!(size == "390 5", "the window and its touch points are {size}");
        let overhang = browser.evaluate("document.documentElement.scrollWidth - innerWidth").await?;
        ensure!(overhang.as_i64() <= Some(0), "the page is {overhang} px wider than the phone");
        Ok(())
    });
}

// The harness fails a test on severe entries; this one provokes some, to know that it would.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_policy_blocks_what_it_should_and_the_console_tells() {
    with_browser("smoke-policy", View::Desk, async |browser| {
        comes_up(browser).await?;
        ensure!(browser.take_severe_entries().await?.is_empty(), "the page itself breaks no rule");
        let foreign = "new Promise((done) => {
            const script = document.createElement('script');
            script.src = 'data:text/javascript,globalThis.foreign = true';
            script.onload = script.onerror = () => done(globalThis.foreign === true);
            document.head.append(script);
        })";
        ensure!(browser.evaluate(foreign).await? == false, "a script from elsewhere ran");
        let styled = "(() => {
            const mark = document.createElement('p');
            mark.setAttribute('style', 'width: 7px');
            document.body.append(mark);
            return mark.style.width;
        })()";
        ensure!(browser.evaluate(styled).await? == "", "an inline style took effect");
        let told = browser.take_severe_entries().await?;
        let about = |word: &str| {
            told.iter().any(|entry| entry.contains("Content Security Policy") && entry.contains(word))
        };
        ensure!(about("script") && about("style"), "the console told {told:?}");
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_page_comes_up_again_without_a_network() {
    with_browser("smoke-offline", View::Desk, async |browser| {
        comes_up(browser).await?;
        browser
            .until("navigator.serviceWorker.ready.then((kept) => kept.active?.state === 'activated')")
            .await?;
        browser.stop_server();
        browser.reload().await?;
        browser.role("heading").first().await?;
        Ok(())
    });
}
