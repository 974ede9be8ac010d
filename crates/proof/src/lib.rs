//! The requirement language, scripts and their judgement.
//!
//! [`expr`] reads expressions over the bench's signals, with operators that look back in time, and judges them tick by
//! tick with constant memory; [`steps`] reads and runs scripts of acts and expectations; [`explore`] finds out whether any
//! order of what may move breaks a requirement. Both work on the bench itself:
//! there is no second model of the machine.

mod duration;
pub mod explore;
pub mod expr;
pub mod steps;
pub mod suspects;

pub use duration::{parse_duration_ms, print_duration};
pub use expr::{Expr, ExprError, Formula, Memory, Verdict};
pub use steps::{Break, Observer, Outcome, Script, Step, StepError, StepKind, StepRun, When};
