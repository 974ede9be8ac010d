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
    /// Answer a prediction after the work: its id and the number of the answer from 1, as P1=2. Can be given several times.
    #[arg(long, value_name = "ID=N", value_parser = answer)]
    predict: Vec<(String, u32)>,
    /// Open a hint after the work. Can be given several times.
    #[arg(long, value_name = "ID")]
    hint: Vec<String>,
    /// Script of what is done on the bench after that.
    #[arg(long, value_name = "FILE")]
    steps: Option<PathBuf>,
    /// Seed of the attempt, for which a scenario with variants is dealt out; 0 leaves it as it is written. The reference is dealt
    /// out with it, a program and wires of your own are not.
    #[arg(long, default_value_t = 0)]
    seed: u64,
    /// Name on the attempt.
    #[arg(long, default_value = "")]
    author: String,
}

impl Make {
    /// Writes the file.
    pub fn run(self) -> Result<Answer, String> {
        let mut session = self.work.session(&self.scenario, self.seed)?;
        session.set_author(&self.author);
        for (prediction, answer) in &self.predict {
            session.predict(prediction, *answer)?;
        }
        for hint in &self.hint {
            session.open_hint(hint)?;
        }
        if let Some(path) = &self.steps {
            run::play(&text(path)?, path, &mut session)?;
        }
        let attempt = session.export()?;
        std::fs::write(&self.out, attempt.to_json()).map_err(|e| format!("{}: {e}", self.out.display()))?;
        println!("{}: {} entries", self.out.display(), attempt.entries.len());
        Ok(Answer::Yes)
    }
}

/// Reads `P1=2`.
fn answer(text: &str) -> Result<(String, u32), String> {
    let (id, number) =
        text.split_once('=').ok_or("an id and the number of an answer are expected, as P1=2")?;
    let number = number.parse().map_err(|_| format!("`{number}`: the number of an answer is expected"))?;
    Ok((id.to_string(), number))
}
