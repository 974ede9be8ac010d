//! What crosses crates: the browser harness, the generator of broken input, and what benchmarks share.

#[cfg(feature = "browser")]
pub mod browser;
pub mod fuzzing;
pub mod generate;
pub mod mutate;
