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

    /// RMS of DC and AC together, V.
    pub(super) fn size(&self, pair: Pair) -> f64 {
        self.square(pair).sqrt()
    }

    /// Highest instantaneous value of DC and AC together, V.
    pub(super) fn peak(&self, pair: Pair) -> f64 {
        self.dc(pair).abs() + self.ac(pair) * std::f64::consts::SQRT_2
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
    pub(super) fn sway(&self, pair: Pair) -> f64 {
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

    /// The same for the size of a pair's volts, DC and AC together, against a limit squared, V²; infinite where the DC alone
    /// is beyond it, whatever flows.
    pub(super) fn margin_of_size(&self, pair: Pair, limit_squared: f64) -> f64 {
        let dc = self.dc(pair);
        let left = limit_squared - dc * dc;
        if left > 0.0 { self.margin(pair, left.sqrt()) } else { f64::INFINITY }
    }
}

/// The least of several currents, A; infinite for none.
pub(super) fn least(currents: impl Iterator<Item = f64>) -> f64 {
    currents.fold(f64::INFINITY, |least, a| if a < least { a } else { least })
}

/// As a current up to which all is calm: it is not, even without any.
pub(super) const NEVER: f64 = -1.0;

/// Far more than the rounding of a voltage, far less than any voltage that matters.
const ROUNDING_VOLTS: f64 = 1e-6;

/// `open` less what these currents make; the order of the sums is the same everywhere, so that the bits are.
#[inline]
fn less(open: Complex, response: &[Complex; 3], currents: &[Complex; 3]) -> Complex {
    response.iter().zip(currents).fold(open, |v, (r, &i)| v - *r * i)
}

/// Pairs of nodes whose volts the motors may sway, with all that is needed to follow them from current to current. By
/// columns, so that several pairs are computed at once.
#[derive(Debug, Default)]
pub(super) struct Swayed {
    /// Member of the family and pole.
    places: Vec<(usize, usize)>,
    dc_square: Vec<f64>,
    open: Column,
    /// Of each port: volts for one ampere at each terminal.
    responses: Vec<[Column; 3]>,
}

/// Complex numbers, real and imaginary parts apart.
#[derive(Clone, Debug, Default)]
pub(super) struct Column {
    re: Vec<f64>,
    im: Vec<f64>,
}

impl Column {
    fn push(&mut self, value: Complex) {
        self.re.push(value.re);
        self.im.push(value.im);
    }

    fn copy(&mut self, from: &Column) {
        self.re.clear();
        self.re.extend_from_slice(&from.re);
        self.im.clear();
        self.im.extend_from_slice(&from.im);
    }

    /// Takes `response` times a current away, as [`less`] does.
    fn subtract(&mut self, response: &Column, i: Complex) {
        let parts = self.re.iter_mut().zip(&mut self.im).zip(response.re.iter().zip(&response.im));
        for ((re, im), (r_re, r_im)) in parts {
            *re -= r_re * i.re - r_im * i.im;
            *im -= r_re * i.im + r_im * i.re;
        }
    }
}

impl Swayed {
    /// Takes a pole of a member of a family up.
    pub(super) fn add(&mut self, volts: &Volts, member: usize, pole: usize, pair: Pair) {
        let dc = volts.dc(pair);
        self.places.push((member, pole));
        self.dc_square.push(dc * dc);
        self.open.push(volts.open(pair));
        self.responses.resize(volts.solution.response.len(), Default::default());
        for (port, columns) in self.responses.iter_mut().enumerate() {
            for (column, value) in columns.iter_mut().zip(volts.response(port, pair)) {
                column.push(value);
            }
        }
    }

    /// Hands over member, pole and [`Volts::square`] of every pair; `room` is memory to be used again.
    pub(super) fn squares(
        &self,
        drawn: &[[Complex; 3]],
        room: &mut Column,
        mut take: impl FnMut(usize, usize, f64),
    ) {
        room.copy(&self.open);
        for (columns, currents) in self.responses.iter().zip(drawn) {
            for (column, &current) in columns.iter().zip(currents) {
                room.subtract(column, current);
            }
        }
        let squares = self.dc_square.iter().zip(room.re.iter().zip(&room.im));
        for (&(member, pole), (dc_square, (re, im))) in self.places.iter().zip(squares) {
            take(member, pole, dc_square + (re * re + im * im));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::{EARTH, Element, Key, Network};

    /// 24 V DC beside 3 V AC behind 1 ohm, against 25 V (hand): √(25² − 24²) = 7 V of AC are left, which 4 A more make of 3 V.
    /// Against the AC alone it would be 22 A, and the limit would long be passed.
    #[test]
    fn dc_leaves_less_room_for_the_motors() {
        let elements = vec![
            Element::AcSource { a: 0, bit: 0, volts: Complex::real(3.0), admittance: Complex::ONE },
            Element::DcSource { plus: 1, minus: EARTH, bit: 1, volts: 24.0, limit: 3.0 },
        ];
        // The other two terminals of the motor hang on nothing.
        let network = Network::new(4, elements, vec![[0, 2, 3]]);
        let mut key = Key::default();
        key.set(0, true);
        key.set(1, true);
        let solution = network.solve(&key);
        let size = |amperes: f64| {
            let drawn = [[Complex::real(-amperes), Complex::ZERO, Complex::ZERO]];
            Volts { solution: &solution, drawn: &drawn }.size((0, 1))
        };
        let margin = Volts { solution: &solution, drawn: &[] }.margin_of_size((0, 1), 25.0 * 25.0);
        assert!((margin - 4.0).abs() < 0.01, "{margin}");
        assert!(size(margin - 0.01) < 25.0 && size(margin + 0.05) > 25.0, "{} {}", size(margin), size(0.0));
        // By DC alone beyond it, whatever flows.
        let beyond = Volts { solution: &solution, drawn: &[] }.margin_of_size((0, 1), 23.0 * 23.0);
        assert_eq!(beyond, f64::INFINITY);
    }
}
