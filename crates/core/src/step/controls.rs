//! Control devices: the position, and the bounce of the contacts after it changed.

use crate::design::Design;
use crate::state::State;

/// Ticks for which the contacts bounce after the position changed (at most 3 ms, typical).
const BOUNCE: u8 = 3;

/// The tick of the bounce, counted down, at which the contacts have sprung back to where they were.
const BOUNCED_BACK: u8 = 2;

/// Position of the actuator, faults included.
pub(crate) fn position(design: &Design, state: &State, control: usize) -> u8 {
    design.controls[control].data.kept.unwrap_or(state.controls[control].position)
}

/// Position as the contacts show it, bounce included.
pub(super) fn shown(design: &Design, state: &State, control: usize) -> u8 {
    let s = &state.controls[control];
    let kept = design.controls[control].data.kept.is_some();
    let back = !kept && s.bounce > 0 && s.back.unwrap_or(s.bounce == BOUNCED_BACK);
    if back { s.before } else { position(design, state, control) }
}

/// Whether a contact that is closed in these positions (position 1 is bit 0) is closed in this one.
pub(crate) fn closed(closed_in: u8, position: u8) -> bool {
    closed_in >> (position - 1) & 1 != 0
}

/// A person moves the actuator.
pub(super) fn set(design: &Design, state: &mut State, control: usize, position: u8) {
    let s = &mut state.controls[control];
    if s.position != position {
        if design.controls[control].data.kept.is_none() {
            s.bounce = BOUNCE;
            s.before = s.position;
        }
        s.position = position;
    }
}

/// Counts the bounces down.
pub(super) fn tick(state: &mut State) {
    state.awake.controls = false;
    for s in &mut state.controls {
        if s.bounce != 0 {
            s.bounce -= 1;
            state.awake.contacts = true;
            state.awake.controls |= s.bounce != 0;
        }
    }
}

/// No contact bounces.
pub(super) fn still(state: &State) -> bool {
    state.controls.iter().all(|s| s.bounce == 0)
}
