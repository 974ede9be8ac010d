//! Hooks: the workshop and parts of it, and nodes that follow the bench.

mod live;
mod selector;
mod workshop;

pub use live::{use_frame, use_live};
pub use selector::use_selector;
pub use workshop::use_workshop;
