//! Damage to contactors and relays: poles that weld, coils that burn out.

use super::contactors::welded;
use super::volts::Volts;
use super::{Cache, Events, Note};
use crate::design::Design;
use crate::devices::coil::{CoilData, HEARD_FROM, Level};
use crate::devices::overload::HEAT_STEP_MS;
use crate::devices::weld::{LET_THROUGH, MAKING_TICKS};
use crate::part::Protection;
use crate::state::State;
use std::fmt;

/// Why poles have welded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WeldCause {
    /// They closed onto a short circuit.
    MadeShort {
        /// Current, A.
        amperes: u32,
    },
    /// A short circuit flowed through them while they were closed.
    ThroughShort {
        /// Current, A.
        amperes: u32,
    },
    /// They touched while hot from too much switching.
    Hot,
    /// They touched while hot from the operations of a chattering armature.
    Chatter {
        /// Operations up to then.
        operations: u16,
    },
}

impl fmt::Display for WeldCause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WeldCause::MadeShort { amperes } => write!(f, "they closed onto a short circuit of {amperes} A"),
            WeldCause::ThroughShort { amperes } => {
                write!(f, "a short circuit of {amperes} A flowed through them for too long")
            }
            WeldCause::Hot => f.write_str("they were still hot from switching large currents too often"),
            WeldCause::Chatter { operations } => {
                write!(f, "they were hot from {operations} operations of the chattering armature")
            }
        }
    }
}

/// Why an armature chatters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ChatterCause {
    /// The voltage of its coil falls below the drop-out each time it moves in.
    Sag {
        /// Voltage at which it lets go, percent of the rated one.
        percent: u8,
        /// Its drop-out, percent of the rated voltage.
        drop_out: u8,
    },
    /// The circuit of its coil opens each time it moves in.
    Switched,
}

impl ChatterCause {
    /// Of a coil that lets go at this percentage of its rated voltage.
    pub(super) fn of(coil: &CoilData, percent: u8) -> ChatterCause {
        if f64::from(percent) < 100.0 * HEARD_FROM {
            return ChatterCause::Switched;
        }
        ChatterCause::Sag { percent, drop_out: (coil.drop_out * 100.0 + 0.5) as u8 }
    }
}

impl fmt::Display for ChatterCause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ChatterCause::Sag { percent, drop_out } => write!(
                f,
                "each time it moves in, the voltage of its coil falls to {percent} %, below the {drop_out} % at which it lets \
                 go, and is back when it has let go. The supply is too weak for what is switched on with it"
            ),
            ChatterCause::Switched => f.write_str(
                "each time it moves in, the circuit of its coil opens, and closes when it has let go",
            ),
        }
    }
}

/// Why a coil has burnt out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CoilCause {
    /// The mechanical interlock held the armature out.
    HeldOut {
        /// Tag of the contactor that held it.
        by: String,
    },
    /// The voltage was too low to pull the armature in.
    TooLow,
    /// The voltage was too high.
    TooHigh,
}

