//! Step 4 of a tick: input channels, filters, images, the scan, output relays.

use super::volts::{Volts, least};
use super::{Events, Note};
use crate::act::Restart;
use crate::design::{Design, InputData};
use crate::devices::channel;
use crate::network::Solution;
use crate::state::{ControllerPhase, ControllerState, State};
use sealin_ladder::Memory;

/// A controller runs above this supply voltage, V DC.
pub(crate) const SUPPLY_VOLTS: f64 = 19.0;

/// Peak voltage that destroys a channel, V (typical).
pub(crate) const DESTROYED_VOLTS: f64 = 60.0;

/// AC at a DC channel above this, V RMS, leaves its bit where it was.
pub(crate) const AC_VOLTS: f64 = 5.0;

/// The motors' current, A, up to which no channel's reading comes out otherwise.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |input: &InputData| {
        let left = (DESTROYED_VOLTS - volts.dc(input.nodes).abs()) / std::f64::consts::SQRT_2;
        [AC_VOLTS, left].map(|limit| volts.margin(input.nodes, limit))
    };
    least(design.controllers.iter().flat_map(|c| c.data.inputs.iter().flat_map(of)))
}

/// Puts each transistor output into the mode, conducting or current limit, that fits the present solution. Returns
/// whether one changed; the network is then solved again before anything reads a voltage.
pub(super) fn limit_modes(design: &Design, state: &mut State, solution: &Solution) -> bool {
    let mut flipped = false;
    for (c, s) in design.controllers.iter().zip(&mut state.controllers) {
        for (k, output) in c.data.outputs.iter().enumerate() {
            if output.transistor.is_none() {
                continue;
            }
            let across = solution.dc(output.nodes.0) - solution.dc(output.nodes.1);
            let bit = 1u64 << k;
            // One that a fault holds open carries nothing, whatever voltage is along it.
            let open = design.contacts[output.contact].forced == Some(false);
            let works = s.relays[k].closed && !s.contacts[k].damaged && !open;
            let limiting = if works && channel::limits(across) { bit } else { 0 };
            flipped |= s.limiting & bit != limiting;
            s.limiting = s.limiting & !bit | limiting;
        }
    }
    flipped
}

/// Takes the channels' bits and the supply from the network.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts, events: &mut Events) {
    for (c, s) in design.controllers.iter().zip(&mut state.controllers) {
        let before = (s.supplied, s.raw);
        s.supplied = !c.data.lifeless && volts.dc(c.data.supply) >= SUPPLY_VOLTS;
        for (k, input) in c.data.inputs.iter().enumerate() {
            let bit = 1u64 << k;
            let (dc, ac, peak) = (volts.dc(input.nodes), volts.ac(input.nodes), volts.peak(input.nodes));
            if peak > DESTROYED_VOLTS && s.destroyed & bit == 0 {
                s.destroyed |= bit;
                events.notes.push(Note::ChannelDestroyed {
                    part: c.tag.clone(),
                    channel: k as u8,
                    volts: peak as u32,
                });
            }
            if (s.destroyed | c.data.dead) & bit != 0 {
                s.raw &= !bit;
            } else if c.data.ones & bit != 0 {
                s.raw |= bit;
            } else if ac > AC_VOLTS {
                // Neither on nor off: the bit stays.
            } else if input.levels.bit(dc, s.raw & bit != 0) {
                s.raw |= bit;
            } else {
                s.raw &= !bit;
            }
        }
        state.awake.controllers |= before != (s.supplied, s.raw);
    }
}

