//! Thermal overloads: the heaters' currents, and heat in steps of [`HEAT_STEP_MS`].

use super::volts::{Column, Swayed, Volts};
use super::{Events, Note};
use crate::complex::Complex;
use crate::design::Design;
use crate::devices::overload::HEAT_STEP_MS;
use crate::state::State;

/// The heaters' currents from the network.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) {
    let tick = state.tick;
    for (o, s) in design.overloads.iter().zip(&mut state.overloads) {
        let per_ohm_square = o.data.per_ohm_square;
        s.set_square([0, 1, 2].map(|k| volts.square(o.data.poles[k]) * per_ohm_square[k]), tick);
    }
}

/// The heaters that a motor sways.
pub(super) fn swayed(design: &Design, volts: &Volts) -> Swayed {
    let mut swayed = Swayed::default();
    for (member, o) in design.overloads.iter().enumerate() {
        for (pole, &pair) in o.data.poles.iter().enumerate() {
            if volts.sway(pair) != 0.0 {
                swayed.add(volts, member, pole, pair);
            }
        }
    }
    swayed
}

/// The heaters' currents, where only those of the motors have changed.
pub(super) fn follow(
    design: &Design,
    state: &mut State,
    swayed: &Swayed,
    drawn: &[[Complex; 3]],
    room: &mut Column,
) {
    let (tick, overloads) = (state.tick, &mut state.overloads);
    swayed.squares(drawn, room, |member, pole, square| {
        let per_ohm_square = design.overloads[member].data.per_ohm_square[pole];
        overloads[member].set_pole(pole, square * per_ohm_square, tick);
    });
}

/// The next step of heat of a tick is due.
pub(super) fn due(tick: u64) -> bool {
    tick != 0 && tick.is_multiple_of(HEAT_STEP_MS)
}

/// One step of heat, at a tick at which it is due. Returns whether a relay trips or resets by itself.
pub(super) fn tick(design: &Design, state: &mut State, events: &mut Events) -> bool {
    let mut changed = false;
    for (o, s) in design.overloads.iter().zip(&mut state.overloads) {
        let before = s.tripped;
        if s.heat_step(&o.data.overload, state.tick) {
            if o.data.never_trips {
                s.tripped = before;
            } else {
                events.notes.push(Note::HeatTrip { part: o.tag.clone() });
                changed = true;
            }
        }
        if !o.data.never_resets && s.automatic_reset(&o.data.overload) {
            events.notes.push(Note::ResetByItself { part: o.tag.clone() });
            changed = true;
        }
    }
    state.awake.contacts |= changed;
    changed
}
