//! The clamp: current in one conductor, RMS of AC and DC together.

use super::figure::{AMPERES, Figure, Quantity};
use super::{Measured, Probes, Seen, Shown};
use crate::design::Design;

/// Current in a conductor, A, from the voltage along it: RMS of AC and DC together. 0 in one that is broken.
///
/// # Errors
/// A conductor that is not there.
pub fn amperes(seen: Seen<'_>, conductor: &str) -> Result<f64, String> {
    Ok(in_wire(seen, wire(seen.design, conductor)?))
}

/// Number of a conductor; the error says that there is none.
pub(super) fn wire(design: &Design, conductor: &str) -> Result<usize, String> {
    let found = design.wires.iter().position(|wire| wire.tag == conductor);
    found.ok_or_else(|| format!("there is no conductor `{conductor}`"))
}

fn in_wire(seen: Seen<'_>, wire: usize) -> f64 {
    let wire = &seen.design.wires[wire].data;
    let Some(ohm) = wire.ohm else { return 0.0 };
    let (from, to) = wire.nodes;
    let along = Probes { seen, from, to };
    let dc = along.open_dc();
    (dc * dc + along.open_ac().norm_sqr()).sqrt() / ohm
}

pub(super) fn clamp(seen: Seen<'_>, wire: usize) -> Measured {
    let amperes = in_wire(seen, wire);
    Measured::plain(Figure::of(Quantity::Amperes, amperes, &AMPERES).map_or(Shown::Over, Shown::Figure))
}
