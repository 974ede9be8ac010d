//! `sealin seal SCENARIO [OUT]`: a job of fault finding that may be given away, with what is hidden in it sealed.

use crate::{Answer, input};
use sealin_exercise::scenario;
use std::path::{Path, PathBuf};

/// Options of `seal`.
#[derive(clap::Args)]
pub struct Seal {
    /// Path to a scenario file or folder in which [[fault_finding.hidden]] stands openly.
    scenario: String,
    /// Where the sealed file goes; without it, to standard output. The open file is yours to keep: it cannot be made again by this tool.
    #[arg(value_name = "OUT")]
    out: Option<PathBuf>,
}

impl Seal {
    /// Writes the sealed text. Nothing is written where something is wrong.
    pub fn run(self) -> Result<Answer, String> {
        let (place, text) = input::scenario_text(&self.scenario)?;
        let sealed = scenario::seal(&text).map_err(|why| format!("{place}: {why}"))?;
        let Some(out) = self.out else {
            print!("{sealed}");
            return Ok(Answer::Yes);
        };
        if is_same_file(Path::new(&place), &out) {
            return Err(format!(
                "{place}: the open file would be lost; another place is expected for the sealed one"
            ));
        }
        std::fs::write(&out, sealed).map_err(|e| format!("{}: {e}", out.display()))?;
        println!("{}: sealed; keep {place} to yourself", out.display());
        Ok(Answer::Yes)
    }
}

fn is_same_file(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}
