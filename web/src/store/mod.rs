//! The store: the work in progress, what the screen shows of it, and the commands that change either.
//!
//! The bench lies outside Yew. Components read through [`Shop::with`] or [`crate::hooks::use_selector`], and change
//! through [`Shop::dispatch`]. What moves by itself is shown by [`crate::services::live`].

pub mod checks;
pub mod command;
mod example;
pub mod fault_table;
#[cfg(test)]
pub mod fixture;
pub mod hand;
pub mod kept;
pub mod marking;
pub mod model;
pub mod pace;
pub mod proofs;
pub mod proving;
pub mod record;
mod rest;
pub mod screen;
pub mod shop;
mod sight;
pub mod suspects;
pub mod why;
pub mod workshop;

pub use command::{Command, Notice, Saved};
pub use pace::Speed;
pub use screen::{Screen, ScreenAct, Sheet, Theme, Thing};
pub use shop::Shop;
pub use why::{Answer, Step, Why, WhyAct};
pub use workshop::Workshop;
