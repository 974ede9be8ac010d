//! DC supplies: input voltage, current limit, start-up and hold-up.

use super::volts::{Volts, least};
use crate::design::{DcData, Design, Tagged};
use crate::network::{DC_SOURCE_OHM, Solution};
use crate::part::DcSupply;
use crate::state::{DcPhase, DcState, State};

/// A DC supply works from this part of its rated input voltage (typical of a wide-range input).
pub(crate) const INPUT_FROM: f64 = 0.8;

/// The output is on.
pub(crate) fn output(s: &DcState) -> bool {
    matches!(s.phase, DcPhase::On | DcPhase::HoldingUp)
}

/// Puts each DC supply into the mode, voltage or current limit, that fits the present solution. Returns whether one
/// changed; the network is then solved again before anything reads a voltage.
pub(super) fn limit_modes(design: &Design, state: &mut State, solution: &Solution) -> bool {
    let mut flipped = false;
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let (plus, minus) = d.data.output;
        let across = solution.dc(plus) - solution.dc(minus);
        let volts = f64::from(d.data.supply.output_mv) / 1000.0;
        let limit = f64::from(d.data.supply.limit_ma) / 1000.0;
        let limiting =
            output(s) && if s.limiting { across < volts } else { (volts - across) / DC_SOURCE_OHM > limit };
        flipped |= limiting != s.limiting;
        s.limiting = limiting;
    }
    flipped
}

/// Lowest input voltage, V RMS.
fn least_input(supply: &DcSupply) -> f64 {
    INPUT_FROM * f64::from(supply.input_mv) / 1000.0
}

/// The motors' current, A, up to which no input's reading comes out otherwise.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |d: &Tagged<DcData>| volts.margin(d.data.input, least_input(&d.data.supply));
    least(design.dc_supplies.iter().map(of))
}

/// The input voltages from the network.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) {
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let live = volts.ac(d.data.input) >= least_input(&d.data.supply);
        state.awake.dc_supplies |= live != s.input_live;
        s.input_live = live;
    }
}

/// Start-up and hold-up. Returns whether a supply changed what it is doing.
pub(super) fn tick(design: &Design, state: &mut State) -> bool {
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
    state.awake.contacts |= changed;
    state.awake.dc_supplies = !still(state);
    changed
}

/// Every supply does what its input lets it do, for good.
pub(super) fn still(state: &State) -> bool {
    state.dc_supplies.iter().all(|s| match s.phase {
        DcPhase::Off => !s.input_live,
        DcPhase::On => s.input_live,
        DcPhase::Starting | DcPhase::HoldingUp => false,
    })
}