/// Filters, scan and relays of this tick. Returns whether an image, the memory or the phase may have changed.
pub(super) fn tick(design: &Design, state: &mut State, room: &mut Room, events: &mut Events) -> bool {
    let tick = state.tick;
    let (mut changed, mut awake) = (false, false);
    for (c, s) in design.controllers.iter().zip(&mut state.controllers) {
        let phase = s.phase;
        let at_grid = tick.is_multiple_of(u64::from(c.data.controller.scan_ms));
        if !s.supplied {
            if s.phase != ControllerPhase::Off {
                s.phase = ControllerPhase::Off;
                s.elapsed = 0;
                s.filtered = 0;
                s.differing.fill(0);
                s.counting = false;
                // What is retained outlasts the loss of the supply.
                restart(design, s, Restart::Warm);
            }
        } else if s.phase == ControllerPhase::Off {
            s.phase = ControllerPhase::Starting;
            s.elapsed = 1;
        } else if s.phase == ControllerPhase::Starting {
            if s.elapsed < c.data.controller.start_up_ms {
                s.elapsed += 1;
            } else if s.stopped {
                s.phase = ControllerPhase::Stopped;
            } else if at_grid {
                s.phase = ControllerPhase::Running;
            }
        } else if s.phase == ControllerPhase::Running && s.stopped {
            stop(s);
        } else if s.phase == ControllerPhase::Stopped && !s.stopped && at_grid {
            restart(design, s, Restart::Warm);
            s.phase = ControllerPhase::Running;
        }
        if s.phase == ControllerPhase::Running && at_grid && c.data.scan_us > c.data.watchdog_us() {
            (s.stopped, s.overrun) = (true, true);
            stop(s);
            events.notes.push(Note::Overrun {
                part: c.tag.clone(),
                scan_us: c.data.scan_us,
                watchdog_us: c.data.watchdog_us(),
            });
        }
        if s.phase != ControllerPhase::Off && (s.raw != s.filtered || s.counting) {
            filter(s, c.data.controller.filter_ms);
        }
        if s.phase == ControllerPhase::Running && at_grid {
            let before = (s.outputs, s.inputs, s.result);
            s.outputs = s.result;
            s.inputs = s.filtered;
            let images = (s.outputs, s.inputs) != (before.0, before.1);
            if !s.settled || images {
                room.keep(&s.memory);
                s.result = design.compiled.scan(&mut s.memory, s.inputs);
                let bits = room.bits != s.memory.bits();
                let memory = bits || room.counts != s.memory.counts();
                s.settled = !memory && before == (s.outputs, s.inputs, s.result) && s.outputs == s.result;
                s.relays_due |= images;
                changed |= images || bits;
            }
        }
        if s.relays_due {
            s.relays_due = false;
            for (k, relay) in s.relays.iter_mut().enumerate() {
                let before = relay.closed;
                let drive = s.outputs >> k & 1 != 0;
                match c.data.outputs[k].transistor {
                    Some(_) => relay.closed = drive,
                    None => {
                        relay.step(drive);
                        state.awake.outputs |= relay.closed != before;
                        if relay.closed && !before {
                            s.contacts[k].closes();
                        }
                    }
                }
                state.awake.contacts |= relay.closed != before;
                s.relays_due |= relay.elapsed != 0;
            }
        }
        changed |= phase != s.phase;
        awake |= s.counting || s.relays_due || !at_fixed_point(s);
    }
    state.awake.controllers = awake;
    changed
}

/// Ends the scan: the output image and what would follow it are 0. The input image and the memory stay until a restart.
fn stop(s: &mut ControllerState) {
    s.phase = ControllerPhase::Stopped;
    (s.outputs, s.result) = (0, 0);
    s.relays_due = true;
    s.settled = false;
}

/// Starts the program anew. A controller without supply has nothing to start; a cold restart clears what it retained.
pub(super) fn restart(design: &Design, s: &mut ControllerState, restart: Restart) {
    s.memory = match restart {
        Restart::Cold => design.compiled.cold_start(),
        Restart::Warm => design.compiled.warm_start(&s.memory),
    };
    (s.inputs, s.outputs, s.result) = (0, 0, 0);
    s.relays_due = true;
    s.settled = false;
}

/// Room for a program's memory as it was before a scan, so that a scan allocates nothing.
#[derive(Clone, Debug, Default)]
pub(super) struct Room {
    bits: Vec<u8>,
    counts: Vec<u32>,
}

impl Room {
    fn keep(&mut self, memory: &Memory) {
        self.bits.clear();
        self.bits.extend_from_slice(memory.bits());
        self.counts.clear();
        self.counts.extend_from_slice(memory.counts());
    }
}

/// Start-up and scan would go on as they are.
fn at_fixed_point(s: &ControllerState) -> bool {
    match s.phase {
        ControllerPhase::Off => !s.supplied,
        ControllerPhase::Starting => false,
        ControllerPhase::Stopped => s.supplied && s.stopped && s.raw == s.filtered,
        ControllerPhase::Running => s.supplied && s.settled && s.inputs == s.filtered && s.raw == s.filtered,
    }
}

/// No filter, relay or timer is under way, and the scan is at a fixed point.
pub(super) fn still(state: &State) -> bool {
    state.controllers.iter().all(|s| {
        at_fixed_point(s)
            && s.differing.iter().all(|&d| d == 0)
            && s.relays.iter().enumerate().all(|(k, r)| r.at_rest(s.outputs >> k & 1 != 0) && r.elapsed == 0)
    })
}

/// A filtered bit changes after its channel has differed for the filter's time without a break.
pub(super) fn filter(s: &mut ControllerState, filter_ms: u8) {
    s.counting = false;
    for (k, count) in s.differing.iter_mut().enumerate() {
        let bit = 1u64 << k;
        if (s.raw ^ s.filtered) & bit == 0 {
            *count = 0;
        } else {
            *count += 1;
            if *count >= filter_ms {
                s.filtered ^= bit;
                *count = 0;
            }
            s.counting |= *count != 0;
        }
    }
}
