//! `sealin`: reads scenarios, runs scripts, makes attempts and marks them, with the same code as the page.
//!
//! Exit status: 0 all well; 1 the answer is no (a step not kept, marks below the pass mark); 2 the input or the usage
//! is wrong.

mod attempt;
mod check;
mod class;
mod coach;
mod convert;
mod diagram;
mod faults;
mod grade;
mod input;
mod new;
mod prove;
mod run;
mod seal;
mod task;
mod why;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// A training bench for reversing motor starters: scenarios, scripts, attempts, marks.
///
/// Training model: simplified, not a design, not evidence of competence. Real equipment is worked on by qualified
/// persons only, isolated, locked off and proved dead, under local codes.
#[derive(Parser)]
#[command(name = "sealin", version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Read scenarios, report errors with their place, and try the answers of their predictions.
    Check(check::Check),
    /// Start a scenario: a folder with a small whole one, commented, to be changed step by step.
    New(new::New),
    /// How many readings the coach takes to what a job of fault finding hides.
    Coach(coach::CoachArgs),
    /// Seal what is hidden in a job of fault finding, so that its file can be given to learners.
    ///
    /// A seal keeps an honest learner from stumbling over the answer, in the file, in the page or in its storage. It is no lock: the bench
    /// runs on the learner's machine and must open it there, so that whoever reads this program can open it too. It tells damage: a seal
    /// that was changed, or copied into another job, is refused.
    Seal(seal::Seal),
    /// Run a script on the bench of a scenario.
    Run(run::Run),
    /// Prove requirements: every order of what may move, or the shortest one that breaks a requirement.
    Prove(prove::Prove),
    /// List the kinds of fault, or every single fault that fits a scenario.
    Faults(faults::Faults),
    /// Make an attempt from parts: program, wiring and steps.
    Attempt(attempt::Make),
    /// Convert a program between structured text and XML, or write a scenario's bench as a netlist or for a model checker.
    ///
    /// A program as .st or .xml goes to .xml (TC6 XML 0201, or IEC 61131-10 with --form iec10) or to .st. XML is read in
    /// TC6 XML 0201; everything in it that is not understood is listed on standard error with its line and column, and
    /// the exit status is then 1: read the list before the program is used. A scenario goes to .cir, a netlist for a
    /// circuit simulator, or to .pml, a Promela model of one requirement with its tables beside it in a .h file; how to run
    /// it stands at its top.
    Convert(convert::Convert),
    /// Mark attempts again.
    ///
    /// Marks go to standard output in the order of the input. The chain of hashes in an attempt detects damage, not forgery: a log
    /// that was rewritten with its chain cannot be told from an honest one, and is marked for what it does.
    Grade(grade::Grade),
    /// Put lines of marks together as one class: a table, a page, and who did the same as whom.
    Class(class::Gather),
}

/// How a command ended well enough to speak of an answer.
enum Answer {
    Yes,
    No,
}

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are no errors; they go where they are asked for.
            let status = if error.use_stderr() { 2 } else { 0 };
            let _ = error.print();
            return ExitCode::from(status);
        }
    };
    let answer = match cli.command {
        Command::Check(c) => c.run(),
        Command::New(c) => c.run(),
        Command::Coach(c) => c.run(),
        Command::Seal(c) => c.run(),
        Command::Run(c) => c.run(),
        Command::Prove(c) => c.run(),
        Command::Faults(c) => c.run(),
        Command::Attempt(c) => c.run(),
        Command::Convert(c) => c.run(),
        Command::Grade(c) => c.run(),
        Command::Class(c) => c.run(),
    };
    match answer {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(1),
        Err(message) => {
            eprintln!("{message}");
            ExitCode::from(2)
        }
    }
}
