//! A network at one key as a netlist for an outside circuit simulator of the SPICE family, one a frequency group.
//!
//! Written from what the elements are, not from how they are solved, so that the two can be held against each other.
//! Node `k` is called `nk`, earth `0`. A complex admittance becomes a resistor and an inductor or capacitor in
//! parallel that have it at the frequency of the netlist; a phasor becomes two sources in series, the second leading by
//! a quarter; a transformer becomes an ideal one of controlled sources, its series and its magnetising admittance.
//! Limits and states are frozen by the key, and motors are the currents that they draw.

use super::{DC_SOURCE_OHM, EARTH, Element, Key, LEAK_SIEMENS, LIMIT_SHUNT_SIEMENS, Network, Node};
use crate::complex::Complex;
use std::fmt::{Display, Write as _};

/// One of the two groups that are solved apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Direct current.
    Dc,
    /// Mains frequency.
    Ac {
        /// Frequency, mHz, above 0.
        millihertz: u32,
    },
}

/// A netlist in the making.
struct Writer {
    text: String,
    /// Angular frequency, 1/s; 0 at DC.
    omega: f64,
}

impl Network {
    /// The network at a key as a netlist. `drawn` are the currents drawn **out** at the ports, A RMS; they count at
    /// mains frequency only. Ends with the analysis: `.op`, or `.ac` at the one frequency.
    pub fn netlist(&self, key: &Key, group: Group, drawn: &[[Complex; 3]]) -> String {
        let hertz = match group {
            Group::Dc => 0.0,
            Group::Ac { millihertz } => f64::from(millihertz) / 1000.0,
        };
        let mut w = Writer { text: String::new(), omega: 2.0 * std::f64::consts::PI * hertz };
        match group {
            Group::Dc => w.line("Network at DC: volts against earth, node 0"),
            Group::Ac { .. } => w.line(format!("Network at {hertz} Hz: volts RMS against earth, node 0")),
        }
        for (number, element) in self.elements.iter().enumerate() {
            match group {
                Group::Dc => w.at_dc(number, element, key),
                Group::Ac { .. } => w.at_mains(number, element, key),
            }
        }
        if group != Group::Dc {
            for (port, (nodes, currents)) in self.ports.iter().zip(drawn).enumerate() {
                for (terminal, (&node, &current)) in nodes.iter().zip(currents).enumerate() {
                    w.drawn(&format!("p{port}t{terminal}"), node, current);
                }
            }
        }
        for node in 0..self.nodes as Node {
            w.resistor(&format!("leak{node}"), &name(node), "0", LEAK_SIEMENS);
        }
        // Without gmin and with the tightest bounds a linear network is solved as it stands.
        w.line(".options gmin=1e-20 reltol=1e-9 abstol=1e-18 vntol=1e-15 pivrel=0.1");
        if group != Group::Dc {
            // An operating point says nothing here, and shorted inductors side by side have none.
            w.line(".options noopac");
        }
        match group {
            Group::Dc => w.line(".op"),
            Group::Ac { .. } => w.line(format!(".ac lin 1 {hertz} {hertz}\n.print ac all")),
        }
        w.line(".end");
        w.text
    }
}

fn name(node: Node) -> String {
    if node == EARTH { "0".to_string() } else { format!("n{node}") }
}

impl Writer {
    fn line(&mut self, line: impl Display) {
        let _ = writeln!(self.text, "{line}");
    }

    fn resistor(&mut self, id: &str, a: &str, b: &str, siemens: f64) {
        if a != b && siemens != 0.0 {
            self.line(format!("R{id} {a} {b} {:e}", 1.0 / siemens));
        }
    }

    /// An admittance at the frequency of the netlist.
    fn admittance(&mut self, id: &str, a: &str, b: &str, y: Complex) {
        self.resistor(id, a, b, y.re);
        if a == b {
            return;
        }
        if y.im > 0.0 {
            self.line(format!("C{id} {a} {b} {:e}", y.im / self.omega));
        } else if y.im < 0.0 {
            self.line(format!("L{id} {a} {b} {:e}", 1.0 / (-y.im * self.omega)));
        }
    }

    /// A current out of a node and into earth, as a phasor.
    fn drawn(&mut self, id: &str, node: Node, amperes: Complex) {
        self.line(format!("I{id}a {} 0 DC 0 AC {:e} 0", name(node), amperes.re));
        self.line(format!("I{id}b {} 0 DC 0 AC {:e} 90", name(node), amperes.im));
    }

    fn at_dc(&mut self, number: usize, element: &Element, key: &Key) {
        let id = number.to_string();
        match *element {
            Element::Resistor { a, b, siemens } | Element::DcOnly { a, b, siemens } => {
                self.resistor(&id, &name(a), &name(b), siemens);
            }
            Element::Contact { a, b, bit, siemens } => {
                if key.get(bit) {
                    self.resistor(&id, &name(a), &name(b), siemens);
                }
            }
            Element::LimitedContact { a, b, bit, limiting_bit, siemens, limit } => {
                let (a, b) = (name(a), name(b));
                if key.get(bit) && key.get(limiting_bit) && a != b {
                    self.line(format!("I{id} {a} {b} DC {limit:e}"));
                    self.resistor(&id, &a, &b, LIMIT_SHUNT_SIEMENS);
                } else if key.get(bit) {
                    self.resistor(&id, &a, &b, siemens);
                }
            }
            Element::Capacitor { .. } => {}
            Element::Coil { a, b, burnt, siemens_dc, .. } => {
                if !key.get(burnt) {
                    self.resistor(&id, &name(a), &name(b), siemens_dc);
                }
            }
            Element::AcSource { a, bit, admittance, .. } => {
                if key.get(bit) {
                    self.resistor(&id, &name(a), "0", admittance.abs());
                }
            }
            Element::DcSource { plus, minus, bit, volts, limit } => {
                let (plus, minus) = (name(plus), name(minus));
                if !key.get(bit) || plus == minus {
                    return;
                }
                if key.get(bit + 1) {
                    self.line(format!("I{id} {minus} {plus} DC {limit:e}"));
                    self.resistor(&id, &plus, &minus, LIMIT_SHUNT_SIEMENS);
                } else {
                    self.line(format!("V{id} e{id} {minus} DC {volts:e}"));
                    self.resistor(&id, &plus, &format!("e{id}"), 1.0 / DC_SOURCE_OHM);
                }
            }
            Element::Transformer { primary: p, secondary: s, siemens_dc, .. } => {
                self.resistor(&format!("{id}p"), &name(p.0), &name(p.1), siemens_dc.0);
                self.resistor(&format!("{id}s"), &name(s.0), &name(s.1), siemens_dc.1);
            }
        }
    }

