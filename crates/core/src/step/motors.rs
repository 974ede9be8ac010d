//! Motors: currents on the present network, and the shafts.

use super::cache::{Known, MotorFeed};
use crate::design::Design;
use crate::devices::motor::Drawn;
use crate::state::State;

/// The slip of a motor has moved away from the one at which its currents were computed.
pub(super) fn off_stamp(design: &Design, state: &State) -> bool {
    design.motors.iter().zip(&state.motors).any(|(m, s)| s.off_stamp(&m.data.circuit))
}

/// All is calm ([`Known::calm`]) with the currents as they are.
pub(super) fn calm(state: &State, known: &Known) -> bool {
    known.calm(state.motors.iter().map(|s| &s.current))
}

/// Currents on the present solution: of all motors when the network has `moved`, else of those off their stamp.
/// Returns whether any changed.
pub(super) fn take_currents(design: &Design, state: &mut State, known: &Known, moved: bool) -> bool {
    let mut changed = false;
    for ((m, s), feed) in design.motors.iter().zip(&mut state.motors).zip(&known.feeds) {
        let data = &m.data;
        if s.off_stamp(&data.circuit) {
            s.stamped = s.speed;
        } else if !moved {
            continue;
        }
        // At the stamped speed, so that a design built anew without a difference gives the same bits.
        let drawn = match feed {
            MotorFeed::Dead => Drawn::default(),
            MotorFeed::Components(feed) => data.circuit.drawn_by_sequence(feed, s.stamped),
            MotorFeed::Lines(feed) => data.circuit.drawn(feed.open, feed.z, s.stamped),
        };
        changed |= drawn.current != s.current;
        (s.current, s.torque, s.slope) = (drawn.current, drawn.torque, drawn.slope);
        state.awake.motors = true;
    }
    changed
}

/// Speeds of the shafts. Returns whether one is seen to turn otherwise.
pub(super) fn tick(design: &Design, state: &mut State) -> bool {
    let mut changed = false;
    state.awake.motors = false;
    for (m, s) in design.motors.iter().zip(&mut state.motors) {
        let before = s.turning();
        let turned = s.turn(&m.data.circuit, m.data.load_inertia, m.data.load_friction);
        state.awake.motors |= turned || s.off_stamp(&m.data.circuit);
        changed |= before != s.turning();
    }
    changed
}

/// The shafts keep their speed, and the currents are those of this speed.
pub(super) fn still(design: &Design, state: &State) -> bool {
    design.motors.iter().zip(&state.motors).all(|(m, s)| {
        let mut next = *s;
        !s.off_stamp(&m.data.circuit)
            && !next.turn(&m.data.circuit, m.data.load_inertia, m.data.load_friction)
    })
}
