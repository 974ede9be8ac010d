//! Brakes: the coil's voltage, and the time of spring and coil.

use super::volts::{Volts, least};
use crate::design::{BrakeData, Design, Tagged};
use crate::devices::brake::{DROP_OUT, PICK_UP};
use crate::state::State;

/// The motors' current, A, up to which no coil's reading comes out otherwise.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |b: &Tagged<BrakeData>| {
        let rated = f64::from(b.data.brake.coil_mv) / 1000.0;
        [PICK_UP, DROP_OUT].map(|part| volts.margin(b.data.coil, part * rated))
    };
    least(design.brakes.iter().filter(|b| !b.data.brake.dc).flat_map(of))
}

/// The coils from the network.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) {
    for (b, s) in design.brakes.iter().zip(&mut state.brakes) {
        let data = &b.data;
        let size = if data.brake.dc { volts.dc(data.coil) } else { volts.ac(data.coil) };
        // Either way round: the coil of a DC brake has no polarity.
        let size = if data.coil_open || data.holds { 0.0 } else { size.abs() };
        state.awake.brakes |= s.read(size / (f64::from(data.brake.coil_mv) / 1000.0));
    }
}

/// One tick. Returns whether a shaft is freed or held.
pub(super) fn tick(design: &Design, state: &mut State) -> bool {
    let mut changed = false;
    for (b, s) in design.brakes.iter().zip(&mut state.brakes) {
        changed |= s.step(&b.data.brake);
    }
    state.awake.motors |= changed;
    state.awake.brakes = !still(state);
    changed
}

/// No brake is under way.
pub(super) fn still(state: &State) -> bool {
    state.brakes.iter().all(|s| s.at_rest() && s.elapsed == 0)
}
