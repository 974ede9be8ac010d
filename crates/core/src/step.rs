//! One tick of the bench: the order in which everything happens, in one place.
//!
//! 1. the acts of this tick; bimetals of overloads, whose latches go where a hand could put them in this tick
//! 2. mechanical positions; from them the state of every contact
//! 3. the network: solved anew only when a contact, coil stage or supply mode changed
//! 4. controllers: input channels and filters; at a scan instant first the output image takes the result of the scan
//!    that began one period ago, then the input image is latched and the program run; output relays
//! 5. coil voltages against pick-up and drop-out; armature travel; DC supplies
//! 6. motor speed, currents, heat
//! 7. damage: fuses, breakers, channels, welded poles, burnt coils
//! 8. signals that changed
//!
//! Each family of the design has one file with its law: `read_volts` takes from the network what it needs, `tick` lets
//! 1 ms pass, `still` tells that further ticks would change nothing, `calm` up to which current of the motors no reading
//! of the family can come out otherwise. What changes a family, a reading or an act, sets
//! its flag in [`Awake`]; the ticks of a family whose flag is not set are left out. A tick in which nothing happens
//! allocates nothing.

mod acts;
mod brakes;
mod burnt;
mod cache;
pub(crate) mod contactors;
pub(crate) mod contacts;
pub(crate) mod controllers;
pub(crate) mod controls;
pub(crate) mod dc_supplies;
mod free;
pub(crate) mod lamps;
mod marginal;
pub(crate) mod motors;
mod outputs;
mod overloads;
mod quiet;
mod signals;
mod switches;
mod volts;
mod wear;

use crate::act::BenchAct;
use crate::complex::Complex;
use crate::design::Design;
use crate::state::{Awake, State};
use cache::Known;
use std::fmt;
use std::rc::Rc;
use volts::Volts;

pub use burnt::{Burnt, Guard, Overheating};
pub use cache::Cache;
pub(crate) use contacts::key as contacts_now;
pub(crate) use free::harm;
pub use free::{
    Aside, AsideReads, End, FreeCache, Harm, MachineMove, Reads, actuated, aside_reads, control_number,
    delay_range, delays, design_outside, filter_ms, free_act, free_signal, free_step, machine_moves,
    machines_outside, outside, stand, watched_machines,
};
pub use marginal::{Band, Marginal, Marginals};
pub use outputs::OutputCause;
pub use quiet::{pass_over, quiet, quiet_ticks};
pub use wear::{ChatterCause, CoilCause, WeldCause};

/// What a tick has brought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Events {
    /// Signals that changed: number and new value.
    pub changed: Vec<(usize, bool)>,
    /// What a person should be told.
    pub notes: Vec<Note>,
}

/// Something that happened and that no signal shows by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Note {
    /// A reset was pushed, or a motor-protective breaker closed, before the device had cooled.
    ResetRefused {
        /// Tag of the device.
        part: String,
    },
    /// The latch of an overload went back by itself, as it has cooled.
    ResetByItself {
        /// Tag of the overload.
        part: String,
    },
    /// An overload tripped by heat.
    HeatTrip {
        /// Tag of the overload.
        part: String,
    },
    /// A fuse link melted, or a breaker tripped.
    Opened {
        /// Tag of the device.
        part: String,
        /// Poles by number from 1; all for a breaker.
        poles: Vec<u8>,
    },
    /// The windings of a motor have come above the limit of their insulation class.
    WindingHot {
        /// Tag of the motor.
        part: String,
    },
    /// The winding of a motor has burnt out.
    BurntOut(Burnt),
    /// A scan takes longer than the watchdog allows: the controller has gone into stop mode.
    Overrun {
        /// Tag of the controller.
        part: String,
        /// Time of a scan, µs.
        scan_us: u32,
        /// Longest that is allowed, µs.
        watchdog_us: u32,
    },
    /// Over-voltage destroyed an input channel.
    ChannelDestroyed {
        /// Tag of the controller.
        part: String,
        /// Number of the channel.
        channel: u8,
        /// Peak voltage at the channel, V.
        volts: u32,
    },
    /// The contact of a relay output has welded, or a transistor output is destroyed: it is closed from now on.
    OutputDamaged {
        /// Tag of the controller.
        part: String,
        /// Terminal of the output.
        output: String,
        /// Why.
        cause: OutputCause,
    },
    /// Main poles of a contactor welded.
    PolesWelded {
        /// Tag of the contactor.
        part: String,
        /// Poles by number from 1.
        poles: Vec<u8>,
        /// Why.
        cause: WeldCause,
    },
    /// The armature of a contactor or relay has begun to chatter.
    Chatters {
        /// Tag of the contactor or relay.
        part: String,
        /// Why.
        cause: ChatterCause,
    },
    /// A coil burnt out; it is open from now on.
    CoilBurnt {
        /// Tag of the contactor or relay.
        part: String,
        /// How long it had been strained, s.
        seconds: u32,
        /// Why.
        cause: CoilCause,
    },
}

