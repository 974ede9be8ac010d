//! When nothing is pending: the ticks that can be passed over without changing a bit.
//!
//! With no travel, filter, bounce, timer or transient pending and the scan at a fixed point, the next ticks do nothing
//! but count, until the next step of heat. Passing over them gives the same bits as computing them.

use super::{contacts, power, pulled};
use crate::design::Design;
use crate::devices::armature::Place;
use crate::devices::overload::HEAT_STEP_MS;
use crate::state::{ControllerPhase, DcPhase, State};

/// Whether the next tick, without acts, does nothing but count (a step of heat aside).
pub fn quiet(design: &Design, state: &State) -> bool {
    !state.stale
        && state.buttons.iter().all(|b| b.bounce == 0)
        && still_supplies(state)
        && still_contactors(design, state)
        && still_controllers(state)
        && still_motors(design, state)
        && !power::surging(design, state)
        && contacts(design, state) == state.key
}

/// Ticks that may be passed over from `state.tick` before `target`: none when something is pending.
pub fn quiet_ticks(design: &Design, state: &State, target: u64) -> u64 {
    if target <= state.tick || !quiet(design, state) {
        return 0;
    }
    let to_heat = match state.tick % HEAT_STEP_MS {
        0 => 0,
        past => HEAT_STEP_MS - past,
    };
    to_heat.min(target - state.tick)
}

fn still_supplies(state: &State) -> bool {
    state.dc_supplies.iter().all(|s| match s.phase {
        DcPhase::Off => !s.input_live,
        DcPhase::On => s.input_live,
        DcPhase::Starting | DcPhase::HoldingUp => false,
    })
}

fn still_contactors(design: &Design, state: &State) -> bool {
    state.contactors.iter().enumerate().all(|(i, s)| match s.armature.place {
        Place::Out => !pulled(design, state, i),
        Place::In => pulled(design, state, i),
        _ => false,
    })
}

fn still_controllers(state: &State) -> bool {
    state.controllers.iter().all(|s| {
        let phase = match s.phase {
            ControllerPhase::Off => !s.supplied,
            ControllerPhase::Starting => false,
            ControllerPhase::Running => s.supplied && s.settled && s.inputs == s.filtered,
        };
        phase
            && (s.phase == ControllerPhase::Off || s.raw == s.filtered)
            && s.differing.iter().all(|&d| d == 0)
            && s.relays.iter().enumerate().all(|(k, r)| r.at_rest(s.outputs >> k & 1 != 0) && r.elapsed == 0)
    })
}

/// The shaft keeps its speed, and the currents are those of this speed.
fn still_motors(design: &Design, state: &State) -> bool {
    design.motors.iter().zip(&state.motors).all(|(m, s)| {
        let mut next = *s;
        !s.off_stamp(&m.data.circuit)
            && !next.turn(&m.data.circuit, m.data.load_inertia, m.data.load_friction)
    })
}
