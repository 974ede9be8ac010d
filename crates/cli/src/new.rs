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
}

/// Name and text of each file; `ID` stands where the id goes.
const FILES: [(&str, &str); 3] = [
    ("scenario.toml", include_str!("new/scenario.toml")),
    ("reference.st", include_str!("new/reference.st")),
    ("reference.wires.toml", include_str!("new/reference.wires.toml")),
];

impl New {
    /// Writes the files into a new folder; one that is there already is left alone.
    pub fn run(self) -> Result<Answer, String> {
        let letter = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
        if self.id.is_empty() || self.id.len() > 60 || !self.id.bytes().all(letter) {
            return Err(format!("`{}`: small letters, digits and hyphens are expected, at most 60", self.id));
        }
        let folder = self.into.join(&self.id);
        std::fs::create_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        for (name, text) in FILES {
            let file = folder.join(name);
            let text = text.replacen("\"ID\"", &format!("\"{}\"", self.id), 1);
            std::fs::write(&file, text).map_err(|e| format!("{}: {e}", file.display()))?;
        }
        let folder = folder.display();
        println!(
            "{folder}: scenario.toml, reference.st, reference.wires.toml; go on with `sealin check {folder}`"
        );
        Ok(Answer::Yes)
    }
}
