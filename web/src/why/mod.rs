//! Why?: asking after a value by pointer, touch or key, and the chain of its causes, each link of which leads to its place.
//!
//! Whatever shows a value carries it in `data-why` (a signal, a terminal or a tag; terminals of the drawing have
//! `data-terminal`), and needs no more than that: [`WhyPanel`] listens for the whole page.

mod panel;
mod pick;
mod place;
mod subjects;

pub use panel::{WhyButton, WhyPanel};
pub use pick::WhyOf;
