//! The words of the domain as the sheets use them. One place to import them from.

#![allow(unused_imports)]

pub use sealin_core::bench::{MotorView, OverloadView};
pub use sealin_core::devices::armature::Place as ArmaturePlace;
pub use sealin_core::fault::DIRTY_OHMS;
pub use sealin_core::part::*;
pub use sealin_core::{Bench, BenchAct, Conductor, Fault, Insulation, Live, Note, Plan, Terminal, Trace};
pub use sealin_exercise::attempt::{Act, Attempt, Change, Entry, Function, Head, MOST_BYTES, Reading};
pub use sealin_exercise::project::Project;
pub use sealin_exercise::scenario::*;
pub use sealin_exercise::session::Session;
