//! `cargo xtask coach-table`: whether the coach finds every kind of fault, and in how many readings.
//!
//! Hidden faults, bench and table are in the tests crate (`tests/src/coach.rs`), compiled as a release.

use anyhow::{Context, Result, bail};
use std::process::Stdio;

use crate::cli::WrongUsage;
use crate::{paths, run};

/// Where the table stands between the two lines below.
const DOCUMENT: &str = "crates/proof/COACH.md";

/// Before the table.
const BEGIN: &str = "<!-- cargo xtask coach-table -->";

/// Behind the table.
const END: &str = "<!-- end of the table -->";

/// What `coach-table` takes.
#[derive(clap::Args, Debug)]
pub struct Options {
    /// Every so manieth place only; then the table is not written
    #[arg(long)]
    of: Option<usize>,
    /// Only what shows at the machine: the search for what does not is long
    #[arg(long, conflicts_with = "of")]
    shown: bool,
}

/// Hides every kind of fault in the main job, has the coach look for it, and writes the table into its document.
///
/// # Errors
/// If the coach loses one, or needs too many readings for too many.
pub fn run(options: &Options) -> Result<()> {
    let mut cargo = run::cargo();
    cargo.args(["run", "--quiet", "--release", "--package", "sealin-tests", "--no-default-features"]);
    cargo.args(["--bin", "sealin-coach", "--"]);
    if let Some(of) = options.of {
        cargo.args(["--of", &of.to_string()]);
    }
    if options.shown {
        cargo.arg("--shown");
    }
    let ended = cargo.stdout(Stdio::piped()).spawn()?.wait_with_output()?;
    let table = String::from_utf8(ended.stdout).context("a table is text")?;
    print!("{table}");
    match ended.status.code() {
        Some(0) if options.of.is_none() => write(&table),
        Some(0) => Ok(()),
        Some(2) => Err(WrongUsage.into()),
        Some(1) => bail!("the coach loses a fault, or needs too many readings"),
        _ => bail!("the coach could not be tried"),
    }
}

fn write(table: &str) -> Result<()> {
    let path = paths::root().join(DOCUMENT);
    let text = std::fs::read_to_string(&path).with_context(|| format!("{DOCUMENT} cannot be read"))?;
    let parts = text.split_once(BEGIN).and_then(|(head, rest)| Some((head, rest.split_once(END)?.1)));
    let (head, tail) = parts.with_context(|| format!("{DOCUMENT} has no place for the table"))?;
    std::fs::write(&path, format!("{head}{BEGIN}\n\n{table}\n{END}{tail}"))?;
    Ok(())
}
