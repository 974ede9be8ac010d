//! The commands of `cargo xtask`.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::{bench, coach, fuzz, mutants, serve, site, test, wasm::Profile};

#[derive(Parser)]
#[command(name = "cargo xtask", about = "Builds, serves, measures and tests the bench")]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Build the bench and serve it on this machine
    Serve(serve::Options),
    /// Write the static site into a folder
    Dist {
        /// The folder; made if it is missing, and emptied of an earlier site
        dir: PathBuf,
        /// How the WebAssembly is built: `web` is small, `web-watch` is quick to build
        #[arg(long, value_enum, default_value_t = Profile::Web)]
        profile: Profile,
    },
    /// Run every check and every test
    Test(test::Options),
    /// Feed the readers broken input for longer than the tests do
    Fuzz(fuzz::Options),
    /// Run the benchmarks
    Bench(bench::Options),
    /// Mark single edits of every reference: wrong designs must lose marks
    MutateDesigns(mutants::Options),
    /// Hide every kind of fault and have the coach look for it
    CoachTable(coach::Options),
}

/// What was asked for does not exist; the program that was asked has said so.
#[derive(Debug)]
pub struct WrongUsage;

impl std::error::Error for WrongUsage {}

impl std::fmt::Display for WrongUsage {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("nothing was run")
    }
}

/// Runs the command that the arguments name. Returns 0 if all went well, 1 if the answer is no, 2 for wrong usage.
pub fn run() -> ExitCode {
    let result = match Arguments::parse().command {
        Command::Serve(options) => serve::run(&options),
        Command::Dist { dir, profile } => site::dist(&dir, profile),
        Command::Test(options) => test::run(&options),
        Command::Fuzz(options) => fuzz::run(&options),
        Command::Bench(options) => bench::run(&options),
        Command::MutateDesigns(options) => mutants::run(&options),
        Command::CoachTable(options) => coach::run(&options),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            if error.is::<WrongUsage>() { ExitCode::from(2) } else { ExitCode::FAILURE }
        }
    }
}
