//! The clamp: current in one conductor, RMS of AC and DC together.

use super::figure::{AMPERES, Figure, Quantity};
use super::{Measured, Probes, Seen, Shown};

/// Current in a conductor, A, from the voltage along it: RMS of AC and DC together. 0 in one that is broken.
///
/// # Errors
/// A conductor that is not there.
pub fn amperes(seen: Seen<'_>, conductor: &str) -> Result<f64, String> {
    let wire = seen.design.wires.iter().find(|wire| wire.tag == conductor);
    let wire = wire.ok_or_else(|| format!("there is no conductor `{conductor}`"))?;
    let Some(ohm) = wire.data.ohm else { return Ok(0.0) };
    let (from, to) = wire.data.nodes;
    let along = Probes { seen, from, to };
    let dc = along.open_dc();
    Ok((dc * dc + along.open_ac().norm_sqr()).sqrt() / ohm)
}

pub(super) fn clamp(seen: Seen<'_>, conductor: &str) -> Result<Measured, String> {
    let amperes = amperes(seen, conductor)?;
    let shown = Figure::of(Quantity::Amperes, amperes, &AMPERES).map_or(Shown::Over, Shown::Figure);
    Ok(Measured::plain(shown))
}
