//! The words of the domain as the sheets use them. One place to import them from.

pub use super::stand_in::*;
pub use crate::act::BenchAct;
pub use crate::fault::Fault;
pub use crate::part::*;
pub use crate::plan::*;
