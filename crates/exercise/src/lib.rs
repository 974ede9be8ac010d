//! Exercises: scenario files, attempts, their fold, marking and marking again.

pub mod attempt;
pub mod beside;
pub mod conduct;
pub mod dead;
pub mod fault_table;
pub mod flow;
pub mod fold;
pub mod grade;
pub mod hunt;
pub mod laps;
pub mod marking;
pub mod noticed;
pub mod predictions;
pub mod project;
pub mod proofs;
pub mod proving;
pub mod scenario;
pub mod session;
pub mod setting;
pub mod shipped;
pub mod stores;
pub mod unsafe_acts;
pub mod wiring;
