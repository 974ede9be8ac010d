//! Lamps: lit or not.

use super::volts::{Volts, least};
use crate::design::{Design, LampData, Tagged};
use crate::part::Lamp;
use crate::state::State;

/// A lamp is lit from this part of its rated voltage (typical).
pub(crate) const LIT_FROM: f64 = 0.6;

/// Square of the voltage from which a lamp is lit, V².
fn least_square(lamp: &Lamp) -> f64 {
    let volts = LIT_FROM * f64::from(lamp.rated_mv) / 1000.0;
    volts * volts
}

/// The motors' current, A, up to which no lamp's reading comes out otherwise.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |l: &Tagged<LampData>| volts.margin_of_size(l.data.nodes, least_square(&l.data.lamp));
    least(design.lamps.iter().map(of))
}

/// The lamps from the network. Returns whether one lights up or goes out.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) -> bool {
    let mut changed = false;
    for (l, lit) in design.lamps.iter().zip(&mut state.lamps) {
        let now = !l.data.dark && volts.square(l.data.nodes) >= least_square(&l.data.lamp);
        changed |= now != *lit;
        *lit = now;
    }
    changed
}