/// `pole 1`, `poles 1 and 2`, `poles 1, 2 and 3`.
fn pole_names(poles: &[u8]) -> String {
    match poles {
        [] => "no pole".to_string(),
        [one] => format!("pole {one}"),
        [first @ .., last] => {
            let first: Vec<String> = first.iter().map(u8::to_string).collect();
            format!("poles {} and {last}", first.join(", "))
        }
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Note::ResetRefused { part } => write!(f, "{part} does not reset: it is still hot"),
            Note::ResetByItself { part } => {
                write!(f, "{part} has reset by itself, as it has cooled: 95-96 is closed again")
            }
            Note::HeatTrip { part } => write!(f, "{part} has tripped by heat"),
            Note::Opened { part, poles } => {
                let poles: Vec<String> = poles.iter().map(u8::to_string).collect();
                write!(f, "{part} has opened by over-current, pole {}", poles.join(", "))
            }
            Note::WindingHot { part } => write!(
                f,
                "the windings of {part} are above 155 °C, the limit of insulation class F: each 10 K above it about \
                 halves their life"
            ),
            Note::BurntOut(burnt) => write!(f, "{burnt}"),
            Note::Overrun { part, scan_us, watchdog_us } => write!(
                f,
                "{part} has stopped: a scan of this program takes {scan_us} µs, and the watchdog allows {watchdog_us} µs; its \
                 outputs are off until it is set to run again"
            ),
            Note::ChannelDestroyed { part, channel, volts } => write!(
                f,
                "input {channel} of {part} is destroyed: {volts} V peak, where 60 V is the most it stands"
            ),
            Note::OutputDamaged { part, output, cause } => write!(
                f,
                "output {output} of {part} {cause}. It is closed for good: what it feeds stays on with its bit at 0, until \
                 its supply is switched off"
            ),
            Note::PolesWelded { part, poles, cause } => write!(
                f,
                "{} of {part} welded: {cause}. The load side stays live with the coil off; only isolation upstream \
                 switches it off",
                pole_names(poles)
            ),
            Note::Chatters { part, cause } => {
                write!(
                    f,
                    "{part} chatters, its armature goes in and out again and again: {cause}. What its contacts make and \
                     break so often heats them until they weld"
                )
            }
            Note::CoilBurnt { part, seconds, cause } => {
                write!(f, "the coil of {part} has burnt out: ")?;
                match cause {
                    CoilCause::HeldOut { by } => write!(
                        f,
                        "its armature was held out by the mechanical interlock with {by} for {seconds} s while the coil \
                         drew inrush current"
                    ),
                    CoilCause::TooLow => write!(
                        f,
                        "its voltage was too low to pull the armature in, so that it drew inrush current for {seconds} s"
                    ),
                    CoilCause::TooHigh => write!(f, "it took more than its rated power for {seconds} s"),
                }
            }
        }
    }
}

