//! The loop of a contactor as one line of cells: field contact, input, program, output, coil, armature, and back.

pub mod follow;
mod stages;
mod strip;
mod value;

pub use strip::LoopStrip;
pub use value::volts_text;
