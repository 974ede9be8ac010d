//! Step 8 of a tick: the signals that changed.

use super::{Events, plunger};
use crate::design::{Design, SignalSource};
use crate::devices::motor::TURNING;
use crate::state::{ControllerPhase, State};

pub(super) fn collect(design: &Design, state: &mut State, events: &mut Events) {
    for (word, chunk) in design.signals.chunks(64).enumerate() {
        let mut bits = 0u64;
        for (k, signal) in chunk.iter().enumerate() {
            bits |= u64::from(value(design, state, signal.source)) << k;
        }
        let mut changed = bits ^ state.signals[word];
        state.signals[word] = bits;
        while changed != 0 {
            let k = changed.trailing_zeros() as usize;
            changed &= changed - 1;
            events.changed.push((word * 64 + k, bits >> k & 1 != 0));
        }
    }
}

fn value(design: &Design, state: &State, source: SignalSource) -> bool {
    match source {
        SignalSource::SupplyOn(i) => state.supplies[i],
        SignalSource::SwitchClosed(i) => {
            let s = &state.switches[i];
            s.closed && s.open_poles == [false; 3]
        }
        SignalSource::Pressed(i) => plunger(design, state, i),
        SignalSource::Contact(i) => state.key.get(i),
        SignalSource::Coil(i) => state.contactors[i].attracted && !design.contactors[i].data.coil_open,
        SignalSource::MainClosed(i) => {
            design.contactors[i].data.mains.clone().any(|contact| state.key.get(contact))
        }
        SignalSource::Tripped(i) => state.overloads[i].tripped,
        SignalSource::StopHeld(i) => state.overloads[i].stop_held,
        SignalSource::DcOn(i) => super::power::dc_output(&state.dc_supplies[i]),
        SignalSource::Scanning(i) => state.controllers[i].phase == ControllerPhase::Running,
        SignalSource::Input(i, bit) => state.controllers[i].inputs >> bit & 1 != 0,
        SignalSource::Output(i, bit) => state.controllers[i].outputs >> bit & 1 != 0,
        SignalSource::Variable(bit) => design.compiled.read(&state.controllers[0].memory, bit),
        SignalSource::Lit(i) => state.lamps[i],
        SignalSource::Turning(i) => state.motors[i].speed > TURNING || state.motors[i].speed < -TURNING,
        SignalSource::Clockwise(i) => state.motors[i].speed > TURNING,
        SignalSource::Counterclockwise(i) => state.motors[i].speed < -TURNING,
    }
}
