//! The drawing as it is seen, in layers.

mod as_built;
mod backdrop;
mod devices;
mod overlay;
mod surface;
mod terminals;
mod window;
mod wires;

pub use as_built::AsBuilt;
pub use surface::Surface;
