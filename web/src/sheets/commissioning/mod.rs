//! The commissioning sheet: dead tests, supply, operator station, machine, instruments, timing diagram, checks.

mod at_hand;
mod before;
mod checks;
mod dead_tests;
mod evidence;
mod facts;
mod machine;
mod meter;
mod one_check;
mod overload;
mod probe_field;
mod probes;
mod push_button;
mod sheet;
mod station;
mod supply;
mod terminal_board;
mod time;
pub mod turned;

pub use sheet::Commissioning;
