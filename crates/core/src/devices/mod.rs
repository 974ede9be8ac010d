//! The devices' own laws: one file a family. Each is a small piece of plain state and functions of it.

pub mod armature;
pub mod cable;
pub mod channel;
pub mod motor;
pub mod motor_curve;
pub mod motor_sequence;
pub mod overload;
pub mod protection;
pub mod trip_time;
