//! The drawing as it is seen, in layers.

mod backdrop;
mod devices;
mod overlay;
mod surface;
mod terminals;
mod window;
mod wires;

pub use surface::Surface;
