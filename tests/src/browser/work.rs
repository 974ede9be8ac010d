//! Opening an attempt that was made beforehand, so that a test begins where it is interesting.

use anyhow::Result;
use sealin_exercise::attempt::Attempt;

use super::session::Browser;

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
