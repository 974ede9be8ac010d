//! What a good teacher would say about a program that has no error. A remark never blocks.

mod coils;
mod holds;
mod variables;

use crate::model::Program;

/// One thing to look at, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Remark {
    /// What sort of thing it is.
    pub rule: Rule,
    /// Index of the rung it is about, if it is about one.
    pub rung: Option<u32>,
    /// The variable it is about.
    pub var: String,
    /// What is so, in one line.
    pub text: String,
    /// Why that matters, and what to try.
    pub why: String,
}

/// What a remark is about.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Rule {
    /// A bit has two coils.
    CoilTwice,
    /// A bit is set and nothing resets it.
    NeverReset,
    /// A bit that begins at 0 is reset and nothing sets it.
    NeverSet,
    /// An output's set coil stands below its reset coil and wins.
    SetWins,
    /// An output holds itself by its own bit, and no answer from the field is in series with the hold.
    HoldWithoutAnswer,
    /// An output is held by the answer from the field without its own bit.
    HoldByAnswerAlone,
    /// A start that is held down starts an output again when what stopped it is gone.
    HeldStart,
    /// An output that holds itself is retained.
    RetainedHold,
    /// A variable is in no rung.
    Unused,
    /// A bit is read but nothing writes it, or a block is read but not called.
    NeverWritten,
    /// A bit without address is written but nothing reads it.
    NeverRead,
}

/// The remarks on a program: those about rungs by rung, then those about variables in the order of declaration.
pub fn remarks(program: &Program) -> Vec<Remark> {
    let mut found = Vec::new();
    coils::remarks(program, &mut found);
    holds::remarks(program, &mut found);
    found.sort_by_key(|remark| remark.rung);
    variables::remarks(program, &mut found);
    found
}
