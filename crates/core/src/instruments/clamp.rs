//! The clamp: current in one conductor, RMS of AC and DC together.

use super::figure::{AMPERES, Figure, Quantity};
use super::probes::thousandths;
use super::{Measured, Probes, Seen, Shown};
use crate::complex::Complex;
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
    let Some((ohm, dc, ac)) = along(seen, wire) else { return 0.0 };
    (dc * dc + ac.norm_sqr()).sqrt() / ohm
}

/// Ohms of a conductor, and DC and AC volts along it; nothing of one that is broken.
fn along(seen: Seen<'_>, wire: usize) -> Option<(f64, f64, Complex)> {
    let wire = &seen.design.wires[wire].data;
    let (from, to) = wire.nodes;
    let along = Probes { seen, from, to };
    Some((wire.ohm?, along.open_dc(), along.open_ac()))
}

pub(super) fn clamp(seen: Seen<'_>, wire: usize) -> Measured {
    let shown =
        Figure::of(Quantity::Amperes, in_wire(seen, wire), &AMPERES).map_or(Shown::Over, Shown::Figure);
    // With DC beside it, it is not the size of a phasor.
    let phasor =
        along(seen, wire).filter(|(_, dc, _)| *dc == 0.0).map(|(ohm, _, ac)| thousandths(ac, 1.0 / ohm));
    Measured { phasor, ..Measured::plain(shown) }
}
