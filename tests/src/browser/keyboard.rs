//! The way of one who works by the keyboard alone: what has the focus, and how to bring it somewhere.

use std::time::Instant;

use anyhow::{Context, Result, bail};
use serde_json::json;
use thirtyfour::Key;

use super::PATIENCE;
use super::session::{Browser, pause};

/// Most stops of the Tab key that are passed on the way.
const MOST_STOPS: usize = 250;

impl Browser {
    /// Role and name of what has the focus, as it is announced: `("button", "Raise")`.
    ///
    /// # Errors
    /// If nothing has it but the page itself.
    pub async fn focused(&self) -> Result<(String, String)> {
        let wish = json!({ "expression": "document.activeElement" });
        let element = self.cdp("Runtime.evaluate", wish).await?["result"]["objectId"].clone();
        let wish = json!({ "objectId": element, "fetchRelatives": false });
        let node = &self.cdp("Accessibility.getPartialAXTree", wish).await?["nodes"][0];
        let word = |field: &str| node[field]["value"].as_str().unwrap_or_default().to_owned();
        if ["", "none", "generic", "RootWebArea"].contains(&word("role").as_str()) {
            bail!("nothing has the focus");
        }
        Ok((word("role"), word("name")))
    }

    /// Presses Tab until something of this role, whose name starts so, has the focus.
    ///
    /// # Errors
    /// If it is not come by.
    pub async fn tab_to(&self, role: &str, start: &str) -> Result<()> {
        let fits = |r: &str, name: &str| r == role && name.starts_with(start);
        self.tab_until(MOST_STOPS, fits).await.with_context(|| format!("on the way to {role} {start:?}"))
    }

    /// Presses Tab, this often at most, until something has the focus whose role and name fit.
    ///
    /// # Errors
    /// If it is not come by.
    pub async fn tab_until(&self, most: usize, fits: impl Fn(&str, &str) -> bool) -> Result<()> {
        for _ in 0..=most {
            if self.focused().await.is_ok_and(|(role, name)| fits(&role, &name)) {
                return Ok(());
            }
            self.key(Key::Tab).await?;
        }
        bail!("Tab does not come there in {most} stops")
    }

    /// Waits until something whose name starts so has the focus.
    ///
    /// # Errors
    /// If it has not after [`PATIENCE`].
    pub async fn until_focus(&self, start: &str) -> Result<()> {
        let end = Instant::now() + PATIENCE;
        loop {
            let focused = self.focused().await.map(|(_, name)| name).unwrap_or_default();
            if focused.starts_with(start) {
                return Ok(());
            }
            if Instant::now() > end {
                bail!("{focused:?} has the focus, not {start:?}");
            }
            pause().await;
        }
    }
}
