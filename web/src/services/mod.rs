//! What touches the browser.

pub mod address;
pub mod attempt_file;
pub mod canvas;
pub mod checks;
pub mod clipboard;
mod database;
mod errands;
pub mod fault_table;
mod files;
mod keeper;
pub mod kept;
pub mod live;
mod locks;
pub mod opening;
pub mod page;
pub mod printing;
pub mod proofs;
mod protocol;
pub mod surface;
pub mod suspects;
pub mod theme;
pub mod worker;
