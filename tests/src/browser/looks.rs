//! How the page looks to an eye and a finger: texts on one another, what is cut, what is too small, what has the focus.

use anyhow::{Context, Result};
use serde::Deserialize;

use super::session::Browser;

/// Something that can be pressed.
#[derive(Clone, Debug, Deserialize)]
pub struct Target {
    /// Its element and class.
    pub what: String,
    /// Its name.
    pub name: String,
    /// It stands in a line of text.
    pub inline: bool,
    /// It is a part of a drawing.
    pub drawn: bool,
    /// CSS pixels.
    pub width: f64,
    /// CSS pixels.
    pub height: f64,
}

/// What has the focus, and how that shows.
#[derive(Clone, Debug, Deserialize)]
pub struct Focus {
    /// Its element, class and name.
    pub name: String,
    /// Nothing else lies over its middle.
    pub seen: bool,
    /// Width of the outline in CSS pixels.
    pub outline: f64,
    /// Contrast of the outline against what lies behind it (WCAG 2).
    pub contrast: f64,
}

impl Browser {
    /// Texts that lie on one another, are cut, stick out of their box or lie beside the screen; a line each.
    pub async fn badly_drawn(&self) -> Result<Vec<String>> {
        Ok(serde_json::from_value(self.evaluate(include_str!("page/layout.js")).await?)?)
    }

    /// Everything that can be pressed, whether it is in view or has to be scrolled to.
    pub async fn targets(&self) -> Result<Vec<Target>> {
        Ok(serde_json::from_value(self.evaluate(include_str!("page/targets.js")).await?)?)
    }

    /// What can be pressed and yet cannot be brought into view, or is covered there; a line each.
    pub async fn out_of_reach(&self) -> Result<Vec<String>> {
        Ok(serde_json::from_value(self.evaluate(include_str!("page/reach.js")).await?)?)
    }

    /// Opens every part of the sheet that can be folded away, and the drawer of a narrow screen. By a script, as it is
    /// only to be looked at.
    pub async fn unfold(&self) -> Result<()> {
        self.evaluate(include_str!("page/unfold.js")).await?;
        // What was folded away is rendered, and laid out, in the frames that follow.
        self.frames(3).await
    }

    /// Looks at every sheet, by day and by night as `nights` says in turn; `look` is told the sheet's name and whether it is
    /// night.
    pub async fn on_every_sheet(
        &self,
        nights: &[bool],
        mut look: impl AsyncFnMut(&str, bool) -> Result<()>,
    ) -> Result<()> {
        for &night in nights {
            self.prefer(night, false).await?;
            for sheet in self.sheets().await? {
                self.sheet(&sheet).await?;
                look(&sheet, night).await?;
            }
        }
        Ok(())
    }

    /// Waits for this many frames of the page.
    pub async fn frames(&self, count: u32) -> Result<()> {
        let wait = format!(
            "new Promise((done) => {{
                let left = {count};
                const next = () => (left -= 1) < 0 ? done(true) : requestAnimationFrame(next);
                next();
            }})"
        );
        self.evaluate(&wait).await.map(drop)
    }

    /// What has the focus; none if it is the page itself.
    pub async fn focus(&self) -> Result<Option<Focus>> {
        let found = self.evaluate(include_str!("page/focus.js")).await?;
        serde_json::from_value(found).context("what has the focus")
    }
}
