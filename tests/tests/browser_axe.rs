//! Every sheet held against the rules of WCAG 2.2 AA by an outside oracle, with no rule left out.

use anyhow::{Result, ensure};
use sealin_tests::browser::{Browser, View, with_browser};
use sealin_tests::generate::{at_work, paddle};

/// Every sheet of the job that is open, in both widths and lights.
async fn no_rule_is_broken(browser: &Browser) -> Result<()> {
    let mut found = Vec::new();
    for view in [View::Desk, View::Phone] {
        browser.set_view(view).await?;
        browser
            .on_every_sheet(&[false, true], async |sheet, dark| {
                // By night nothing is where it was not by day; unfolded, all of its colours show.
                let states: &[bool] = if dark { &[true] } else { &[false, true] };
                for unfolded in states {
                    if *unfolded {
                        browser.unfold().await?;
                    }
                    for finding in browser.accessibility_findings().await? {
                        if ["serious", "critical"].contains(&finding.impact.as_str()) {
                            found.push(format!(
                                "{sheet}, {view:?}, dark {dark}, unfolded {unfolded}: {finding:?}"
                            ));
                        }
                    }
                }
                Ok(())
            })
            .await?;
    }
    ensure!(found.is_empty(), "{} findings:\n{}", found.len(), found.join("\n"));
    Ok(())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn no_sheet_breaks_a_rule_of_accessibility() {
    with_browser("axe", View::Desk, async |browser| {
        browser.open_attempt(&at_work(&paddle())).await?;
        no_rule_is_broken(browser).await
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn no_sheet_of_the_empty_panel_does() {
    with_browser("axe-empty", View::Desk, async |browser| {
        browser.open_empty_panel().await?;
        no_rule_is_broken(browser).await
    });
}

/// The oracle sees what it should: a picture without a name, and words that can hardly be read.
#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_oracle_finds_what_is_wrong() {
    with_browser("axe-control", View::Desk, async |browser| {
        browser.open("").await?;
        browser.role("main").named("Brief").find().await?;
        let spoil = "(() => {
            const button = document.createElement('button');
            document.querySelector('h1').append(button);
            const sheet = new CSSStyleSheet();
            sheet.replaceSync('h2 { color: #eee }');
            document.adoptedStyleSheets = [sheet];
            return true;
        })()";
        ensure!(browser.evaluate(spoil).await? == true);
        let rules: Vec<_> =
            browser.accessibility_findings().await?.into_iter().map(|finding| finding.rule).collect();
        ensure!(rules.iter().any(|rule| rule == "button-name"), "{rules:?}");
        ensure!(rules.iter().any(|rule| rule == "color-contrast"), "{rules:?}");
        Ok(())
    });
}
