//! The timing diagram: signals over time, of the bench as it runs or of a recorded trial.
//!
//! [`TimingDiagram`] follows the bench; [`RecordedDiagram`] shows a [`Recording`] with its moment marked. Both draw on a
//! canvas and say the same in words and as a table beside it.

mod chosen;
mod more;
mod paint;
mod plot;
mod readout;
mod signals;
mod source;
mod span;
mod table;
mod tracks;
mod view;
mod whole;
mod words;

pub use more::More;
pub use source::Recording;
pub use tracks::{Track, tracks};
pub use whole::{RecordedDiagram, TimingDiagram};
