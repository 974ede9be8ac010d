//! A bench with its program and its requirements as Promela, so that an outside model checker can judge what the proof says.
//!
//! Nothing here asks the compiler of programs, the monitors or the search: the program is translated from its rungs
//! (`program.rs`), the requirements from their formulas (`formula.rs`), both from what the standard and the
//! definition of "proven" say of them. What both judges share is the plant alone, quantum by quantum, as a table
//! (`table.rs`); where the other program or monitor would leave what the exploration met, it says so.
//!
//! What comes out is a model and a C file beside it that holds the tables. A verdict is an assertion:
//!
//! | assertion | violated when |
//! | --- | --- |
//! | `!broken` | the requirement breaks; where none is asked, harm is done |
//! | `!outside` | the model comes to what the exploration did not meet or cover |
//!
//! Spin then stores as many states as the exploration has, and one more: that before power comes on.

mod formula;
mod model;
mod program;
mod table;
mod text;

pub use model::{CASE_VARIABLE, Case, Export, export};
