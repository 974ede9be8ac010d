//! `cargo xtask mutate-designs`: whether wrong designs lose marks.
//!
//! The mutants, their marks and what became of them are in the tests crate (`tests/src/mutants.rs`), compiled as a release.

use anyhow::{Context, Result, bail};

use crate::cli::WrongUsage;
use crate::run;

/// What `mutate-designs` takes.
#[derive(clap::Args, Debug)]
pub struct Options {
    /// One job; without it, all that have marks
    #[arg(long)]
    scenario: Option<String>,
    /// Most mutants of a job
    #[arg(long)]
    most: Option<u64>,
    /// Most states of an exploration that holds a mutant against the reference
    #[arg(long)]
    states: Option<u64>,
    /// One JSON object a job
    #[arg(long)]
    json: bool,
}

/// Marks single edits of every reference.
///
/// # Errors
/// If too few of them lose marks, or one keeps them that is not listed in `tests/cases/mutants`.
pub fn run(options: &Options) -> Result<()> {
    let mut cargo = run::cargo();
    cargo.args(["run", "--quiet", "--release", "--package", "sealin-tests", "--no-default-features"]);
    cargo.args(["--bin", "sealin-mutants", "--"]);
    if let Some(scenario) = &options.scenario {
        cargo.args(["--scenario", scenario]);
    }
    for (name, number) in [("--most", options.most), ("--states", options.states)] {
        if let Some(number) = number {
            cargo.args([name, &number.to_string()]);
        }
    }
    if options.json {
        cargo.arg("--json");
    }
    match cargo.status().context("could not start cargo")?.code() {
        Some(0) => Ok(()),
        Some(2) => Err(WrongUsage.into()),
        Some(1) => bail!("too few wrong designs lose marks, or one that keeps them is not listed"),
        _ => bail!("the wrong designs could not be marked"),
    }
}
