//! What touches the browser.

pub mod address;
pub mod live;
pub mod page;
pub mod theme;
