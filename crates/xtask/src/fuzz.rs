//! `cargo xtask fuzz`: feeds every reader broken input, for longer than the tests do.
//!
//! The targets and the generator are in the tests crate (`tests/tests/fuzz.rs`, `tests/src/mutate.rs`): seeded, so that
//! a case can be made again by its number, and compiled by the stable compiler with overflow checks on.

use anyhow::{Result, bail};

use crate::tally::{Runner, Tally};
use crate::{paths, run, test};

/// What `fuzz` takes.
#[derive(clap::Args, Debug)]
pub struct Options {
    /// Part of a target's name; without it, every target
    target: Option<String>,
    /// How long each target runs
    #[arg(long, default_value_t = 60)]
    seconds: u64,
    /// Where the sequence of cases starts; by default a new one each time
    #[arg(long)]
    seed: Option<u64>,
    /// Runs one case of the sequence alone, and keeps its input as a file
    #[arg(long, requires = "seed")]
    case: Option<u64>,
}

/// Runs the targets one after another.
///
/// # Errors
/// If an input makes a reader panic, hang or break a promise; the output names its seed and case.
pub fn run(options: &Options) -> Result<()> {
    // Any seed does; the time makes it a new one, and it is printed.
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    let seed = options.seed.unwrap_or(now.as_secs());
    println!("seed {seed}");
    let mut cargo = run::cargo();
    cargo.args(["test", "--package", "sealin-tests", "--test", "fuzz", "--"]);
    cargo.args(options.target.as_deref());
    cargo.args(["--nocapture", "--test-threads", "1"]);
    cargo.env("SEALIN_FUZZ_SEED", seed.to_string());
    cargo.env("SEALIN_FUZZ_SECONDS", options.seconds.to_string());
    cargo.env("SEALIN_FUZZ_DIR", paths::target().join("fuzz"));
    if let Some(case) = options.case {
        cargo.env("SEALIN_FUZZ_CASE", case.to_string());
    }
    let mut tally = Tally::default();
    let good = run::watch_lines(&mut cargo, |line| tally.read_line(line, Runner::Rust))?;
    if good && tally.passed == 0 {
        bail!("there is no target called {}", options.target.as_deref().unwrap_or("anything"));
    }
    test::conclude(tally, good, "fuzz")
}
