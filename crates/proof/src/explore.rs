//! Exhaustive exploration: whether any order of what may move breaks a requirement, and the shortest one that does.
//!
//! The transition is the bench's own tick. What is free, what is assumed and what is left out is said with every
//! answer.

mod aside;
mod control;
#[cfg(feature = "under-test")]
mod follow;
mod interner;
mod judge;
mod pairs;
mod plant;
mod presence;
mod program;
mod question;
mod relation;
mod replay;
mod rigs;
#[cfg(feature = "under-test")]
mod sabotage;
mod search;
mod states;
mod step;
mod table;
mod trail;
mod ways;

pub use control::{can_move, default_free};
#[cfg(feature = "under-test")]
pub use follow::{Boundary, Followed, Follower, Quantum};
pub use plant::Moves;
pub use question::{Answer, DEFAULT_MAX_STATES, Progress, Question, Report};
pub use relation::{Next, Relation, Way};
pub use replay::{Broken, Counterexample, Record, Replay, replay, replay_seen};
#[cfg(feature = "under-test")]
pub use sabotage::Sabotage;
pub use table::{Explorer, ask, explore};
