//! What a frame of the page costs, by the browser's own counters.

use anyhow::{Context, Result, ensure};
use serde::Deserialize;
use serde_json::json;

use super::session::Browser;

/// The cost of a frame.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct FrameCost {
    /// Changes of the document: texts, attributes, nodes.
    pub writes: u32,
    /// Renders of components that were asked for.
    pub renders: u32,
    /// Time of the main thread until it is painted, ms; none if the next frame was there before.
    pub ms: Option<f64>,
}

impl Browser {
    /// Counts from the next page on that is opened.
    pub async fn count_frames(&self) -> Result<()> {
        self.cdp("Performance.enable", json!({})).await?;
        let script = json!({ "source": include_str!("page/frames.js") });
        self.cdp("Page.addScriptToEvaluateOnNewDocument", script).await.map(drop)
    }

    /// The costs of the next frames.
    pub async fn frame_costs(&self, count: usize) -> Result<Vec<FrameCost>> {
        let costs: Vec<FrameCost> =
            serde_json::from_value(self.evaluate(&format!("frameCosts.of({count})")).await?)?;
        ensure!(costs.len() == count, "{} frames of {count}", costs.len());
        Ok(costs)
    }

    /// Frames since the page was opened.
    pub async fn frame_count(&self) -> Result<u64> {
        self.evaluate("frameCosts.total").await?.as_u64().context("a count")
    }

    /// Layouts since the page was opened.
    pub async fn layout_count(&self) -> Result<u64> {
        let metrics = self.cdp("Performance.getMetrics", json!({})).await?;
        let mut all = metrics["metrics"].as_array().into_iter().flatten();
        let layouts =
            all.find(|metric| metric["name"] == "LayoutCount").context("the browser counts layouts")?;
        layouts["value"].as_f64().map(|count| count as u64).context("a count")
    }

    /// Slows the processor down by this factor, as a small machine would; 1 is as it is.
    pub async fn slow_down(&self, factor: f64) -> Result<()> {
        self.cdp("Emulation.setCPUThrottlingRate", json!({ "rate": factor })).await.map(drop)
    }
}
