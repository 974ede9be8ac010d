//! The bench: a motor starter as devices, a network, dynamics and a controller, stepped by whole ticks of 1 ms.
//!
//! No clock, no randomness, no I/O, and no floating-point function that differs between targets: the same plan and the
//! same acts give the same bits, native and in WebAssembly.

pub mod act;
pub mod bench;
pub mod canon;
pub mod complex;
pub mod design;
pub mod devices;
pub mod discrete;
pub mod fault;
pub mod instruments;
pub mod live;
pub mod network;
pub mod part;
pub mod plan;
pub mod repair;
#[cfg(feature = "under-test")]
pub mod sabotage;
mod shared;
pub mod state;
pub mod step;
pub mod trace;
pub mod why;

pub use act::{BenchAct, Restart};
pub use bench::Bench;
pub use design::{BuildError, Design};
pub use fault::Fault;
pub use instruments::{Measured, Measurement};
pub use live::Live;
pub use plan::{Conductor, Insulation, Plan, Terminal};
pub use repair::Repair;
pub use shared::Shared;
pub use state::State;
pub use step::{Cache, Events, Note};
pub use trace::Trace;

/// Raised with every change that can change a trace; an attempt says under which it was made.
pub const MODEL_REVISION: u32 = 5;
