//! `sealin new ID`: a folder with a small whole scenario to start from.

use crate::Answer;
use std::path::PathBuf;

/// Options of `new`.
#[derive(clap::Args)]
pub struct New {
    /// Name of the scenario and of its folder: small letters, digits and hyphens.
    id: String,
    /// Folder in which it is made.
    #[arg(long, value_name = "DIR", default_value = ".")]
    into: PathBuf,
    /// A job of fault finding, on the panel of a job that ships.
    #[arg(long)]
    fault_finding: bool,
}

/// Name and text of each file; `ID` stands where the id goes.
const FILES: &[(&str, &str)] = &[
    ("scenario.toml", include_str!("new/scenario.toml")),
    ("reference.st", include_str!("new/reference.st")),
    ("reference.wires.toml", include_str!("new/reference.wires.toml")),
];

/// The same of a job of fault finding: its panel has a reference elsewhere.
const FAULT_FINDING: &[(&str, &str)] = &[("scenario.toml", include_str!("new/fault-finding.toml"))];

impl New {
    /// Writes the files into a new folder; one that is there already is left alone.
    pub fn run(self) -> Result<Answer, String> {
        let letter = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
        if self.id.is_empty() || self.id.len() > 60 || !self.id.bytes().all(letter) {
            return Err(format!("`{}`: small letters, digits and hyphens are expected, at most 60", self.id));
        }
        let folder = self.into.join(&self.id);
        std::fs::create_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        let files = if self.fault_finding { FAULT_FINDING } else { FILES };
        for (name, text) in files {
            let file = folder.join(name);
            let text = text.replacen("\"ID\"", &format!("\"{}\"", self.id), 1);
            std::fs::write(&file, text).map_err(|e| format!("{}: {e}", file.display()))?;
        }
        let folder = folder.display();
        let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
        println!("{folder}: {}; go on with `sealin check {folder}`", names.join(", "));
        Ok(Answer::Yes)
    }
}
