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
    along(seen, wire).map_or(0.0, |along| along.rms())
}

/// What is along a conductor.
struct Along {
    ohm: f64,
    /// DC volts.
    dc: f64,
    /// AC volts, RMS phasor.
    ac: Complex,
}

impl Along {
    /// Current, A: RMS of AC and DC together.
    fn rms(&self) -> f64 {
        (self.dc * self.dc + self.ac.norm_sqr()).sqrt() / self.ohm
    }
}

/// Nothing of a conductor that is broken.
fn along(seen: Seen<'_>, wire: usize) -> Option<Along> {
    let wire = &seen.design.wires[wire].data;
    let (from, to) = wire.nodes;
    let along = Probes { seen, from, to };
    Some(Along { ohm: wire.ohm?, dc: along.open_dc(), ac: along.open_ac() })
}

pub(super) fn clamp(seen: Seen<'_>, wire: usize) -> Measured {
    let along = along(seen, wire);
    let amperes = along.as_ref().map_or(0.0, Along::rms);
    // With DC beside it, it is not the size of a phasor.
    let pure = along.filter(|along| along.dc == 0.0);
    let phasor = pure.map(|along| thousandths(along.ac, 1.0 / along.ohm));
    let shown = Figure::of(Quantity::Amperes, amperes, &AMPERES).map_or(Shown::Over, Shown::Figure);
    Measured { phasor, ..Measured::plain(shown) }
}
