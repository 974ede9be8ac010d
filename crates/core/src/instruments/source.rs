//! What stands behind two terminals at mains frequency, the motors with it.
//!
//! A running motor holds up the voltage of a terminal that has lost its line, and one that runs out that of all three,
//! from behind some ohms: a meter does not pull it down, as it does what floats.

use super::probes::Seen;
use crate::complex::Complex;
use crate::design::Design;
use crate::devices::field::voltages;
use crate::devices::motor_curve::Feed;
use crate::network::{Key, Network, Node, Solution};
use crate::state::State;

/// DC volts on a load of so many ohms, of a source with these open volts behind this resistance, ohm (Thevenin). Without a
/// voltage there is no need to look at the source.
pub(crate) fn on_load_dc(open: f64, ohm: f64, resistance: impl FnOnce() -> f64) -> f64 {
    if open == 0.0 { open } else { open * ohm / (ohm + resistance()) }
}

/// The same in RMS volts at mains frequency, behind an impedance.
pub(crate) fn on_load_ac(open: f64, ohm: f64, impedance: impl FnOnce() -> Complex) -> f64 {
    if open == 0.0 { open } else { open * ohm / (Complex::real(ohm) + impedance()).abs() }
}

/// Impedance between two nodes, ohm, with the motors at their present speed. `stands` tells by the number of a motor
/// whether its field stands on at open terminals; `solution` is that of the network for the key.
pub(crate) fn impedance_ac(
    (design, state): (&Design, &State),
    (network, key, solution): (&Network, &Key, &Solution),
    stands: impl Fn(usize) -> bool,
    (a, b): (Node, Node),
) -> Complex {
    if a == b {
        return Complex::ZERO;
    }
    // One ampere into a and out of b.
    let raised = network.injected_ac(key, a, b);
    let apart = at(&raised, a) - at(&raised, b);
    with_motors((design, state), solution, stands, (a, b), apart, |_, _, node| at(&raised, node))
}

fn at(volts: &[Complex], n: Node) -> Complex {
    volts.get(n as usize).copied().unwrap_or(Complex::ZERO)
}

/// The same from the impedance with the motors absent, and from what one ampere into a and out of b raises at the terminals of the
/// motors (number of the motor, of its terminal, node).
fn with_motors(
    (design, state): (&Design, &State),
    solution: &Solution,
    stands: impl Fn(usize) -> bool,
    (a, b): (Node, Node),
    apart: Complex,
    raised: impl Fn(usize, usize, Node) -> Complex,
) -> Complex {
    let mut z = apart;
    for (i, (m, s)) in design.motors.iter().zip(&state.motors).enumerate() {
        // The motors draw of it, and lower it by that.
        let open = [0, 1, 2].map(|k| raised(i, k, m.data.nodes[k]));
        if open == [Complex::ZERO; 3] {
            continue;
        }
        let (circuit, z_there) = (&m.data.circuit, Feed::of(&m.data, solution).z);
        let drawn = match stands(i) {
            true => circuit.feed_back(open, z_there, [Complex::ZERO; 3]),
            false => circuit.solve(open, z_there, s.stamped).current,
        };
        for (column, current) in solution.response[m.data.port].iter().zip(drawn) {
            z -= (at(column, a) - at(column, b)) * current;
        }
    }
    z
}

impl Seen<'_> {
    /// Impedance between two nodes at mains frequency, ohm.
    pub(super) fn impedance_ac(&self, a: Node, b: Node) -> Complex {
        let stands = |i: usize| {
            let (m, s) = (&self.design.motors[i].data, &self.state.motors[i]);
            s.apart && voltages(&m.circuit, s.field, s.stamped).is_some()
        };
        let bench = (self.design, self.state);
        match self.impedances {
            Some(all) if a != b => {
                // What a current at one place raises at another it would raise here from there.
                let raised = |motor: usize, terminal: usize, _: Node| {
                    let column = &self.solution.response[self.design.motors[motor].data.port][terminal];
                    at(column, a) - at(column, b)
                };
                with_motors(bench, self.solution, stands, (a, b), all.ac(a, b), raised)
            }
            _ => {
                let network = (&self.design.network, &self.key, self.solution);
                impedance_ac(bench, network, stands, (a, b))
            }
        }
    }
}
