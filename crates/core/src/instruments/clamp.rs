//! The clamp: current in one conductor, RMS of AC and DC together.

use super::figure::{AMPERES, Figure, Quantity};
use super::{Measured, Probes, Seen, Shown};
use crate::devices::cable::conductor_ohm;

/// Current in a conductor, A, from the voltage along it: RMS of AC and DC together. 0 in one that is broken.
///
/// # Errors
/// A conductor that is not there.
pub fn amperes(seen: Seen<'_>, conductor: &str) -> Result<f64, String> {
    let design = seen.design;
    let c = design
        .conductors
        .iter()
        .find(|c| c.id == conductor)
        .ok_or_else(|| format!("there is no conductor `{conductor}`"))?;
    if design.faults.iter().any(|fault| fault.opens(c)) {
        return Ok(0.0);
    }
    let along = Probes::on(seen, &c.from, &c.to)?;
    let dc = along.open_dc();
    Ok((dc * dc + along.open_ac().norm_sqr()).sqrt() / conductor_ohm(c, &seen.design.cables))
}

pub(super) fn clamp(seen: Seen<'_>, conductor: &str) -> Result<Measured, String> {
    let amperes = amperes(seen, conductor)?;
    let shown = Figure::of(Quantity::Amperes, amperes, &AMPERES).map_or(Shown::Over, Shown::Figure);
    Ok(Measured::plain(shown))
}
