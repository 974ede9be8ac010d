//! What page and worker say to each other: JSON texts with the number of the run.

use crate::store::checks::Marks;
use serde::{Deserialize, Serialize};

/// Version of the messages. Page and worker come from one build; a mix of two builds in one browser is refused.
pub const VERSION: u32 = 1;

/// An order to the worker.
#[derive(Debug, Serialize, Deserialize)]
pub struct Order {
    /// [`VERSION`].
    pub version: u32,
    /// Number of the run.
    pub job: u32,
    /// The attempt whose last design is to be marked, as a file.
    pub attempt: String,
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
    /// Trials done and trials in all.
    Progress(u32, u32),
    /// The marks.
    Marks(Marks),
    /// The order could not be followed.
    Failed(String),
}
