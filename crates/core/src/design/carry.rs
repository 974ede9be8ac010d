//! Taking the state of one design over to the next: by tag, new parts at rest.

use super::{Design, Tagged};
use crate::devices::armature::Relay;
use crate::devices::output::OutputState;
use crate::devices::shaft::MotorState;
use crate::state::{ControlState, ControllerPhase, ControllerState, State, SwitchState};

impl Design {
    /// The state before the first tick: supply off, switching devices closed, all else at rest.
    pub fn initial_state(&self) -> State {
        State {
            tick: 0,
            supplies: vec![false; self.supplies.len()],
            switches: vec![SwitchState { closed: true, ..SwitchState::default() }; self.switches.len()],
            controls: self.controls.iter().map(|c| ControlState::at(c.data.control.start())).collect(),
            contactors: vec![Default::default(); self.contactors.len()],
            overloads: vec![Default::default(); self.overloads.len()],
            dc_supplies: vec![Default::default(); self.dc_supplies.len()],
            controllers: self
                .controllers
                .iter()
                .map(|c| {
                    ControllerState::at_rest(
                        c.data.inputs.len(),
                        c.data.outputs.len(),
                        self.compiled.cold_start(),
                    )
                })
                .collect(),
            lamps: vec![false; self.lamps.len()],
            motors: self.motors.iter().map(|m| MotorState::at_start(&m.data.load)).collect(),
            brakes: vec![Default::default(); self.brakes.len()],
            stale: true,
            signals: vec![0; self.signals.len().div_ceil(64)],
            ..State::default()
        }
    }

    /// State `old` of design `from`, as the start of this design. Program variables go over by name and kind.
    pub fn carry(&self, from: &Design, old: &State) -> State {
        let mut new = self.initial_state();
        new.tick = old.tick;
        take(&self.supplies, &mut new.supplies, &from.supplies, &old.supplies);
        take(&self.switches, &mut new.switches, &from.switches, &old.switches);
        take(&self.controls, &mut new.controls, &from.controls, &old.controls);
        take(&self.contactors, &mut new.contactors, &from.contactors, &old.contactors);
        take(&self.overloads, &mut new.overloads, &from.overloads, &old.overloads);
        take(&self.dc_supplies, &mut new.dc_supplies, &from.dc_supplies, &old.dc_supplies);
        take(&self.lamps, &mut new.lamps, &from.lamps, &old.lamps);
        take(&self.motors, &mut new.motors, &from.motors, &old.motors);
        take(&self.brakes, &mut new.brakes, &from.brakes, &old.brakes);
        for (place, c) in self.controllers.iter().enumerate() {
            let Some(k) = from.controllers.iter().position(|o| o.tag == c.tag) else { continue };
            let mut state = old.controllers[k].clone();
            state.differing.resize(c.data.inputs.len(), 0);
            state.relays.resize(c.data.outputs.len(), Relay::default());
            state.contacts.resize(c.data.outputs.len(), OutputState::default());
            state.relays_due = true;
            state.memory = self.compiled.carry(&from.compiled, &old.controllers[k].memory);
            if matches!(state.phase, ControllerPhase::Off | ControllerPhase::Starting) {
                // It has not run yet: its first scan is still to come, and what is not retained begins anew.
                state.memory = self.compiled.warm_start(&state.memory);
            }
            // A new program may do otherwise with the same inputs.
            state.settled &= self.program == from.program;
            new.controllers[place] = state;
        }
        for (number, signal) in self.signals.iter().enumerate() {
            let before = from.signals.binary_search_by(|s| s.name.cmp(&signal.name));
            if before.is_ok_and(|k| old.signal(k)) {
                new.signals[number / 64] |= 1 << (number % 64);
            }
        }
        new
    }
}

fn take<D, E, S: Clone>(to: &[Tagged<D>], new: &mut [S], from: &[Tagged<E>], old: &[S]) {
    for (place, member) in to.iter().enumerate() {
        if let Some(k) = from.iter().position(|o| o.tag == member.tag) {
            new[place] = old[k].clone();
        }
    }
}
