//! Opening an attempt that was made beforehand, so that a test begins where it is interesting.

use std::path::PathBuf;

use anyhow::{Context, Result};
use sealin_exercise::attempt::Attempt;

use super::session::Browser;

/// The bench time in the title block, `00:01:02.345`, in ms.
const BENCH_MS: &str = "[...document.querySelectorAll('dt')].find((dt) => dt.textContent === 'bench time')
    .nextElementSibling.textContent.split(/[:.]/).reduce((sum, part, at) => sum * [0, 60, 60, 1000][at] + Number(part), 0)";

impl Browser {
    /// Opens the page with this attempt, as a person does who was given it as a file.
    pub async fn open_attempt(&self, attempt: &Attempt) -> Result<()> {
        self.open("").await?;
        self.sheet("Sign-off").await?;
        let dir = tempfile::tempdir()?;
        let file = dir.path().join("work.attempt.json");
        std::fs::write(&file, attempt.to_json())?;
        self.give_file("input[type=file]", &file).await?;
        self.until_text("The attempt has been opened").await?;
        self.button("Close").await?.click().await
    }

    /// The attempt as the page saves it, from a sheet that offers it.
    pub async fn save(&self) -> Result<PathBuf> {
        self.button("Save as a file").await?.click().await?;
        self.downloaded().await
    }

    /// The seed that the page has drawn for the attempt on the bench.
    pub async fn seed(&self) -> Result<u64> {
        self.sheet("Sign-off").await?;
        let file = self.save().await?;
        let attempt = Attempt::parse(&std::fs::read_to_string(&file)?)?;
        std::fs::remove_file(file)?;
        Ok(attempt.head.seed)
    }

    /// The bench time in the title block, ms.
    pub async fn bench_ms(&self) -> Result<u64> {
        self.evaluate(BENCH_MS).await?.as_u64().context("the title block tells the bench time")
    }

    /// Waits until the bench has come to a time, ms: on a slow machine it is behind that of the wall.
    pub async fn until_bench_ms(&self, ms: u64) -> Result<()> {
        self.until(&format!("{BENCH_MS} >= {ms}")).await
    }

    /// Opens the job with the empty panel, as it is handed out.
    pub async fn open_empty_panel(&self) -> Result<()> {
        self.open_job("Empty panel").await
    }

    /// Opens the page and a job of its list, as it is handed out.
    pub async fn open_job(&self, title: &str) -> Result<()> {
        self.open("#brief").await?;
        self.button(&format!("Open {title}")).await?.click().await?;
        self.until_text(&format!("{title} is open")).await?;
        self.button("Close").await?.click().await
    }
}
