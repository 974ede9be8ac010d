//! The words of the domain as the sheets use them. One place to import them from.

#![allow(unused_imports)]

pub use sealin_core::bench::{BrakeView, MotorView, OverloadView};
pub use sealin_core::devices::armature::Place as ArmaturePlace;
pub use sealin_core::devices::motor_curve::{CurvePoint, Feed, MotorCurve, rated_line_volts};
pub use sealin_core::devices::trip_time::{ClassLimits, class_limits, time_to_cool_s, time_to_trip_s};
pub use sealin_core::fault::Pattern;
pub use sealin_core::instruments::{
    Caution, Danger, Figure, Function, INSULATION_VOLTS, Measured, Measurement, Polarity, Quantity, Shown,
    Turn, Voltage,
};
pub use sealin_core::part::*;
pub use sealin_core::state::{ControllerPhase, DcPhase};
pub use sealin_core::{
    Bench, BenchAct, Conductor, Fault, Insulation, Note, Plan, Repair, Restart, Terminal, Trace,
};
pub use sealin_exercise::attempt::{Act, Attempt, Change, Entry, Head, MOST_BYTES, MOST_RECORD, Mounted};
pub use sealin_exercise::dead::{Missing, Place as DeadPlace};
pub use sealin_exercise::flow::HeatTrip;
pub use sealin_exercise::fold::{Taken, UnsafeAct};
pub use sealin_exercise::hunt::Diagnosis;
pub use sealin_exercise::project::Project;
pub use sealin_exercise::scenario::*;
pub use sealin_exercise::session::Session;
