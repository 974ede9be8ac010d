//! Step 1 of a tick: what a person does.

use super::{Events, Note, controllers, controls};
use crate::act::BenchAct;
use crate::design::Design;
use crate::devices::output::OutputState;
use crate::devices::protection;
use crate::part::Protection;
use crate::state::State;

/// Takes one act. Those that name no fitting part are ignored.
pub(super) fn take(design: &Design, state: &mut State, act: &BenchAct, events: &mut Events) {
    match act {
        BenchAct::Press(tag) => set_pressed(design, state, tag, true, events),
        BenchAct::Release(tag) => set_pressed(design, state, tag, false, events),
        BenchAct::Turn(tag, position) => {
            if let Some(i) = design.controls.iter().position(|c| c.tag == *tag) {
                controls::set(design, state, i, *position);
            }
        }
        BenchAct::Push(tag) => {
            if let Some(i) = design.contactors.iter().position(|c| c.tag == *tag) {
                state.contactors[i].pushed = true;
            }
        }
        BenchAct::Trip(tag) => {
            if let Some(i) = design.overloads.iter().position(|o| o.tag == *tag) {
                state.overloads[i].tripped = true;
            } else if let Some(i) = design.switches.iter().position(|s| s.tag == *tag) {
                let switch = &mut state.switches[i];
                switch.tripped |= switch.closed;
                switch.closed = false;
            }
        }
        BenchAct::Reset(tag) => {
            if let Some(i) = design.overloads.iter().position(|o| o.tag == *tag) {
                reset(design, state, i, tag, events);
            }
        }
        BenchAct::Power(on) => state.supplies.fill(*on),
        BenchAct::Open(tag) | BenchAct::Close(tag) => {
            if let Some(i) = design.switches.iter().position(|s| s.tag == *tag) {
                let close = matches!(act, BenchAct::Close(_));
                let protection = design.switches[i].data.protection;
                let switch = &mut state.switches[i];
                if close && switch.locked {
                    return;
                }
                if close && !protection::closes(protection, switch.heat) {
                    events.notes.push(Note::ResetRefused { part: tag.clone() });
                    return;
                }
                // Closing puts in new links and resets a tripped breaker; an open pole has no heat left by then. The
                // bimetals of a motor-protective breaker keep theirs.
                let keeps_heat = matches!(protection, Protection::Motor { .. });
                if (close && !switch.closed || switch.open_poles != [false; 3]) && !keeps_heat {
                    switch.open_poles = [false; 3];
                    switch.heat = Default::default();
                }
                (switch.closed, switch.tripped) = (close, false);
            }
        }
        BenchAct::Lock(tag) | BenchAct::Unlock(tag) => {
            if let Some(i) = design.switches.iter().position(|s| s.tag == *tag) {
                let switch = &mut state.switches[i];
                switch.locked = matches!(act, BenchAct::Lock(_)) && !switch.closed;
            }
        }
        BenchAct::Stop(tag) | BenchAct::Run(tag) => {
            if let Some(i) = design.controllers.iter().position(|c| c.tag == *tag) {
                let s = &mut state.controllers[i];
                s.stopped = matches!(act, BenchAct::Stop(_));
                s.overrun &= s.stopped;
            }
        }
        BenchAct::Restart(tag, restart) => {
            if let Some(i) = design.controllers.iter().position(|c| c.tag == *tag) {
                controllers::restart(design, &mut state.controllers[i], *restart);
            }
        }
        BenchAct::Replace(tag) => replace(design, state, tag),
        BenchAct::Jam(tag) | BenchAct::Free(tag) => {
            if let Some(i) = design.motors.iter().position(|m| m.tag == *tag) {
                state.motors[i].jammed = matches!(act, BenchAct::Jam(_));
            }
        }
        // Faults belong to the design: [`crate::Bench`] builds another one.
        BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll => {}
    }
}

/// A new device in place of this one: its damage, heat and latches are gone; where it stands is as it was.
fn replace(design: &Design, state: &mut State, tag: &str) {
    if let Some(i) = design.contactors.iter().position(|c| c.tag == tag) {
        let s = &mut state.contactors[i];
        s.welded = 0;
        s.poles.iter_mut().for_each(|pole| (pole.surge, pole.kelvin) = (0.0, 0.0));
        (s.coil.heat, s.coil.strained, s.coil.burnt) = (0.0, 0, false);
        s.chatter = Default::default();
    } else if let Some(i) = design.controllers.iter().position(|c| c.tag == tag) {
        state.controllers[i].destroyed = 0;
        state.controllers[i].contacts.fill(OutputState::default());
        // The channels are read anew.
        state.stale = true;
    } else if let Some(i) = design.switches.iter().position(|s| s.tag == tag) {
        let s = &mut state.switches[i];
        (s.open_poles, s.heat, s.tripped) = ([false; 3], Default::default(), false);
    } else if let Some(i) = design.motors.iter().position(|m| m.tag == tag) {
        state.motors[i].winding = Default::default();
        // A new winding changes the network.
        state.stale = true;
    } else if let Some(i) = design.overloads.iter().position(|o| o.tag == tag) {
        let s = &mut state.overloads[i];
        (s.tripped, s.heat, s.sum, s.since) = (false, [0.0; 3], [0.0; 3], state.tick);
    }
}

/// Pushes the reset of overload `i`; a hot relay keeps its latch out.
fn reset(design: &Design, state: &mut State, i: usize, tag: &str, events: &mut Events) {
    if design.overloads[i].data.never_resets && state.overloads[i].tripped || !state.overloads[i].push_reset()
    {
        events.notes.push(Note::ResetRefused { part: tag.to_string() });
    }
}

fn set_pressed(design: &Design, state: &mut State, tag: &str, pressed: bool, events: &mut Events) {
    if let Some(i) = design.controls.iter().position(|c| c.tag == tag) {
        controls::set(design, state, i, 1 + u8::from(pressed));
    } else if let Some(overload) = tag.strip_suffix(".stop") {
        if let Some(i) = design.overloads.iter().position(|o| o.tag == overload) {
            state.overloads[i].stop_held = pressed;
        }
    } else if let Some(overload) = tag.strip_suffix(".reset") {
        if let Some(i) = design.overloads.iter().position(|o| o.tag == overload) {
            if pressed && !state.overloads[i].reset_held {
                reset(design, state, i, overload, events);
            }
            state.overloads[i].reset_held = pressed;
        }
    } else if !pressed && let Some(i) = design.contactors.iter().position(|c| c.tag == tag) {
        state.contactors[i].pushed = false;
    }
}