/// Computes the tick `state.tick`, with these acts at its start, and moves on to the next.
///
/// Acts that name no fitting part are ignored here; [`crate::Bench::act`] refuses them before.
pub fn step(design: &Design, state: &mut State, cache: &mut Cache, acts: &[BenchAct]) -> Events {
    let mut events = Events::default();
    let mut changed = !acts.is_empty();
    for act in acts {
        acts::take(design, state, act, &mut events);
    }
    if changed {
        state.awake = Awake::ALL;
    }
    let heat = overloads::due(state.tick);
    if heat {
        changed |= overloads::tick(design, state, &mut events);
    }
    let mut moved = false;
    if state.awake.contacts {
        let key = contacts::key(design, state);
        moved = state.stale || key != state.key;
        state.key = key;
        state.awake.contacts = false;
    }
    if moved || state.awake.motors && motors::due(design, state) {
        changed |= read_network(design, state, cache, moved, &mut events);
    }
    if state.awake.controllers {
        changed |= controllers::tick(design, state, &mut cache.room, &mut events);
    }
    let switching = state.awake.contactors;
    if switching {
        changed |= contactors::tick(design, state, &mut events);
    }
    if state.awake.dc_supplies {
        changed |= dc_supplies::tick(design, state);
    }
    if state.awake.brakes {
        changed |= brakes::tick(design, state);
    }
    if state.awake.motors || state.awake.travel {
        changed |= motors::tick(design, state);
    }
    if heat {
        changed |= motors::heat(design, state, &mut events);
        changed |= wear::heat_tick(design, state, cache, &mut events);
        changed |= outputs::heat_tick(design, state, cache, &mut events);
    }
    if heat {
        // Between steps of heat the poles' currents matter in a surge only.
        let known = cache.known(design, &state.key);
        design.take_drawn(state, &mut cache.drawn);
        switches::read_volts(design, state, &known, &cache.drawn, &mut cache.column);
    }
    if heat || state.awake.switches {
        changed |= switches::tick(design, state, heat, &mut events);
    }
    if switching {
        changed |= wear::poles_tick(design, state, cache, &mut events);
        state.awake.contactors = !contactors::still(design, state);
    }
    if state.awake.outputs {
        changed |= outputs::tick(design, state, cache, &mut events);
    }
    if state.awake.controls {
        controls::tick(state);
    }
    if changed {
        signals::collect(design, state, &mut events);
    } else {
        debug_assert!(signals::unchanged(design, state), "a signal changed behind the steps' back");
    }
    state.tick += 1;
    debug_assert!(
        quiet::sleepers_are_still(design, state),
        "a family sleeps though its tick would change it"
    );
    events
}

/// Rounds in which supplies and transistor outputs find out whether they are in current limit. Two suffice for one.
pub(crate) const MOST_LIMIT_ROUNDS: u32 = 8;

/// Solves the network, with supplies and transistor outputs in the modes that fit.
fn settle(design: &Design, state: &mut State, cache: &mut Cache) -> Rc<Known> {
    let mut known = cache.known(design, &state.key);
    for _ in 0..MOST_LIMIT_ROUNDS {
        let supplies = dc_supplies::limit_modes(design, state, &known.solution);
        if !controllers::limit_modes(design, state, &known.solution) && !supplies {
            break;
        }
        state.key = contacts::key(design, state);
        known = cache.known(design, &state.key);
    }
    known
}

/// Solves the network if it has `moved`, and hands voltages and currents to every family. Returns whether a signal may
/// have changed by it.
fn read_network(
    design: &Design,
    state: &mut State,
    cache: &mut Cache,
    moved: bool,
    events: &mut Events,
) -> bool {
    let known = if moved { settle(design, state, cache) } else { cache.known(design, &state.key) };
    state.stale &= !moved;
    let calm_before = motors::calm(state, &known);
    if !motors::take_currents(design, state, &known, moved) && !moved {
        return false;
    }
    design.take_drawn(state, &mut cache.drawn);
    let calm = motors::calm(state, &known);
    if !calm || !switches::still(design, state) {
        switches::read_volts(design, state, &known, &cache.drawn, &mut cache.column);
    }
    if !moved && calm_before && calm {
        overloads::follow(design, state, &known.heaters, &cache.drawn, &mut cache.column);
        debug_assert!(reads_the_same(design, state, &known, &cache.drawn), "a reading was left out");
        return false;
    }
    let volts = Volts { solution: &known.solution, drawn: &cache.drawn };
    read_volts(design, state, &volts, events) || moved
}

/// Every family but the switches takes what it needs from the network. Returns whether a coil, output or
/// lamp changed.
fn read_volts(design: &Design, state: &mut State, volts: &Volts, events: &mut Events) -> bool {
    controllers::read_volts(design, state, volts, events);
    let coils = contactors::read_volts(design, state, volts);
    let outputs = outputs::read_volts(design, state, volts, events);
    let lamps = lamps::read_volts(design, state, volts);
    brakes::read_volts(design, state, volts);
    dc_supplies::read_volts(design, state, volts);
    overloads::read_volts(design, state, volts);
    coils || outputs || lamps
}

/// Whether reading everything would change nothing.
fn reads_the_same(design: &Design, state: &State, known: &Known, drawn: &[[Complex; 3]]) -> bool {
    let mut all = state.clone();
    let volts = Volts { solution: &known.solution, drawn };
    read_volts(design, &mut all, &volts, &mut Events::default());
    all == *state
}
