//! An outside oracle for accessibility: axe-core, fetched by npm at the version and hash of `tests/axe/package-lock.json`.
//!
//! It is no part of the site, and of this repository only its name, version and hash are.

use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, bail, ensure};
use serde::Deserialize;

use super::session::Browser;

/// A rule that is broken, with the places.
#[derive(Clone, Debug, Deserialize)]
pub struct Finding {
    /// Id of the rule.
    pub rule: String,
    /// `minor`, `moderate`, `serious` or `critical`.
    pub impact: String,
    /// Each place: what is there, and what is wrong with it.
    pub places: Vec<String>,
}

impl Browser {
    /// All that breaks a rule of WCAG 2.0, 2.1 or 2.2, level A or AA, on the page as it stands.
    ///
    /// # Errors
    /// If axe-core cannot be had, or does not run.
    pub async fn accessibility_findings(&self) -> Result<Vec<Finding>> {
        if self.evaluate("typeof axe").await? == "undefined" {
            self.evaluate(&format!("{};0", axe_core()?)).await?;
        }
        let findings = self
            .evaluate(
                "axe.run(document, {
                    resultTypes: ['violations'],
                    runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'],
                }).then(({ violations }) => violations.map(({ id, impact, nodes }) => ({
                    rule: id, impact,
                    places: nodes.map((node) => `${node.html.slice(0, 160)}: ${node.failureSummary}`),
                })))",
            )
            .await?;
        serde_json::from_value(findings).context("the findings of axe-core")
    }
}

/// Its source; fetched once into `target/axe`.
fn axe_core() -> Result<String> {
    let dir = xtask::paths::target().join("axe");
    let lock = Path::new(env!("CARGO_MANIFEST_DIR")).join("axe");
    let file = dir.join("node_modules/axe-core/axe.min.js");
    let wanted = std::fs::read(lock.join("package-lock.json"))?;
    std::fs::create_dir_all(&dir)?;
    // One test fetches, the others wait.
    let turn = std::fs::File::create(dir.join("turn"))?;
    turn.lock()?;
    if !file.is_file() || std::fs::read(dir.join("package-lock.json")).ok().as_ref() != Some(&wanted) {
        fetch(&lock, &dir)?;
    }
    std::fs::read_to_string(&file).with_context(|| format!("{} cannot be read", file.display()))
}

fn fetch(lock: &Path, dir: &Path) -> Result<()> {
    let Some(npm) = xtask::run::find_program("npm") else {
        bail!("there is no npm to fetch axe-core with; on Debian: apt-get install nodejs npm");
    };
    for name in ["package.json", "package-lock.json"] {
        std::fs::copy(lock.join(name), dir.join(name))?;
    }
    // `ci` takes exactly what the lock names, and refuses it if its hash is another.
    let status = Command::new(npm)
        .args(["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"])
        .current_dir(dir)
        .status()
        .context("npm could not be run")?;
    ensure!(status.success(), "npm could not fetch axe-core; it needs a network the first time");
    Ok(())
}
