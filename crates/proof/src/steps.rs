//! Scripts: acts on the bench and expectations, one step a line.
//!
//! ```text
//! power on; wait 2s                     # `;` separates steps as a line does; # begins a comment
//! press SF2 SF3                         # any act of the bench; press and release take several tags
//! wait 200ms
//! expect QA1.closed                     # now, after the tick of the acts before it
//! expect not QA1.closed within 100ms    # at some tick of that time
//! expect not QX0.0 for 2s               # at every tick of that time
//! ```
//!
//! Acts that follow each other without a `wait` or an `expect` fall in the same tick. An expectation may look back in
//! time ([`crate::expr`]); what it remembers begins with the script.

mod parse;
mod run;

use crate::expr::Expr;
use sealin_core::{Bench, BenchAct};
use std::fmt;

pub use parse::{MOST_BYTES, MOST_MS, MOST_STEPS, parse};
pub use run::{Break, Observer, Outcome, StepRun, run};

/// A script.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Script {
    /// Its steps, in order.
    pub steps: Vec<Step>,
}

/// One step, with its place in the text.
#[derive(Clone, Debug, Eq)]
pub struct Step {
    /// Line, from 1.
    pub line: u32,
    /// Column of its first character, from 1.
    pub column: u32,
    /// Column of its expression, from 1; that of the step where it has none.
    pub expr_column: u32,
    /// What to do.
    pub kind: StepKind,
}

impl PartialEq for Step {
    /// Two steps are the same wherever they stand.
    fn eq(&self, other: &Step) -> bool {
        self.kind == other.kind
    }
}

/// What a step does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StepKind {
    /// Something done on the bench; acts that follow each other fall in the same tick.
    Act(BenchAct),
    /// Lets so many milliseconds pass.
    Wait(u64),
    /// Something is so.
    Expect(Expr, When),
}

/// When an expectation must be so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// Now.
    Now,
    /// At some tick of so many milliseconds.
    Within(u64),
    /// At every tick of so many milliseconds.
    For(u64),
}

/// What is wrong with a script, and where.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {message}")]
pub struct StepError {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// What is wrong and what was expected.
    pub message: String,
}

impl Script {
    /// Reads a script; the same as [`parse()`].
    pub fn parse(text: &str) -> Result<Script, Vec<StepError>> {
        parse(text)
    }

    /// Every act and name that does not fit a bench.
    pub fn check(&self, bench: &Bench) -> Vec<StepError> {
        run::check(self, bench)
    }

    /// How long it runs at most, ms: its waits and the times of its expectations.
    pub fn longest_ms(&self) -> u64 {
        self.steps
            .iter()
            .map(|s| match s.kind {
                StepKind::Wait(ms) | StepKind::Expect(_, When::Within(ms) | When::For(ms)) => ms,
                StepKind::Act(_) | StepKind::Expect(_, When::Now) => 1,
            })
            .sum()
    }
}

impl fmt::Display for Script {
    /// One step a line, in normal form: comments and spacing do not count.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.steps.iter().try_for_each(|step| writeln!(f, "{step}"))
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use crate::print_duration;
        match &self.kind {
            StepKind::Act(act) => write!(f, "{act}"),
            StepKind::Wait(ms) => write!(f, "wait {}", print_duration(*ms)),
            StepKind::Expect(expr, When::Now) => write!(f, "expect {expr}"),
            StepKind::Expect(expr, When::Within(ms)) => {
                write!(f, "expect {expr} within {}", print_duration(*ms))
            }
            StepKind::Expect(expr, When::For(ms)) => write!(f, "expect {expr} for {}", print_duration(*ms)),
        }
    }
}
