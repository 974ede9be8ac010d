//! Step 2 of a tick: from mechanical positions to the state of every contact.

use super::{contactors, controls, dc_supplies, motors};
use crate::design::{ContactSource, Design};
use crate::network::Key;
use crate::part::Form;
use crate::state::State;

/// The key of all contacts, coil stages and supply modes.
pub(crate) fn key(design: &Design, state: &State) -> Key {
    let mut key = Key::default();
    for (bit, contact) in design.contacts.iter().enumerate() {
        let closed = contact.forced.unwrap_or_else(|| closed(design, state, contact.source));
        key.set(bit, closed);
    }
    for (c, s) in design.contactors.iter().zip(&state.contactors) {
        key.set(c.data.sealed_bit, s.armature.main_shut());
        key.set(c.data.sealed_bit + 1, s.coil.burnt);
    }
    for (supply, &on) in design.supplies.iter().zip(&state.supplies) {
        key.set(supply.data, on);
    }
    for (m, s) in design.motors.iter().zip(&state.motors) {
        if let Some(winding) = s.winding.failed {
            key.set(m.data.failed_bit + usize::from(winding), true);
        }
    }
    for (dc, s) in design.dc_supplies.iter().zip(&state.dc_supplies) {
        key.set(dc.data.bit, dc_supplies::output(s));
        key.set(dc.data.bit + 1, s.limiting);
    }
    for (c, s) in design.controllers.iter().zip(&state.controllers) {
        for (k, output) in c.data.outputs.iter().enumerate() {
            if let Some(bit) = output.transistor {
                key.set(bit, s.limiting >> k & 1 != 0);
            }
        }
    }
    key
}

/// Whatever is read here must set [`crate::state::Awake::contacts`] when it changes.
fn closed(design: &Design, state: &State, source: ContactSource) -> bool {
    match source {
        ContactSource::Control(i, closed_in) => {
            controls::closed(closed_in, controls::shown(design, state, i))
        }
        ContactSource::Main(i, pole) => {
            contactors::touching(&state.contactors[i])
                || contactors::welded(design, state, i) >> pole & 1 != 0
        }
        // Welded poles hold the armature short of its rest: the make contacts have opened (a choice, they may stay), and
        // a mirror contact stays open. Without a mirror contact the break contacts may close again; here they do.
        ContactSource::AuxMake(i) => contactors::touching(&state.contactors[i]),
        ContactSource::AuxBreak(i) => {
            let held = design.contactors[i].data.mirror && contactors::welded(design, state, i) != 0;
            state.contactors[i].armature.break_shut() && !held
        }
        // By the place of the armature: the early one closes where the break contacts have opened, the late one opens where
        // the main poles close. On the way back the other way round.
        ContactSource::EarlyMake(i) => !state.contactors[i].armature.break_shut(),
        ContactSource::LateBreak(i) => !state.contactors[i].armature.main_shut(),
        ContactSource::TimedMake(i) => state.contactors[i].timer.contact.main_shut(),
        ContactSource::TimedBreak(i) => state.contactors[i].timer.contact.break_shut(),
        ContactSource::TripBreak(i) => state.overloads[i].break_shut(),
        ContactSource::TripMake(i) => state.overloads[i].tripped,
        ContactSource::Switch(i, pole) => state.switches[i].closed && !state.switches[i].open_poles[pole],
        ContactSource::SwitchAux(i, form) => state.switches[i].closed == (form == Form::Make),
        ContactSource::SwitchTrip(i, form) => state.switches[i].tripped == (form == Form::Make),
        ContactSource::Output(c, channel) => {
            let s = &state.controllers[c];
            s.relays[channel].closed || s.contacts[channel].damaged
        }
        ContactSource::Position(i, form) => motors::actuated(design, state, i) == (form == Form::Make),
    }
}
