//! The drawing as it is seen, in layers.

mod as_built;
pub mod backdrop;
mod devices;
mod overlay;
mod surface;
mod terminals;
pub mod window;
mod wires;

pub use as_built::AsBuilt;
pub use surface::Surface;