    fn at_mains(&mut self, number: usize, element: &Element, key: &Key) {
        let id = number.to_string();
        match *element {
            Element::Resistor { a, b, siemens } => self.resistor(&id, &name(a), &name(b), siemens),
            Element::Contact { a, b, bit, siemens } | Element::LimitedContact { a, b, bit, siemens, .. } => {
                if key.get(bit) {
                    self.resistor(&id, &name(a), &name(b), siemens);
                }
            }
            Element::Capacitor { a, b, siemens } => {
                self.admittance(&id, &name(a), &name(b), Complex::new(0.0, siemens));
            }
            Element::Coil { a, b, bit, burnt, out, sealed, .. } => {
                if !key.get(burnt) {
                    self.admittance(&id, &name(a), &name(b), if key.get(bit) { sealed } else { out });
                }
            }
            Element::DcOnly { .. } => {}
            Element::AcSource { a, bit, volts, admittance } => {
                if key.get(bit) {
                    self.line(format!("V{id}a f{id} 0 DC 0 AC {:e} 0", volts.re));
                    self.line(format!("V{id}b e{id} f{id} DC 0 AC {:e} 90", volts.im));
                    self.admittance(&id, &name(a), &format!("e{id}"), admittance);
                }
            }
            Element::DcSource { plus, minus, .. } => {
                self.resistor(&id, &name(plus), &name(minus), 1.0 / DC_SOURCE_OHM);
            }
            Element::Transformer { primary, secondary, ratio, series, magnetising, .. } => {
                let (p, q) = (name(primary.0), name(primary.1));
                let (s, t) = (name(secondary.0), name(secondary.1));
                self.admittance(&format!("{id}m"), &p, &q, magnetising);
                self.admittance(&format!("{id}s"), &s, &format!("e{id}"), series);
                self.line(format!("E{id} e{id} f{id} {p} {q} {ratio:e}"));
                // Senses the current that comes in at the secondary's first terminal.
                self.line(format!("V{id} f{id} {t} DC 0"));
                self.line(format!("F{id} {p} {q} V{id} {:e}", -ratio));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: the coil of (0.003 − 0.004j) S at 50 Hz is 333.3 ohm beside 250 ohm / 314.16 = 0.7958 H; the
    /// capacitance of 314.16 µS is 1 µF; a limiting supply of 2 A pushes them into its positive terminal.
    #[test]
    fn values_by_hand() {
        let omega = 100.0 * std::f64::consts::PI;
        let elements = vec![
            Element::Coil {
                a: 0,
                b: EARTH,
                bit: 0,
                burnt: 4,
                out: Complex::ONE,
                sealed: Complex::new(0.003, -0.004),
                siemens_dc: 0.02,
            },
            Element::Capacitor { a: 0, b: 1, siemens: 1e-6 * omega },
            Element::DcSource { plus: 1, minus: EARTH, bit: 1, volts: 24.0, limit: 2.0 },
            Element::Contact { a: 0, b: 1, bit: 3, siemens: 100.0 },
        ];
        let network = Network::new(2, elements, Vec::new());
        let mut key = Key::default();
        for bit in 0..3 {
            key.set(bit, true);
        }
        let number = |text: &str, element: &str| {
            let line = text.lines().find(|l| l.starts_with(&format!("{element} ")));
            line.map(|l| l.rsplit(' ').next().unwrap().parse::<f64>().unwrap())
        };
        let near = |found: Option<f64>, wanted: f64| (found.unwrap() / wanted - 1.0).abs() < 1e-12;
        let ac = network.netlist(&key, Group::Ac { millihertz: 50_000 }, &[]);
        assert!(near(number(&ac, "R0"), 1.0 / 0.003) && near(number(&ac, "L0"), 250.0 / omega), "{ac}");
        assert!(near(number(&ac, "C1"), 1e-6) && near(number(&ac, "R2"), 0.1), "{ac}");
        assert_eq!((number(&ac, "R3"), number(&ac, "I2")), (None, None), "{ac}");
        assert!(ac.ends_with(".ac lin 1 50 50\n.print ac all\n.end\n"), "{ac}");
        let dc = network.netlist(&key, Group::Dc, &[]);
        assert!(near(number(&dc, "R0"), 50.0) && near(number(&dc, "R2"), 1000.0), "{dc}");
        assert!(dc.contains("\nI2 0 n1 DC 2e0\n") && number(&dc, "C1").is_none(), "{dc}");
        key.set(3, true);
        key.set(2, false);
        let dc = network.netlist(&key, Group::Dc, &[]);
        assert!(dc.contains("\nV2 e2 0 DC 2.4e1\nR2 n1 e2 1e-1\nR3 n0 n1 1e-2\n"), "{dc}");
    }
}
