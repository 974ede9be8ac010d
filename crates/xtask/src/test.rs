//! `cargo xtask test`: every check and every test, the real browser included.
//!
//! Stages run one after another, the cheap ones first, and the first that fails ends the run. All native stages build
//! the whole workspace with one profile, so that nothing is compiled twice.

use std::process::Command;

use anyhow::{Context, Result, bail};
use clap::ValueEnum;

use crate::site::Site;
use crate::tally::{Runner, Tally};
use crate::wasm::Profile;
use crate::{budget, dependencies, licences, paths, run};

/// What `test` takes.
#[derive(clap::Args, Debug)]
pub struct Options {
    /// Leave out what takes longest: the WebAssembly build, the browser and the fuzz targets
    #[arg(long)]
    quick: bool,
    /// Leave out the browser
    #[arg(long)]
    no_browser: bool,
    /// Run these stages only
    #[arg(long = "stage", value_enum)]
    stages: Vec<Stage>,
}

/// A part of the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Stage {
    /// Every source as rustfmt writes it.
    Format,
    /// Licences of all packages, and dependencies that nothing uses.
    Dependencies,
    /// Clippy on the whole workspace, warnings as errors.
    Lint,
    /// The native tests.
    Native,
    /// The examples in the documentation, and the documentation itself without warnings.
    Docs,
    /// The WebAssembly build and the size budget.
    Wasm,
    /// The tests in headless Chromium.
    Browser,
    /// The fuzz targets, longer than among the native tests.
    Fuzz,
}

/// Seconds that each fuzz target gets.
const FUZZ_SECONDS: &str = "10";

impl Options {
    fn stages(&self) -> Vec<Stage> {
        let wanted = |stage: &Stage| {
            let asked = self.stages.is_empty() || self.stages.contains(stage);
            let long = matches!(stage, Stage::Wasm | Stage::Browser | Stage::Fuzz);
            asked && !(self.quick && long) && !(self.no_browser && *stage == Stage::Browser)
        };
        Stage::value_variants().iter().copied().filter(wanted).collect()
    }
}

/// Runs the stages and prints how many tests passed and failed.
///
/// # Errors
/// If a stage fails; the message names it.
pub fn run(options: &Options) -> Result<()> {
    let mut tests = Run { nextest: has_nextest(), tally: Tally::default(), site: None };
    if !tests.nextest {
        println!("cargo-nextest is not installed; using cargo test");
    }
    for stage in options.stages() {
        let name = format!("{stage:?}").to_lowercase();
        println!("\n== {name}");
        if let Err(error) = tests.run(stage) {
            println!("error: {error:#}");
            return conclude(tests.tally, false, &name);
        }
    }
    conclude(tests.tally, true, "")
}

/// Prints the closing line, `N passed, N failed`.
///
/// # Errors
/// If a test failed or the stage did not end well, which counts as a failure even where no test is to blame.
pub fn conclude(mut tally: Tally, good: bool, stage: &str) -> Result<()> {
    if !good && tally.failed == 0 {
        tally.failed = 1;
    }
    println!("\n{} passed, {} failed", tally.passed, tally.failed);
    if tally.failed > 0 {
        bail!("the stage `{stage}` failed");
    }
    Ok(())
}

struct Run {
    nextest: bool,
    tally: Tally,
    site: Option<Site>,
}

