//! The circuit diagram as built.

use super::content::Body;
use super::list::Work;
use super::paper::LEAST_MM;
use crate::sheets::circuit;

/// The diagram, on as many sheets as it needs to be read.
pub fn circuit(work: &Work) -> Body {
    let drawn = circuit::Shared::of(work.workshop);
    Body::Drawings(circuit::as_drawn(&drawn, work.paper.room_mm(), LEAST_MM))
}
