//! The commissioning sheet: dead tests, supply, operator station, machine, instruments, timing diagram, checks.

mod at_hand;
mod before;
mod by_hand;
mod checks;
mod controller_mode;
mod dead_tests;
mod evidence;
mod facts;
mod happened;
mod happened_words;
mod machine;
mod meter;
mod one_check;
mod overload;
mod probe_field;
mod probes;
mod proofs;
mod push_button;
mod recorded;
mod seen;
pub mod settings;
mod sheet;
mod signature;
mod starting;
mod station;
mod stop_key;
mod supply;
mod terminal_board;
mod time;
pub mod turned;

pub use recorded::{CheckRecord, StageRecord, recorded};
pub use sheet::Commissioning;
