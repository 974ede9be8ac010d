//! Steps 3 and 5 to 7 of a tick: coils and armatures, DC supplies, motors, heat, protection.

use super::{Events, Note, across, pulled};
use crate::complex::Complex;
use crate::design::Design;
use crate::devices::motor_curve::Feed;
use crate::devices::overload::HEAT_STEP_MS;
use crate::devices::protection;
use crate::network::Solution;
use crate::part::Protection;
use crate::state::{DcPhase, DcState, State};

/// Pick-up of an AC coil in parts of its rated voltage: it must close at 0.85 (IEC 60947-4-1); typical 0.70 to 0.80.
const PICK_UP: f64 = 0.75;

/// Drop-out of an AC coil in parts of its rated voltage: between 0.75 and 0.20 (IEC 60947-4-1); typical 0.40 to 0.60.
const DROP_OUT: f64 = 0.5;

/// A lamp is lit from this part of its rated voltage.
const LIT_FROM: f64 = 0.6;

/// A DC supply works from this part of its rated input voltage (typical of a wide-range input).
const DC_INPUT_FROM: f64 = 0.8;

/// Currents of the motors on the present solution. Returns whether any changed.
pub(super) fn motor_currents(design: &Design, state: &mut State, solution: &Solution, moved: bool) -> bool {
    let mut changed = false;
    for (m, s) in design.motors.iter().zip(&mut state.motors) {
        let data = &m.data;
        if s.off_stamp(&data.circuit) {
            s.stamped = s.speed;
        } else if !moved {
            continue;
        }
        let feed = Feed::of(data, solution);
        // At the stamped speed, so that a design built anew without a difference gives the same bits.
        let (current, torque) =
            if feed.dead() { ([Complex::ZERO; 3], 0.0) } else { feed.at(&data.circuit, s.stamped) };
        changed |= current != s.current;
        s.current = current;
        s.torque = torque;
    }
    changed
}

/// Puts each DC supply into the mode, voltage or current limit, that fits the present solution. Returns whether one
/// changed; the network is then solved again before anything reads a voltage.
pub(super) fn limit_modes(design: &Design, state: &mut State, solution: &Solution) -> bool {
    let mut flipped = false;
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let output = across(solution, &[], d.data.output).0;
        let volts = f64::from(d.data.supply.output_mv) / 1000.0;
        let limit = f64::from(d.data.supply.limit_ma) / 1000.0;
        let limiting = dc_output(s)
            && if s.limiting {
                output < volts
            } else {
                (volts - output) / crate::network::DC_SOURCE_OHM > limit
            };
        flipped |= limiting != s.limiting;
        s.limiting = limiting;
    }
    flipped
}

/// Coils, lamps, DC inputs, currents of protective devices and overloads from the network.
pub(super) fn read_volts(design: &Design, state: &mut State, solution: &Solution, drawn: &[[Complex; 3]]) {
    let tick = state.tick;
    for (c, s) in design.contactors.iter().zip(&mut state.contactors) {
        let (_, ac) = across(solution, drawn, c.data.coil);
        let part = ac / (f64::from(c.data.contactor.coil_mv) / 1000.0);
        if part >= PICK_UP {
            s.attracted = true;
        } else if part < DROP_OUT {
            s.attracted = false;
        }
    }
    for (l, lit) in design.lamps.iter().zip(&mut state.lamps) {
        let (dc, ac) = across(solution, drawn, l.data.nodes);
        let least = LIT_FROM * f64::from(l.data.lamp.rated_mv) / 1000.0;
        *lit = dc * dc + ac * ac >= least * least;
    }
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let (_, input) = across(solution, drawn, d.data.input);
        s.input_live = input >= DC_INPUT_FROM * f64::from(d.data.supply.input_mv) / 1000.0;
    }
    let through = |pair, siemens: f64| {
        let (dc, ac) = across(solution, drawn, pair);
        ((dc * dc + ac * ac).sqrt()) * siemens
    };
    for (w, s) in design.switches.iter().zip(&mut state.switches) {
        for (pole, &pair) in w.data.poles.iter().enumerate() {
            let closed = s.closed && !s.open_poles[pole];
            s.amperes[pole] = if closed { through(pair, 1.0 / crate::network::CONTACT_OHM) } else { 0.0 };
        }
    }
    for (o, s) in design.overloads.iter().zip(&mut state.overloads) {
        let square = o.data.poles.map(|pair| {
            let i = through(pair, 1.0 / crate::network::HEATER_OHM);
            i * i
        });
        s.set_square(square, tick);
    }
}

