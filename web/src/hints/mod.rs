//! The first minute: short notes at the things they speak of, one at a time, until the first press.
//!
//! `course` is the data, `progress` what is left of it (state, without a page), `place` where a note goes; `note` draws
//! it, and `start_here` is how a person begins.

mod course;
mod note;
mod place;
mod progress;
mod start_here;

pub use note::Note;
pub use progress::{HintAct, Hints};
pub use start_here::StartHere;
