//! `sealin attempt SCENARIO OUT.json`: an attempt from parts, so that any design can be tried and marked from outside.

use crate::input::{Work, text};
use crate::{Answer, run};
use std::path::PathBuf;

/// Options of `attempt`.
#[derive(clap::Args)]
pub struct Make {
    /// Path to a scenario file or folder, or the id of a shipped one.
    scenario: String,
    /// File to write.
    #[arg(value_name = "OUT.json")]
    out: PathBuf,
    #[command(flatten)]
    work: Work,
    /// Script of what is done on the bench after the work.
    #[arg(long, value_name = "FILE")]
    steps: Option<PathBuf>,
    /// Name on the attempt.
    #[arg(long, default_value = "")]
    author: String,
}

impl Make {
    /// Writes the file.
    pub fn run(self) -> Result<Answer, String> {
        let mut session = self.work.session(&self.scenario)?;
        session.set_author(&self.author);
        if let Some(path) = &self.steps {
            run::play(&text(path)?, path, &mut session)?;
        }
        let attempt = session.export()?;
        std::fs::write(&self.out, attempt.to_json()).map_err(|e| format!("{}: {e}", self.out.display()))?;
        println!("{}: {} entries", self.out.display(), attempt.entries.len());
        Ok(Answer::Yes)
    }
}
