//! What a frame costs with the motor running: the live layer writes its nodes and nothing is rendered, little is written, and
//! the page is laid out once. Counts, by the browser's own counters.

use anyhow::ensure;
use sealin_tests::browser::{View, with_browser};
use sealin_tests::generate::{at_work, paddle};

/// Frames that are counted on each sheet.
const FRAMES: usize = 90;
/// Most changes of the document in a frame.
const MOST_WRITES: u32 = 60;

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_frame_renders_nothing_writes_little_and_is_laid_out_once() {
    with_browser("frame", View::Desk, async |browser| {
        browser.count_frames().await?;
        browser.open_attempt(&at_work(&paddle())).await?;
        for sheet in browser.sheets().await? {
            browser.sheet(&sheet).await?;
            // What the sheet does when it is opened is no matter of every frame.
            browser.frame_costs(30).await?;
            let (frames, layouts) = (browser.frame_count().await?, browser.layout_count().await?);
            let costs = browser.frame_costs(FRAMES).await?;
            let layouts = browser.layout_count().await? - layouts;
            let frames = browser.frame_count().await? - frames;
            let most = costs.iter().map(|cost| cost.writes).max();
            let renders: u32 = costs.iter().map(|cost| cost.renders).sum();
            eprintln!(
                "{sheet}: {most:?} writes at most, {renders} renders, {layouts} layouts in {frames} frames"
            );
            ensure!(most <= Some(MOST_WRITES), "{sheet}: a frame changes the document {most:?} times");
            ensure!(renders == 0, "{sheet}: {renders} renders in {FRAMES} frames");
            ensure!(layouts <= frames, "{sheet}: {layouts} layouts in {frames} frames");
            // The bench time moves in every one.
            ensure!(costs.iter().all(|cost| cost.writes > 0), "{sheet}: the counter sees no writes");
        }
        // The counter sees a render when there is one: a trip adds a line to what happened.
        browser.sheet("Commissioning").await?;
        browser.button("Test").await?.click().await?;
        browser.until("frameCosts.list.some(({ renders }) => renders > 0)").await
    });
}