/// Making, breaking, surges and welding in this tick. Returns whether a pole welds.
pub(super) fn poles_tick(design: &Design, state: &mut State, cache: &mut Cache, events: &mut Events) -> bool {
    if design.contactors.iter().all(|c| c.data.poles.is_empty()) {
        return false;
    }
    let known = cache.known(design, &state.key);
    design.take_drawn(state, &mut cache.drawn);
    let volts = Volts { solution: &known.solution, drawn: &cache.drawn };
    let mut changed = false;
    for (i, c) in design.contactors.iter().enumerate() {
        let (data, already) = (&c.data, welded(design, state, i));
        let (s, ie) = (&mut state.contactors[i], data.rated);
        let (touches, making) = (s.making == MAKING_TICKS, s.making != 0);
        s.making = s.making.saturating_sub(1);
        let mut fresh = 0u8;
        let mut cause = match s.chatter.operations {
            operations if s.chatter.chatters() => WeldCause::Chatter { operations },
            _ => WeldCause::Hot,
        };
        for (k, (bit, pair)) in data.gaps().enumerate() {
            // A pole that is welded or held by a fault neither makes nor breaks.
            if already >> k & 1 != 0 || design.contacts[bit].forced.is_some() {
                s.poles[k].surge = 0.0;
                continue;
            }
            let amperes = if state.key.get(bit) { volts.size(pair) / design.contacts[bit].ohm } else { 0.0 };
            let pole = &mut s.poles[k];
            if !s.armature.main_shut() {
                pole.surge = 0.0;
                pole.parts(ie, amperes);
                continue;
            }
            let hot = touches && pole.touches(ie, amperes);
            let surge = pole.surge_tick(ie, amperes, making, let_through(design, events));
            if !hot && !surge {
                continue;
            }
            fresh |= 1 << k;
            pole.surge = 0.0;
            let amperes = amperes as u32;
            cause = match (surge, making) {
                (true, true) => WeldCause::MadeShort { amperes },
                (true, false) => WeldCause::ThroughShort { amperes },
                _ => cause,
            };
        }
        if fresh != 0 {
            s.welded |= fresh;
            let poles = (0..3u8).filter(|k| fresh >> k & 1 != 0).map(|k| k + 1).collect();
            events.notes.push(Note::PolesWelded { part: c.tag.clone(), poles, cause });
            changed = true;
        }
    }
    state.awake.contacts |= changed;
    changed
}

/// Most that the fuse links which have opened in this tick let through, A²s.
pub(super) fn let_through(design: &Design, events: &Events) -> Option<f64> {
    let mut most = None;
    for note in &events.notes {
        let Note::Opened { part, .. } = note else { continue };
        let Some(w) = design.switches.iter().find(|w| w.tag == *part) else { continue };
        if matches!(w.data.protection, Protection::FuseGg { .. } | Protection::FuseFast { .. })
            && let Some(melting) = w.data.curve.as_ref().and_then(|c| c.melting())
        {
            let all = LET_THROUGH * melting;
            most = if most.is_some_and(|m| m > all) { most } else { Some(all) };
        }
    }
    most
}

/// One step of heat of coils and poles. Returns whether a coil burns out.
pub(super) fn heat_tick(design: &Design, state: &mut State, cache: &mut Cache, events: &mut Events) -> bool {
    let step_s = HEAT_STEP_MS as f64 / 1000.0;
    if state.contactors.is_empty() {
        return false;
    }
    let known = cache.known(design, &state.key);
    design.take_drawn(state, &mut cache.drawn);
    let volts = Volts { solution: &known.solution, drawn: &cache.drawn };
    let mut changed = false;
    for (i, c) in design.contactors.iter().enumerate() {
        let s = &mut state.contactors[i];
        s.poles.iter_mut().for_each(|p| p.cool(step_s));
        let live = !s.coil.burnt && !c.data.coil_open;
        let sealed = state.key.get(c.data.sealed_bit);
        let (dc, ac) = (volts.dc(c.data.coil), volts.ac(c.data.coil));
        let power = if live { c.data.electrics.power(dc, ac, sealed) } else { 0.0 };
        if !s.coil.heat_step(power, step_s) {
            continue;
        }
        s.coil.hums = false;
        let cause = match (s.coil.level, c.data.interlocked) {
            (Level::Full, Some(other)) if !sealed => {
                CoilCause::HeldOut { by: design.contactors[other].tag.clone() }
            }
            (Level::Low, _) => CoilCause::TooLow,
            _ => CoilCause::TooHigh,
        };
        let seconds = s.coil.strained * HEAT_STEP_MS as u32 / 1000;
        events.notes.push(Note::CoilBurnt { part: c.tag.clone(), seconds, cause });
        changed = true;
    }
    if changed {
        state.awake.contacts = true;
        state.awake.contactors = true;
    }
    changed
}
