//! Hooks: the workshop and parts of it, nodes that follow the bench, push-buttons that are held.

mod brought;
mod conduct;
mod hold;
mod key;
mod live;
mod one_stop;
mod selector;
mod sheet_key;
mod size;
mod turned;
mod watched;
mod workshop;

pub use brought::use_brought;
pub use conduct::use_conduct;
pub use hold::use_hold;
pub use key::use_key;
pub use live::{use_frame, use_live};
pub use one_stop::use_one_stop;
pub use selector::use_selector;
pub use sheet_key::use_sheet_keys;
pub use size::use_size;
pub use turned::takes_keyboard;
pub use watched::use_watched;
pub use workshop::use_workshop;
