//! Hooks: the workshop and parts of it, nodes that follow the bench, push-buttons that are held.

mod hold;
mod live;
mod selector;
mod workshop;

pub use hold::use_hold;
pub use live::{use_frame, use_live};
pub use selector::use_selector;
pub use workshop::use_workshop;
