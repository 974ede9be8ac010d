//! What touches the browser.

pub mod live;
pub mod page;