impl Run {
    fn run(&mut self, stage: Stage) -> Result<()> {
        match stage {
            Stage::Format => run::check(run::cargo().args(["fmt", "--all", "--check"])).context(
                "`cargo fmt --all` puts it right; if rustfmt is missing: rustup component add rustfmt, \
                 on Debian apt-get install rustfmt-web",
            ),
            Stage::Dependencies => {
                licences::check()?;
                dependencies::check()
            }
            Stage::Lint => {
                let mut cargo = run::cargo();
                cargo.args(["clippy", "--workspace", "--all-targets", "--features", "sealin-tests/bench"]);
                cargo.args(["--", "--deny", "warnings"]);
                run::check(&mut cargo).context(
                    "if clippy is missing: rustup component add clippy, on Debian apt-get install rust-web-clippy",
                )
            }
            Stage::Native => self.tests(&[], &[], &[]),
            Stage::Docs => {
                let mut rustdoc = run::cargo();
                rustdoc.args(["test", "--workspace", "--doc"]);
                self.counted(&mut rustdoc, Runner::Rust)?;
                let mut doc = run::cargo();
                doc.args(["doc", "--workspace", "--no-deps", "--document-private-items", "--quiet"]);
                run::check(doc.env("RUSTDOCFLAGS", "--deny warnings"))
            }
            Stage::Wasm => budget::check(self.site()?),
            Stage::Browser => {
                for (program, package) in
                    [("chromium", "chromium"), ("chromedriver", "chromium-driver"), ("npm", "nodejs npm")]
                {
                    if run::find_program(program).is_none() {
                        bail!(
                            "there is no {program}; on Debian: apt-get install {package}; or leave it out: --no-browser"
                        );
                    }
                }
                let dir = paths::target().join("site").join("test");
                self.site()?.write(&dir)?;
                let dir = dir.to_string_lossy().into_owned();
                self.tests(&["--test", "browser_*"], &["ignored"], &[("SEALIN_DIST", &dir)])
            }
            Stage::Fuzz => self.tests(&["--test", "fuzz"], &[], &[("SEALIN_FUZZ_SECONDS", FUZZ_SECONDS)]),
        }
    }

    /// Builds the site once.
    fn site(&mut self) -> Result<&Site> {
        if self.site.is_none() {
            self.site = Some(Site::build(Profile::Web)?);
        }
        self.site.as_ref().context("the site was just built")
    }

    /// Runs tests of the workspace by the runner at hand.
    ///
    /// The whole workspace is always selected, and targets by `chosen`: another selection of packages could mean other
    /// features, and everything being compiled again.
    fn tests(&mut self, chosen: &[&str], only: &[&str], variables: &[(&str, &str)]) -> Result<()> {
        let ignored = only.contains(&"ignored");
        let mut cargo = run::cargo();
        if self.nextest {
            cargo.args(["nextest", "run", "--workspace", "--no-fail-fast"]).args(chosen);
            if ignored {
                cargo.args(["--run-ignored", "only"]);
            }
        } else {
            cargo.args(["test", "--workspace", "--no-fail-fast"]);
            // Examples in the documentation have a stage of their own.
            cargo.args(if chosen.is_empty() { &["--lib", "--bins", "--tests"] } else { chosen });
            if ignored {
                // One browser at a time, as nextest's configuration says for the other runner.
                cargo.args(["--", "--ignored", "--test-threads", "1"]);
            }
        }
        cargo.envs(variables.iter().copied());
        self.counted(&mut cargo, if self.nextest { Runner::Nextest } else { Runner::Rust })
    }

    fn counted(&mut self, command: &mut Command, runner: Runner) -> Result<()> {
        let tally = &mut self.tally;
        if !run::watch_lines(command, |line| tally.read_line(line, runner))? {
            bail!("{} did not end well", run::shown(command));
        }
        Ok(())
    }
}

fn has_nextest() -> bool {
    run::output(run::cargo().args(["nextest", "--version"])).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn options(quick: bool, no_browser: bool, stages: &[Stage]) -> Vec<Stage> {
        Options { quick, no_browser, stages: stages.to_vec() }.stages()
    }

    #[test]
    fn flags_choose_the_stages() {
        assert_eq!(options(false, false, &[]).len(), 8);
        let quick = options(true, false, &[]);
        assert_eq!(quick, [Stage::Format, Stage::Dependencies, Stage::Lint, Stage::Native, Stage::Docs]);
        assert!(!options(false, true, &[]).contains(&Stage::Browser));
        assert_eq!(options(false, false, &[Stage::Docs, Stage::Format]), [Stage::Format, Stage::Docs]);
    }

    #[test]
    fn a_failed_stage_is_a_failure_without_a_failed_test() {
        assert!(conclude(Tally { passed: 3, failed: 0 }, true, "x").is_ok());
        assert!(conclude(Tally { passed: 3, failed: 0 }, false, "x").is_err());
        assert!(conclude(Tally { passed: 3, failed: 1 }, true, "x").is_err());
    }
}
