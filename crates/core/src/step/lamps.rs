//! Lamps: lit or not.

use super::Volts;
use crate::design::Design;
use crate::state::State;

/// A lamp is lit from this part of its rated voltage (typical).
const LIT_FROM: f64 = 0.6;

/// The lamps from the network. Returns whether one lights up or goes out.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) -> bool {
    let mut changed = false;
    for (l, lit) in design.lamps.iter().zip(&mut state.lamps) {
        let least = LIT_FROM * f64::from(l.data.lamp.rated_mv) / 1000.0;
        let now = volts.square(l.data.nodes) >= least * least;
        changed |= now != *lit;
        *lit = now;
    }
    changed
}
