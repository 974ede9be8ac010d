//! The words of the domain as the sheets use them. One place to import them from.

#![allow(unused_imports)]

pub use super::stand_in::*;
pub use sealin_core::bench::{MotorView, OverloadView};
pub use sealin_core::devices::armature::Place as ArmaturePlace;
pub use sealin_core::fault::DIRTY_OHMS;
pub use sealin_core::part::*;
pub use sealin_core::{Bench, BenchAct, Conductor, Fault, Insulation, Live, Note, Plan, Terminal, Trace};
