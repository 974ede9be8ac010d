//! DC supplies: input voltage, current limit, start-up and hold-up.

use super::volts::{Volts, least};
use crate::design::{DcData, Design, Tagged};
use crate::network::{DC_SOURCE_OHM, Solution};
use crate::part::DcSupply;
use crate::state::{DcPhase, DcState, State};

/// A DC supply works from this part of its rated input voltage (typical of a wide-range input).
pub(crate) const INPUT_FROM: f64 = 0.8;

/// Longest hold-up at light load, ms, where a longer one is not given (typical: 20 to 200 ms).
const LONGEST_HOLD_UP_MS: u16 = 200;

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

/// The input voltages and the load from the network.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) {
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let live = !d.data.dead && volts.ac(d.data.input) >= least_input(&d.data.supply);
        state.awake.dc_supplies |= live != s.input_live;
        s.input_live = live;
        s.load_ma = match (output(s), s.limiting) {
            (false, _) => 0,
            (true, true) => d.data.supply.limit_ma,
            (true, false) => {
                let drop = f64::from(d.data.supply.output_mv) / 1000.0 - volts.dc(d.data.output);
                (drop / DC_SOURCE_OHM * 1000.0) as u32
            }
        };
    }
}

/// Start-up and hold-up. Returns whether a supply changed what it is doing.
pub(super) fn tick(design: &Design, state: &mut State) -> bool {
    let mut changed = false;
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let store = Store::of(&d.data.supply);
        let (phase, elapsed, spent) = match (s.phase, s.input_live) {
            (DcPhase::Off | DcPhase::Starting, false) => (DcPhase::Off, 0, 0),
            (DcPhase::Off, true) => (DcPhase::Starting, 1, 0),
            (DcPhase::Starting, true) if s.elapsed >= d.data.supply.start_up_ms => (DcPhase::On, 0, 0),
            (DcPhase::Starting, true) => (DcPhase::Starting, s.elapsed + 1, 0),
            (DcPhase::On | DcPhase::HoldingUp, true) => (DcPhase::On, 0, 0),
            (DcPhase::On, false) => (DcPhase::HoldingUp, 0, store.draw(s.load_ma)),
            (DcPhase::HoldingUp, false) if s.spent >= store.charge => (DcPhase::Off, 0, 0),
            (DcPhase::HoldingUp, false) => {
                (DcPhase::HoldingUp, 0, s.spent.saturating_add(store.draw(s.load_ma)))
            }
        };
        changed |= phase != s.phase;
        (s.phase, s.elapsed, s.spent) = (phase, elapsed, spent);
    }
    state.awake.contacts |= changed;
    state.awake.dc_supplies = !still(state);
    changed
}

/// How long a supply has held up, ms, and how long it will in all at its present load, if it drew that from the first.
pub(crate) fn hold_up_ms(d: &DcSupply, s: &DcState) -> (u32, u32) {
    let store = Store::of(d);
    let draw = u64::from(store.draw(s.load_ma)).max(1);
    let ms = |charge: u32| (u64::from(charge).div_ceil(draw)) as u32;
    (ms(s.spent), ms(store.charge))
}

/// What the capacitor of the input side can still give, seen from the output.
struct Store {
    /// mA·ms.
    charge: u32,
    /// What is drawn at no load, mA.
    idle_ma: u32,
}

impl Store {
    /// Rated current for the hold-up time; without load it is used up in [`LONGEST_HOLD_UP_MS`].
    fn of(d: &DcSupply) -> Store {
        let charge = d.rated_ma().saturating_mul(u32::from(d.hold_up_ms));
        let longest = u32::from(d.hold_up_ms.max(LONGEST_HOLD_UP_MS));
        Store { charge, idle_ma: charge.div_ceil(longest) }
    }

    /// Charge that a tick takes, mA·ms.
    fn draw(&self, load_ma: u32) -> u32 {
        load_ma.max(self.idle_ma)
    }
}

/// Charge that a tick of holding up takes at the present load, mA·ms.
pub(super) fn draw(d: &DcSupply, s: &DcState) -> u32 {
    Store::of(d).draw(s.load_ma)
}

/// Most charge that a supply may have given when it ends, mA·ms: its store, and what one tick in current limit takes.
pub(crate) fn most_spent(d: &DcSupply) -> u32 {
    Store::of(d).charge.saturating_add(d.limit_ma).saturating_add(1)
}

/// Every supply does what its input lets it do, for good.
pub(super) fn still(state: &State) -> bool {
    state.dc_supplies.iter().all(|s| match s.phase {
        DcPhase::Off => !s.input_live,
        DcPhase::On => s.input_live,
        DcPhase::Starting | DcPhase::HoldingUp => false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ticks for which a supply of 2.5 A (limit 3.75 A), 20 ms at rated load, holds up at this load.
    fn holds_up_ms(hold_up_ms: u16, load_ma: u32) -> u32 {
        let supply =
            DcSupply { input_mv: 400_000, output_mv: 24_000, limit_ma: 3_750, hold_up_ms, start_up_ms: 500 };
        let store = Store::of(&supply);
        let mut spent = 0;
        (1..10_000)
            .find(|_| {
                spent += store.draw(load_ma);
                spent >= store.charge
            })
            .unwrap()
    }

    /// By hand: 2500 mA · 20 ms = 50 A·ms, which is 20 ms at 2.5 A, 50 ms at 1 A, 14 ms (13.3) in the limit of 3.75 A, and
    /// 500 ms at 0.1 A, of which 200 ms are left. A supply that is said to hold up longer holds up as said.
    #[test]
    fn hold_up_by_load() {
        assert_eq!([2_500, 1_000, 3_750, 100, 0].map(|load| holds_up_ms(20, load)), [20, 50, 14, 200, 200]);
        assert_eq!([2_500, 100].map(|load| holds_up_ms(200, load)), [200, 200]);
        assert_eq!(holds_up_ms(500, 100), 500);
    }
}
