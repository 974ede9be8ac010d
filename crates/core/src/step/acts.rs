//! Step 1 of a tick: what a person does.

use super::{Events, Note, buttons};
use crate::act::BenchAct;
use crate::design::Design;
use crate::state::State;

/// Takes one act. Those that name no fitting part are ignored.
pub(super) fn take(design: &Design, state: &mut State, act: &BenchAct, events: &mut Events) {
    match act {
        BenchAct::Press(tag) => set_pressed(design, state, tag, true),
        BenchAct::Release(tag) => set_pressed(design, state, tag, false),
        BenchAct::Push(tag) => {
            if let Some(i) = design.contactors.iter().position(|c| c.tag == *tag) {
                state.contactors[i].pushed = true;
            }
        }
        BenchAct::Trip(tag) => {
            if let Some(i) = design.overloads.iter().position(|o| o.tag == *tag) {
                state.overloads[i].tripped = true;
            }
        }
        BenchAct::Reset(tag) => {
            if let Some(i) = design.overloads.iter().position(|o| o.tag == *tag) {
                let relay = &mut state.overloads[i];
                if relay.tripped && !relay.cool() {
                    events.notes.push(Note::ResetRefused { part: tag.clone() });
                } else {
                    relay.tripped = false;
                }
            }
        }
        BenchAct::Power(on) => state.supplies.fill(*on),
        BenchAct::Open(tag) | BenchAct::Close(tag) => {
            if let Some(i) = design.switches.iter().position(|s| s.tag == *tag) {
                let close = matches!(act, BenchAct::Close(_));
                let switch = &mut state.switches[i];
                // Closing puts in new links and resets a tripped breaker; an open pole has no heat left by then.
                if close && !switch.closed || switch.open_poles != [false; 3] {
                    switch.open_poles = [false; 3];
                    switch.heat = Default::default();
                }
                switch.closed = close;
            }
        }
        BenchAct::Jam(tag) | BenchAct::Free(tag) => {
            if let Some(i) = design.motors.iter().position(|m| m.tag == *tag) {
                state.motors[i].jammed = matches!(act, BenchAct::Jam(_));
            }
        }
        // Faults belong to the design: [`crate::Bench`] builds another one.
        BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll => {}
    }
}

fn set_pressed(design: &Design, state: &mut State, tag: &str, pressed: bool) {
    if let Some(i) = design.buttons.iter().position(|b| b.tag == tag) {
        buttons::set_pressed(design, state, i, pressed);
    } else if let Some(overload) = tag.strip_suffix(".stop") {
        if let Some(i) = design.overloads.iter().position(|o| o.tag == overload) {
            state.overloads[i].stop_held = pressed;
        }
    } else if !pressed && let Some(i) = design.contactors.iter().position(|c| c.tag == tag) {
        state.contactors[i].pushed = false;
    }
}
