//! Thermal overloads: the heaters' currents, and heat in steps of [`HEAT_STEP_MS`].

use super::{Events, Note, Volts};
use crate::design::Design;
use crate::devices::overload::HEAT_STEP_MS;
use crate::network::HEATER_OHM;
use crate::state::State;

/// The heaters' currents from the network.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) {
    let tick = state.tick;
    for (o, s) in design.overloads.iter().zip(&mut state.overloads) {
        let square = o.data.poles.map(|pair| {
            let i = volts.size(pair) * (1.0 / HEATER_OHM);
            i * i
        });
        s.set_square(square, tick);
    }
}

/// The next step of heat of a tick is due.
pub(super) fn due(tick: u64) -> bool {
    tick != 0 && tick.is_multiple_of(HEAT_STEP_MS)
}

/// One step of heat, at a tick at which it is due. Returns whether a relay trips.
pub(super) fn tick(design: &Design, state: &mut State, events: &mut Events) -> bool {
    let mut changed = false;
    for (o, s) in design.overloads.iter().zip(&mut state.overloads) {
        if s.heat_step(&o.data.overload, state.tick) {
            events.notes.push(Note::HeatTrip { part: o.tag.clone() });
            changed = true;
        }
    }
    state.awake.contacts |= changed;
    changed
}
