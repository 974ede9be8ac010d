//! When nothing is pending: the ticks that can be passed over without changing a bit.
//!
//! With no travel, filter, bounce, timer or transient pending and the scan at a fixed point, the next ticks do nothing
//! but count, until the next step of heat. Passing over them gives the same bits as computing them.

use super::{brakes, contactors, contacts, controllers, controls, dc_supplies, motors, outputs, switches};
use crate::design::Design;
use crate::devices::overload::HEAT_STEP_MS;
use crate::state::{Awake, State};

/// Whether the next tick, without acts, does nothing but count (a step of heat and steady ways of machines aside).
pub fn quiet(state: &State) -> bool {
    !state.stale && Awake { travel: false, ..state.awake } == Awake::NONE
}

/// Ticks that may be passed over from `state.tick` before `target`: none when something is pending.
pub fn quiet_ticks(design: &Design, state: &State, target: u64) -> u64 {
    if target <= state.tick || !quiet(state) {
        return 0;
    }
    let to_heat = match state.tick % HEAT_STEP_MS {
        0 => 0,
        past => HEAT_STEP_MS - past,
    };
    let ticks = to_heat.min(target - state.tick);
    if state.awake.travel { ticks.min(motors::free_ticks(design, state)) } else { ticks }
}

/// Passes over so many quiet ticks, as [`quiet_ticks`] gave them.
pub fn pass_over(design: &Design, state: &mut State, ticks: u64) {
    state.tick += ticks;
    if state.awake.travel {
        motors::pass_over(design, state, ticks);
    }
}

/// Whether the ticks of the families that are not awake would change nothing: what the flags promise.
pub(super) fn sleepers_are_still(design: &Design, state: &State) -> bool {
    let awake = &state.awake;
    (awake.contacts || contacts::key(design, state) == state.key)
        && (awake.controls || controls::still(state))
        && (awake.contactors || contactors::still(design, state))
        && (awake.controllers || controllers::still(state))
        && (awake.outputs || outputs::still(design, state))
        && (awake.dc_supplies || dc_supplies::still(state))
        && (awake.motors || awake.travel || motors::still(design, state))
        && (awake.brakes || brakes::still(state))
        && (awake.switches || switches::still(design, state))
}
