//! Push-buttons: the plunger, and the bounce of the contact after its level changed.

use crate::design::Design;
use crate::state::State;

/// Ticks for which a push-button's contact bounces after its level changed (at most 3 ms, typical).
const BOUNCE: u8 = 3;

/// The tick of the bounce, counted down, at which the contact has sprung back to its old level.
const BOUNCED_BACK: u8 = 2;

/// Level of a push-button's plunger, faults included.
pub(super) fn plunger(design: &Design, state: &State, button: usize) -> bool {
    state.buttons[button].pressed || design.buttons[button].data.stuck
}

/// Level of the plunger as its contact shows it, bounce included.
pub(super) fn level(design: &Design, state: &State, button: usize) -> bool {
    plunger(design, state, button) != (state.buttons[button].bounce == BOUNCED_BACK)
}

/// A person presses or lets go.
pub(super) fn set_pressed(design: &Design, state: &mut State, button: usize, pressed: bool) {
    let s = &mut state.buttons[button];
    if s.pressed != pressed {
        s.pressed = pressed;
        if !design.buttons[button].data.stuck {
            s.bounce = BOUNCE;
        }
    }
}

/// Counts the bounces down.
pub(super) fn tick(state: &mut State) {
    state.awake.buttons = false;
    for s in &mut state.buttons {
        if s.bounce != 0 {
            s.bounce -= 1;
            state.awake.contacts = true;
            state.awake.buttons |= s.bounce != 0;
        }
    }
}

/// No contact bounces.
pub(super) fn still(state: &State) -> bool {
    state.buttons.iter().all(|s| s.bounce == 0)
}
