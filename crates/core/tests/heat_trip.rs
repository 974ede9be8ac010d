//! An overload that trips by heat: its latch and its contacts go in the same tick, as by a hand at the test slide.

#[path = "../../proof/tests/support/seal_in.rs"]
mod seal_in;
#[path = "../../proof/tests/support/mod.rs"]
mod support;

use sealin_core::{Bench, BenchAct};

/// By hand: at 1.26, above the 1.2544 at which it trips, the first step of heat trips it, at 100 ms; in that tick 95-96 is open and
/// the coil it feeds without voltage.
#[test]
fn a_trip_by_heat_opens_its_contact_in_the_same_tick() {
    let mut bench = Bench::new(seal_in::seal_in(seal_in::QUICK)).unwrap();
    bench.state.overloads[0].heat = [1.26; 3];
    for act in [BenchAct::Power(true), BenchAct::Press("SF2".to_string())] {
        bench.act(act).unwrap();
    }
    for tick in 0..=100 {
        bench.step();
        let signals = ["FC1.tripped", "FC1.95-96", "QA1.coil"].map(|name| bench.signal(name).unwrap());
        // The contacts of the button have bounced by then.
        if tick > 3 {
            assert_eq!(
                signals,
                if tick < 100 { [false, true, true] } else { [true, false, false] },
                "{tick} ms"
            );
        }
    }
}
