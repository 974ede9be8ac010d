//! What page and worker say to each other: JSON texts with the number of the run.

use crate::store::checks::{Marks, Progress};
use crate::store::fault_table::{FaultRow, Wanted};
use crate::store::proofs::{ProofLine, ProofProgress};
use crate::store::suspects::{Paths, SuspectList};
use serde::{Deserialize, Serialize};

/// Version of the messages. Page and worker come from one build; a mix of two builds in one browser is refused.
pub const VERSION: u32 = 5;

/// An order to the worker.
#[derive(Debug, Serialize, Deserialize)]
pub struct Order {
    /// [`VERSION`].
    pub version: u32,
    /// Number of the run.
    pub job: u32,
    /// What is to be done.
    pub errand: Errand,
    /// The attempt whose last design it is about, as a file.
    pub attempt: String,
}

/// What is to be done with an attempt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Errand {
    /// Run all checks, and give the marks.
    Mark,
    /// Prove what the scenario asks to be proven.
    Prove,
    /// Explore these rows of the fault table.
    Faults(Vec<Wanted>),
    /// Follow the attempt with everything that is suspected, and tell what is left.
    Suspects,
    /// The way of an attempt that was handed in, beside the coach's.
    Paths,
    /// Follow it on: more entries of its log, a line of JSON each, and the tick up to which the bench has run. Nothing is answered but to
    /// a look.
    On {
        /// The entries.
        entries: Vec<String>,
        /// The tick.
        tick: u64,
        /// Tell what is left.
        look: bool,
    },
}

/// An answer of the worker.
#[derive(Debug, Serialize, Deserialize)]
pub struct Answer {
    /// [`VERSION`].
    pub version: u32,
    /// Number of the run.
    pub job: u32,
    /// What there is to say.
    pub body: Body,
}

/// What there is to say.
#[derive(Debug, Serialize, Deserialize)]
pub enum Body {
    /// How far the checks are.
    Progress(Progress),
    /// The marks.
    Marks(Marks),
    /// How far a proof is.
    Proving(ProofProgress),
    /// One proof is done.
    Proof(ProofLine),
    /// One row of the fault table is done.
    Row(FaultRow),
    /// So many benches of suspects are behind, of how many.
    Behind(usize, usize),
    /// What is still suspected after so many entries of the log.
    Suspects(SuspectList, usize),
    /// The two ways.
    Paths(Paths),
    /// All that was asked for is done.
    Done,
    /// The order could not be followed.
    Failed(String),
}
