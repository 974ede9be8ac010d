//! What is known of a wiring from its plan alone: potentials, circuits, and what a fitter would say. Page and marks share it.

pub mod circuit;
pub mod class;
#[cfg(test)]
mod fixture;
pub mod remarks;
pub mod sets;
