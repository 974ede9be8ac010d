//! The devices' own laws: one file a family. Each is a small piece of plain state and functions of it.

pub mod armature;
pub mod brake;
pub mod cable;
pub mod channel;
pub mod chatter;
pub mod coil;
pub mod field;
pub mod machine;
pub mod motor;
pub mod motor_curve;
pub mod motor_sequence;
pub mod output;
pub mod overload;
pub mod protection;
pub mod shaft;
pub mod trip_time;
pub mod weld;
pub mod winding;
