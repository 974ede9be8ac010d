//! Step 8 of a tick: the signals that changed.

use super::{Events, contactors, controls, dc_supplies, motors};
use crate::design::{Design, SignalSource};
use crate::state::{ControllerPhase, State};

/// Takes all signals anew; those that changed become events.
pub(super) fn collect(design: &Design, state: &mut State, events: &mut Events) {
    for word in 0..state.signals.len() {
        let bits = bits(design, state, word);
        let mut changed = bits ^ state.signals[word];
        state.signals[word] = bits;
        while changed != 0 {
            let k = changed.trailing_zeros() as usize;
            changed &= changed - 1;
            events.changed.push((word * 64 + k, bits >> k & 1 != 0));
        }
    }
}

/// Whether taking them anew would change none.
pub(super) fn unchanged(design: &Design, state: &State) -> bool {
    (0..state.signals.len()).all(|word| bits(design, state, word) == state.signals[word])
}

/// The signals `64·word` to `64·word + 63`.
fn bits(design: &Design, state: &State, word: usize) -> u64 {
    let chunk = design.signals.iter().skip(word * 64).take(64).enumerate();
    chunk.fold(0, |bits, (k, signal)| bits | u64::from(value(design, state, signal.source)) << k)
}

pub(super) fn value(design: &Design, state: &State, source: SignalSource) -> bool {
    match source {
        SignalSource::SupplyOn(i) => state.supplies[i],
        SignalSource::SwitchClosed(i) => {
            let s = &state.switches[i];
            s.closed && s.open_poles == [false; 3]
        }
        SignalSource::SwitchTripped(i) => state.switches[i].tripped,
        SignalSource::Position(i, position) => controls::position(design, state, i) == position,
        SignalSource::Contact(i) => state.key.get(i),
        SignalSource::Coil(i) => contactors::attracts(design, state, i),
        SignalSource::MainClosed(i) => {
            let data = &design.contactors[i].data;
            if data.poles.is_empty() {
                state.key.get(data.sealed_bit)
            } else {
                data.mains.clone().any(|contact| state.key.get(contact))
            }
        }
        SignalSource::Hums(i) => state.contactors[i].coil.hums,
        SignalSource::Chatters(i) => state.contactors[i].chatter.chatters(),
        SignalSource::CoilBurnt(i) => state.contactors[i].coil.burnt,
        SignalSource::Welded(i) => state.contactors[i].welded != 0,
        SignalSource::Tripped(i) => state.overloads[i].tripped,
        SignalSource::StopHeld(i) => state.overloads[i].stop_held,
        SignalSource::ResetHeld(i) => state.overloads[i].reset_held,
        SignalSource::DcOn(i) => dc_supplies::output(&state.dc_supplies[i]),
        SignalSource::Scanning(i) => state.controllers[i].phase == ControllerPhase::Running,
        SignalSource::Input(i, bit) => state.controllers[i].inputs >> bit & 1 != 0,
        SignalSource::Output(i, bit) => state.controllers[i].outputs >> bit & 1 != 0,
        SignalSource::OutputDamaged(i, bit) => state.controllers[i].contacts[usize::from(bit)].damaged,
        SignalSource::Variable(bit) => design.compiled.read(&state.controllers[0].memory, bit),
        SignalSource::Lit(i) => state.lamps[i],
        SignalSource::Turning(i) => state.motors[i].turning() != 0,
        SignalSource::Clockwise(i) => state.motors[i].turning() > 0,
        SignalSource::Counterclockwise(i) => state.motors[i].turning() < 0,
        SignalSource::Hot(i) => state.motors[i].winding.hot(),
        SignalSource::Burnt(i) => state.motors[i].winding.failed.is_some(),
        SignalSource::Actuated(i) => motors::actuated(design, state, i),
        SignalSource::Released(i) => state.brakes[i].released,
    }
}
