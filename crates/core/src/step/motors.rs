//! Motors: currents on the present network, shafts, ways of the machines, heat of the windings.

use super::cache::{Known, MotorFeed};
use super::{Burnt, Events, Note};
use crate::design::{Design, MotorData};
use crate::devices::brake::BrakeState;
use crate::devices::field::{FIELD_STEP_MS, voltages};
use crate::devices::machine::within;
use crate::devices::motor::Drawn;
use crate::devices::shaft::MotorState;
use crate::devices::winding::HeatEvent;
use crate::state::State;

/// Currents are to be taken anew though the network is the same: a slip has moved away from the one at which they were
/// computed, or a field fades.
pub(super) fn due(design: &Design, state: &State) -> bool {
    let fades = state.tick.is_multiple_of(FIELD_STEP_MS);
    let due = |m: &MotorData, s: &MotorState| s.off_stamp(&m.circuit) || fades && s.fading();
    design.motors.iter().zip(&state.motors).any(|(m, s)| due(&m.data, s))
}

/// All is calm ([`Known::calm`]) with the currents as they are.
pub(super) fn calm(state: &State, known: &Known) -> bool {
    known.calm(state.motors.iter().map(|s| &s.current))
}

/// Currents on the present solution: of all motors when the network has `moved`, else of those for which it is due.
/// Returns whether any changed.
pub(super) fn take_currents(design: &Design, state: &mut State, known: &Known, moved: bool) -> bool {
    let mut changed = false;
    let tick = state.tick;
    for ((m, s), feed) in design.motors.iter().zip(&mut state.motors).zip(&known.feeds) {
        let data = &m.data;
        let fades = s.fading() && tick.is_multiple_of(FIELD_STEP_MS);
        if s.off_stamp(&data.circuit) {
            s.stamped = s.speed;
        } else if !moved && !fades {
            continue;
        }
        if fades {
            s.field *= data.fade;
        }
        if moved {
            s.apart = matches!(feed, MotorFeed::Apart(_));
        }
        let drawn = draws(data, s, feed);
        if drawn.current != s.current {
            s.winding.set_currents(&drawn.current, tick);
            changed = true;
        }
        (s.current, s.torque, s.slope) = (drawn.current, drawn.torque, drawn.slope);
        state.awake.motors = true;
    }
    changed
}

/// What a motor draws at the stamped speed, so that a design built anew without a difference gives the same bits.
fn draws(data: &MotorData, s: &mut MotorState, feed: &MotorFeed) -> Drawn {
    let circuit = &data.circuit;
    let drawn = match feed {
        MotorFeed::Apart(feed) => {
            if let Some(emf) = voltages(circuit, s.field, s.stamped) {
                return Drawn { current: circuit.feed_back(feed.open, feed.z, emf), ..Drawn::default() };
            }
            s.field = 0.0;
            return if feed.dead() { Drawn::default() } else { circuit.solve(feed.open, feed.z, s.stamped) };
        }
        MotorFeed::Dead => Drawn::default(),
        MotorFeed::Components(feed) => circuit.drawn_by_sequence(feed, s.stamped),
        MotorFeed::Lines(feed) => circuit.solve(feed.open, feed.z, s.stamped),
    };
    s.field = drawn.air_gap;
    drawn
}

/// Torque of the brakes that hold, N·m.
pub(crate) fn brake_torque(data: &MotorData, brakes: &[BrakeState]) -> f64 {
    data.brakes.iter().filter(|b| !brakes[b.number].released).fold(0.0, |sum, b| sum + b.torque)
}

/// Speeds of the shafts and positions of the machines. Returns whether a signal may have changed by it.
pub(super) fn tick(design: &Design, state: &mut State) -> bool {
    let mut changed = false;
    (state.awake.motors, state.awake.travel) = (false, false);
    for (m, s) in design.motors.iter().zip(&mut state.motors) {
        let data = &m.data;
        let (before, speed) = (s.turning(), s.speed);
        s.turn(&data.circuit, &data.load, brake_torque(data, &state.brakes));
        if s.speed != 0.0 && s.travel(&data.load) {
            state.awake.contacts = true;
            changed = true;
        }
        state.awake.motors |= s.speed != speed || s.fading() || s.off_stamp(&data.circuit);
        state.awake.travel |= s.moves(&data.load);
        changed |= before != s.turning();
    }
    changed
}

/// The shafts keep their speed, the currents are those of this speed, and no machine moves.
pub(super) fn still(design: &Design, state: &State) -> bool {
    design.motors.iter().zip(&state.motors).all(|(m, s)| {
        let (data, mut next) = (&m.data, *s);
        !s.off_stamp(&data.circuit)
            && !s.fading()
            && !s.moves(&data.load)
            && !next.turn(&data.circuit, &data.load, brake_torque(data, &state.brakes))
    })
}

/// Ticks that may be passed over at steady speeds before a machine comes into another part of its way.
pub(super) fn free_ticks(design: &Design, state: &State) -> u64 {
    let free = |(m, s): (&crate::design::Tagged<MotorData>, &MotorState)| match &m.data.load.way {
        Some(way) => way.free_ticks(s.position_nm, s.speed),
        None => u64::MAX,
    };
    design.motors.iter().zip(&state.motors).map(free).min().unwrap_or(u64::MAX)
}

/// Moves the machines on by so many free ticks.
pub(super) fn pass_over(design: &Design, state: &mut State, ticks: u64) {
    for (m, s) in design.motors.iter().zip(&mut state.motors) {
        if let Some(way) = &m.data.load.way {
            s.position_nm = way.after(s.position_nm, s.speed, ticks).0;
        }
    }
}

/// A position switch is actuated.
pub(crate) fn actuated(design: &Design, state: &State, switch: usize) -> bool {
    let data = &design.position_switches[switch].data;
    within(state.motors[data.motor].position_nm, data.switch.from_um, data.switch.to_um)
}

/// One step of heat of the windings, at a tick at which it is due. Returns whether a signal may have changed by it.
pub(super) fn heat(design: &Design, state: &mut State, events: &mut Events) -> bool {
    let mut changed = false;
    for (i, m) in design.motors.iter().enumerate() {
        let s = &mut state.motors[i];
        let turning = s.turning() != 0;
        let Some(event) = s.winding.heat_step(m.data.rated, turning, state.tick) else { continue };
        changed = true;
        match event {
            HeatEvent::ClassLimit if s.winding.hot() => {
                events.notes.push(Note::WindingHot { part: m.tag.clone() });
            }
            HeatEvent::ClassLimit => {}
            HeatEvent::Failed { winding, ticks } => {
                state.awake.contacts = true;
                events.notes.push(Note::BurntOut(Burnt::of(design, state, i, winding, ticks)));
            }
        }
    }
    changed
}
