//! The network as the families read it.

use crate::complex::Complex;
use crate::design::Pair;
use crate::network::Solution;

/// Volts between nodes, with the currents that the motors draw.
pub(super) struct Volts<'a> {
    pub(super) solution: &'a Solution,
    /// Currents out of the network, by port.
    pub(super) drawn: &'a [[Complex; 3]],
}

impl Volts<'_> {
    /// DC volts, signed.
    pub(super) fn dc(&self, (a, b): Pair) -> f64 {
        self.solution.dc(a) - self.solution.dc(b)
    }

    /// Mains-frequency volts, RMS.
    pub(super) fn ac(&self, (a, b): Pair) -> f64 {
        (self.solution.ac(a, self.drawn) - self.solution.ac(b, self.drawn)).abs()
    }

    /// Square of the RMS of DC and AC together, V².
    pub(super) fn square(&self, pair: Pair) -> f64 {
        let (dc, ac) = (self.dc(pair), self.ac(pair));
        dc * dc + ac * ac
    }

    /// RMS of DC and AC together, V.
    pub(super) fn size(&self, pair: Pair) -> f64 {
        self.square(pair).sqrt()
    }
}
