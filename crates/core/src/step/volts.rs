//! The network as the families read it.

use crate::complex::Complex;
use crate::design::Pair;
use crate::network::{Node, Solution};

/// Volts between nodes, with the currents that the motors draw.
pub(super) struct Volts<'a> {
    pub(super) solution: &'a Solution,
    /// Currents out of the network, by port; none: no current at all.
    pub(super) drawn: &'a [[Complex; 3]],
}

impl Volts<'_> {
    /// DC volts, signed.
    pub(super) fn dc(&self, (a, b): Pair) -> f64 {
        self.solution.dc(a) - self.solution.dc(b)
    }

    /// Mains-frequency volts, RMS.
    pub(super) fn ac(&self, pair: Pair) -> f64 {
        self.phasor(pair).abs()
    }

    /// Square of the RMS of DC and AC together, V².
    pub(super) fn square(&self, pair: Pair) -> f64 {
        let dc = self.dc(pair);
        dc * dc + self.phasor(pair).norm_sqr()
    }

    fn open(&self, (a, b): Pair) -> Complex {
        self.solution.ac(a, &[]) - self.solution.ac(b, &[])
    }

    /// Volts for one ampere at each terminal of a port.
    fn response(&self, port: usize, (a, b): Pair) -> [Complex; 3] {
        let at = |column: &[Complex], node: Node| column.get(node as usize).copied().unwrap_or(Complex::ZERO);
        let mut volts = [Complex::ZERO; 3];
        for (v, column) in volts.iter_mut().zip(&self.solution.response[port]) {
            *v = at(column, a) - at(column, b);
        }
        volts
    }

    fn phasor(&self, pair: Pair) -> Complex {
        let drawn = self.drawn.iter().enumerate();
        drawn.fold(self.open(pair), |v, (port, currents)| less(v, &self.response(port, pair), currents))
    }

    /// Volts that one ampere at every terminal of every motor can make at most.
    fn sway(&self, pair: Pair) -> f64 {
        let ports = 0..self.solution.response.len();
        ports.flat_map(|port| self.response(port, pair)).map(Complex::abs).sum()
    }

    /// The motors' current, A, up to which the AC volts of a pair stay on the same side of a limit, V, as without any
    /// current; infinite where no motor sways them.
    pub(super) fn margin(&self, pair: Pair, limit: f64) -> f64 {
        let sway = self.sway(pair);
        if sway == 0.0 {
            return f64::INFINITY;
        }
        let amperes = ((self.open(pair).abs() - limit).abs() - ROUNDING_VOLTS) / sway;
        if amperes > 0.0 { amperes } else { 0.0 }
    }
}

/// The least of several currents, A; infinite for none.
pub(super) fn least(currents: impl Iterator<Item = f64>) -> f64 {
    currents.fold(f64::INFINITY, |least, a| if a < least { a } else { least })
}

/// Far more than the rounding of a voltage, far less than any voltage that matters.
const ROUNDING_VOLTS: f64 = 1e-6;

/// `open` less what these currents make; the order of the sums is the same everywhere, so that the bits are.
#[inline]
fn less(open: Complex, response: &[Complex; 3], currents: &[Complex; 3]) -> Complex {
    response.iter().zip(currents).fold(open, |v, (r, &i)| v - *r * i)
}

/// Pairs of nodes whose volts the motors sway, with all that is needed to follow them from current to current.
#[derive(Debug, Default)]
pub(super) struct Swayed {
    pairs: Vec<SwayedPair>,
    /// Of each pair, by port.
    responses: Vec<[Complex; 3]>,
}

#[derive(Debug)]
struct SwayedPair {
    member: usize,
    pole: usize,
    dc_square: f64,
    open: Complex,
}

impl Swayed {
    /// Takes a pole of a member of a family up, if any motor sways it.
    pub(super) fn add(&mut self, volts: &Volts, member: usize, pole: usize, pair: Pair) {
        if volts.sway(pair) != 0.0 {
            let dc = volts.dc(pair);
            self.pairs.push(SwayedPair { member, pole, dc_square: dc * dc, open: volts.open(pair) });
            let ports = 0..volts.solution.response.len();
            self.responses.extend(ports.map(|port| volts.response(port, pair)));
        }
    }

    /// Hands over member, pole and [`Volts::square`] of every pair.
    pub(super) fn squares(&self, drawn: &[[Complex; 3]], mut take: impl FnMut(usize, usize, f64)) {
        let responses = self.responses.chunks_exact(drawn.len().max(1));
        for (pair, responses) in self.pairs.iter().zip(responses) {
            let with = responses.iter().zip(drawn).fold(pair.open, |v, (r, i)| less(v, r, i));
            take(pair.member, pair.pole, pair.dc_square + with.norm_sqr());
        }
    }
}
