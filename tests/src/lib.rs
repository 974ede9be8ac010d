//! What crosses crates: the browser harness, the generator of broken input, cases of the bench and of the ladder language, and
//! what benchmarks share.

pub mod asked;
pub mod blind;
#[cfg(feature = "browser")]
pub mod browser;
pub mod cases;
pub mod checker;
pub mod coach;
pub mod counterfactual;
pub mod fuzzing;
pub mod generate;
#[cfg(feature = "browser")]
pub mod hunt;
pub mod ladder_cases;
pub mod mutants;
pub mod mutate;
pub mod naive;
pub mod netlists;
pub mod runs;
pub mod simulator;
pub mod wrong;
