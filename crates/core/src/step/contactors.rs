//! Contactors: the coil's voltage against pick-up and drop-out, and the armature's travel.

use super::volts::{Volts, least};
use crate::design::{ContactorData, Design, Tagged};
use crate::devices::armature::Place;
use crate::state::State;

/// Pick-up of an AC coil in parts of its rated voltage: it must close at 0.85 (IEC 60947-4-1); typical 0.70 to 0.80.
pub(crate) const PICK_UP: f64 = 0.75;

/// Drop-out of an AC coil in parts of its rated voltage: between 0.75 and 0.20 (IEC 60947-4-1); typical 0.40 to 0.60.
pub(crate) const DROP_OUT: f64 = 0.5;

/// The coil attracts or a hand pushes.
pub(super) fn pulled(design: &Design, state: &State, contactor: usize) -> bool {
    let s = &state.contactors[contactor];
    s.pushed || s.attracted && !design.contactors[contactor].data.coil_open
}

/// The motors' current, A, up to which no coil's reading comes out otherwise.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |c: &Tagged<ContactorData>| {
        let rated = f64::from(c.data.contactor.coil_mv) / 1000.0;
        [PICK_UP, DROP_OUT].map(|part| volts.margin(c.data.coil, part * rated))
    };
    least(design.contactors.iter().flat_map(of))
}

/// The coils from the network. Returns whether one attracts or lets go.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) -> bool {
    let mut changed = false;
    for (c, s) in design.contactors.iter().zip(&mut state.contactors) {
        let part = volts.ac(c.data.coil) / (f64::from(c.data.contactor.coil_mv) / 1000.0);
        let attracted = if part >= PICK_UP { true } else { s.attracted && part >= DROP_OUT };
        changed |= attracted != s.attracted;
        s.attracted = attracted;
    }
    state.awake.contactors |= changed;
    // The make contact of welded poles follows the pull at once.
    state.awake.contacts |= changed;
    changed
}

/// Armatures, in the order of the tags: with both coils on, the first takes the mechanical interlock.
pub(super) fn tick(design: &Design, state: &mut State) {
    for (i, c) in design.contactors.iter().enumerate() {
        let pulled = pulled(design, state, i);
        let blocked = c.data.interlocked.is_some_and(|other| state.contactors[other].armature.main_shut());
        let armature = &mut state.contactors[i].armature;
        let before = armature.place;
        armature.step(pulled, blocked, c.data.welded, c.data.delays);
        state.awake.contacts |= armature.place != before;
    }
    state.awake.contactors = !still(design, state);
}

/// Every armature rests where it is drawn to.
pub(super) fn still(design: &Design, state: &State) -> bool {
    state.contactors.iter().enumerate().all(|(i, s)| match s.armature.place {
        Place::Out => !pulled(design, state, i),
        Place::In => pulled(design, state, i),
        _ => false,
    })
}
