//! `sealin class MARKS…`: lines of marks, from wherever they were computed, as one class.

use crate::Answer;
use crate::grade::class::{Class, Row};
use crate::grade::same::Same;
use crate::grade::{Reports, outcome, tell_same};
use sealin_core::canon::from_hex;
use sealin_exercise::attempt::lines::Lines;
use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::PathBuf;

/// Options of `class`.
#[derive(clap::Args)]
pub struct Gather {
    /// Files of JSON lines as `sealin grade` writes them; `-` reads standard input. The marks are taken as they stand there.
    #[arg(required = true, value_name = "MARKS")]
    marks: Vec<PathBuf>,
    #[command(flatten)]
    reports: Reports,
}

impl Gather {
    /// Puts the class together. The answer is no when an attempt did not pass.
    pub fn run(self) -> Result<Answer, String> {
        let (mut class, mut same) = (Class::new()?, Same::default());
        for path in &self.marks {
            let told = |e: String| format!("{}: {e}", path.display());
            let reader: Box<dyn BufRead> = if path.as_os_str() == "-" {
                Box::new(BufReader::new(std::io::stdin()))
            } else {
                Box::new(BufReader::new(File::open(path).map_err(|e| told(e.to_string()))?))
            };
            for (number, line) in (1..).zip(Lines::new(reader)) {
                let row = line.and_then(|line| {
                    let value =
                        serde_json::from_slice(&line).map_err(|e| format!("no line of marks: {e}"))?;
                    Row::of(value)
                });
                let row = row.map_err(|e| told(format!("line {number}: {e}")))?;
                if row.error.is_none() && row.lines.is_empty() && row.acts_hash.is_empty() {
                    return Err(told(format!("line {number}: no line of marks: neither marks nor an error")));
                }
                if let Some(acts) = from_hex(&row.acts_hash).filter(|_| row.acts > 0) {
                    same.take(class.attempts, &acts, row.acts);
                }
                class.add(row)?;
            }
        }
        let (attempts, passed, wrong) = (class.attempts, class.passed, class.wrong);
        println!("{attempts} attempts, {passed} passed, {wrong} could not be marked");
        tell_same(&same, |number| format!("attempt {}", number + 1));
        self.reports.write(&mut class, &same)?;
        outcome(attempts, wrong, attempts - passed - wrong)
    }
}