/// Armatures, in the order of the tags: with both coils on, the first takes the mechanical interlock.
pub(super) fn armatures(design: &Design, state: &mut State) {
    for (i, c) in design.contactors.iter().enumerate() {
        let pulled = pulled(design, state, i);
        let blocked = c.data.interlocked.is_some_and(|other| state.contactors[other].armature.main_shut());
        state.contactors[i].armature.step(pulled, blocked, c.data.welded, c.data.delays);
    }
}

/// The output of a DC supply is on.
pub(super) fn dc_output(s: &DcState) -> bool {
    matches!(s.phase, DcPhase::On | DcPhase::HoldingUp)
}

/// Start-up and hold-up of the DC supplies. Returns whether one changed what it is doing.
pub(super) fn dc_supplies(design: &Design, state: &mut State) -> bool {
    let mut changed = false;
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let (phase, elapsed) = match (s.phase, s.input_live) {
            (DcPhase::Off, false) | (DcPhase::Starting, false) => (DcPhase::Off, 0),
            (DcPhase::Off, true) => (DcPhase::Starting, 1),
            (DcPhase::Starting, true) if s.elapsed >= d.data.supply.start_up_ms => (DcPhase::On, 0),
            (DcPhase::Starting, true) => (DcPhase::Starting, s.elapsed + 1),
            (DcPhase::On | DcPhase::HoldingUp, true) => (DcPhase::On, 0),
            (DcPhase::On, false) => (DcPhase::HoldingUp, 1),
            (DcPhase::HoldingUp, false) if s.elapsed >= d.data.supply.hold_up_ms => (DcPhase::Off, 0),
            (DcPhase::HoldingUp, false) => (DcPhase::HoldingUp, s.elapsed + 1),
        };
        changed |= phase != s.phase;
        (s.phase, s.elapsed) = (phase, elapsed);
    }
    changed
}

/// Speeds of the motors. Returns whether one is seen to turn otherwise.
pub(super) fn shafts(design: &Design, state: &mut State) -> bool {
    let mut changed = false;
    for (m, s) in design.motors.iter().zip(&mut state.motors) {
        let before = s.turning();
        s.turn(&m.data.circuit, m.data.load_inertia, m.data.load_friction);
        changed |= before != s.turning();
    }
    changed
}

/// Heat of the overloads, each [`HEAT_STEP_MS`]. Returns whether one trips.
pub(super) fn heat(design: &Design, state: &mut State, events: &mut Events) -> bool {
    let mut changed = false;
    if state.tick == 0 || !state.tick.is_multiple_of(HEAT_STEP_MS) {
        return changed;
    }
    for (o, s) in design.overloads.iter().zip(&mut state.overloads) {
        if s.heat_step(&o.data.overload, state.tick) {
            events.notes.push(Note::HeatTrip { part: o.tag.clone() });
            changed = true;
        }
    }
    changed
}

/// Fuse links and breakers. Returns whether one opens.
pub(super) fn protection(design: &Design, state: &mut State, events: &mut Events) -> bool {
    let mut changed = false;
    let slow = state.tick != 0 && state.tick.is_multiple_of(HEAT_STEP_MS);
    for (w, s) in design.switches.iter().zip(&mut state.switches) {
        let kind = w.data.protection;
        if kind == Protection::None {
            continue;
        }
        let mut opened = Vec::new();
        for pole in 0..w.data.poles.len() {
            let amperes = s.amperes[pole];
            let heat = &mut s.heat[pole];
            let opens = heat.fast_tick(kind, amperes)
                || slow && heat.slow_step(kind, amperes, HEAT_STEP_MS as f64 / 1000.0);
            if opens && !s.open_poles[pole] {
                opened.push(pole as u8 + 1);
            }
        }
        if opened.is_empty() {
            continue;
        }
        if matches!(kind, Protection::Breaker { .. }) {
            opened = (1..=w.data.poles.len() as u8).collect();
            s.closed = false;
        } else {
            for pole in &opened {
                s.open_poles[usize::from(*pole) - 1] = true;
            }
        }
        events.notes.push(Note::Opened { part: w.tag.clone(), poles: opened });
        changed = true;
    }
    changed
}

/// A protective device is counting a surge: every tick matters.
pub(super) fn surging(design: &Design, state: &State) -> bool {
    design.switches.iter().zip(&state.switches).any(|(w, s)| {
        s.amperes.iter().any(|&a| protection::surging(w.data.protection, a))
            || s.heat.iter().any(|h| h.surge != 0.0)
    })
}
