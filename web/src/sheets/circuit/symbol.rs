//! The symbols, after IEC 60617 or in North American practice (IEEE Std 315, NFPA 79), as paths: what is always there,
//! and what shows a contact open or closed.

use super::element::{Element, Figure, Moved, Pole, Side};
use crate::sheets::wiring::Practice;
use crate::sheets::wiring::panel::{american, symbols};

/// When a mark is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    /// Always.
    Always,
    /// While a signal of the symbol, by number, is true.
    On(usize),
    /// While it is false.
    Off(usize),
}

/// A line of a symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// SVG path.
    pub d: String,
    /// When it is seen.
    pub show: Show,
    /// A mechanical link, drawn dashed.
    pub link: bool,
}

/// Half the height of a contact.
const HALF: f64 = 10.0;

/// The marks of a symbol whose ports stand at `ports` (x), between `top` and `bottom`.
pub struct Drawing<'a> {
    element: &'a Element,
    ports: &'a [f64],
    top: f64,
    bottom: f64,
    practice: Practice,
    marks: Vec<Mark>,
}

impl<'a> Drawing<'a> {
    /// Draws a symbol.
    pub fn of(
        element: &'a Element,
        ports: &'a [f64],
        top: f64,
        bottom: f64,
        practice: Practice,
    ) -> Vec<Mark> {
        let mut drawing = Drawing { element, ports, top, bottom, practice, marks: Vec::new() };
        drawing.draw();
        drawing.marks
    }

    fn add(&mut self, d: String) {
        self.marks.push(Mark { d, show: Show::Always, link: false });
    }

    fn link(&mut self, d: String) {
        self.marks.push(Mark { d, show: Show::Always, link: true });
    }

    fn either(&mut self, signal: usize, on: String, off: String) {
        self.marks.push(Mark { d: on, show: Show::On(signal), link: false });
        self.marks.push(Mark { d: off, show: Show::Off(signal), link: false });
    }

    fn on(&self, side: Side) -> Vec<f64> {
        let of = |p: &usize| self.element.ports[*p].side == side;
        (0..self.ports.len()).filter(of).map(|p| self.ports[p]).collect()
    }

    fn middle(&self) -> f64 {
        (self.top + self.bottom) / 2.0
    }

    fn draw(&mut self) {
        let (top, bottom, middle) = (self.top, self.bottom, self.middle());
        let x = self.ports.first().copied().unwrap_or_default();
        let last = self.ports.iter().copied().fold(x, f64::max);
        match self.element.figure {
            Figure::Contact { make, by, positive } => self.contact(x, make, by, positive),
            Figure::Changeover => self.changeover(),
            Figure::Poles(pole) => self.poles(pole),
            Figure::Coil => self.add(symbols::coil(self.practice, x, top, bottom)),
            Figure::Brake => {
                self.add(
                    symbols::coil(self.practice, x, top, bottom) + &symbols::brake_shoe(x - 11.0, middle),
                );
                self.link(format!("M{} {middle}h3", x - 11.0));
            }
            Figure::Lamp => {
                let leads = format!("M{x} {top}V{}M{x} {}V{bottom}", middle - 8.0, middle + 8.0);
                self.add(symbols::lamp(self.practice, x, middle, 8.0) + &leads);
            }
            Figure::Motor => {
                let centre = (x + last) / 2.0;
                let from = middle + 4.0;
                let mut d = symbols::circle(centre, from, 19.0);
                for at in self.ports {
                    let foot = if *at == centre { from - 19.0 } else { from - 9.0 };
                    let side = if *at < centre {
                        -16.7
                    } else if *at > centre {
                        16.7
                    } else {
                        0.0
                    };
                    d += &format!("M{at} {top}V{foot}H{}", centre + side);
                }
                self.add(d);
            }
            Figure::Supply => {
                let mut d = format!("M{} {}H{}v14H{}Z", x - 8.0, top + 5.0, last + 8.0, x - 8.0);
                for at in self.ports {
                    d += &format!("M{at} {}V{bottom}", top + 19.0);
                }
                self.add(d);
            }
            Figure::Winding(feeds) => {
                let (at, end) = if feeds { (top + 16.0, bottom) } else { (bottom - 16.0, top) };
                let each = (last - x) / 8.0;
                let mut d = format!("M{x} {end}V{at}");
                for _ in 0..4 {
                    d += &format!("a{each} {each} 0 0 {} {} 0", u8::from(feeds), 2.0 * each);
                }
                d += &format!("V{end}M{x} {0}H{last}", if feeds { at - each - 4.0 } else { at + each + 4.0 });
                self.add(d);
            }
            Figure::Converter(feeds) => {
                let mut d =
                    format!("M{} {}h{}v16h-{}Z", x - 8.0, middle - 8.0, last - x + 16.0, last - x + 16.0);
                for at in self.ports {
                    d += &if feeds {
                        format!("M{at} {}V{bottom}", middle + 8.0)
                    } else {
                        format!("M{at} {top}V{}", middle - 8.0)
                    };
                }
                let centre = (x + last) / 2.0;
                d += &if feeds {
                    format!("M{} {}h10m-10 4h2m2 0h2m2 0h2", centre - 5.0, middle - 2.0)
                } else {
                    format!("M{} {middle}q2.5 -5 5 0t5 0", centre - 5.0)
                };
                self.add(d);
            }
            Figure::Controller | Figure::Input => {
                let mut d = format!("M{} {}h18v18h-18Z", x - 9.0, middle - 9.0);
                d += &format!("M{x} {top}V{}M{x} {}V{bottom}", middle - 9.0, middle + 9.0);
                self.add(d);
            }
            Figure::Earth => self.add(format!("M{x} {top}V{}", top + 13.0) + &symbols::earth(x, top + 13.0)),
            Figure::Common(_) | Figure::Point | Figure::Block => {
                for at in self.ports {
                    self.add(symbols::circle(*at, middle, 3.0));
                }
            }
            Figure::Bar => {
                let mut all = self.ports.to_vec();
                all.sort_by(f64::total_cmp);
                let mut d = String::new();
                for pair in all.windows(2) {
                    d += &format!("M{} {middle}H{}", pair[0] + 3.0, pair[1] - 3.0);
                }
                for at in all {
                    d += &symbols::circle(at, middle, 3.0);
                }
                self.add(d);
            }
        }
    }

    fn contact(&mut self, x: f64, make: bool, by: Moved, positive: bool) {
        let (top, bottom, middle) = (self.top, self.bottom, self.middle());
        let (a, b) = (middle - HALF, middle + HALF);
        let by_hand = matches!(by, Moved::Button | Moved::Selector | Moved::EmergencyStop);
        if self.practice.is_american() && by_hand {
            self.add(american::button(x, top, bottom));
            let bridge = |closed| american::bridge(x, middle, make, closed);
            self.either(0, bridge(true), bridge(false));
        } else if self.practice.is_american() {
            self.add(american::contact(x, top, bottom, make));
            self.either(0, american::closed(x, middle), String::new());
        } else {
            self.add(format!("M{x} {top}V{a}M{x} {b}V{bottom}"));
            if make {
                self.either(0, format!("M{x} {b}V{a}"), format!("M{x} {b}L{} {}", x - 7.0, a + 1.0));
            } else {
                self.add(format!("M{x} {a}h6.5"));
                self.either(
                    0,
                    format!("M{x} {b}L{} {}", x + 5.0, a - 3.0),
                    format!("M{x} {b}L{} {}", x + 11.0, a + 3.0),
                );
            }
        }
        match by {
            Moved::Elsewhere | Moved::Output => {}
            Moved::Timer(released) => {
                self.link(format!("M{} {middle}H{}", x - 4.0, x - 12.0));
                self.add(symbols::delayed(x - 9.0, middle, released));
            }
            Moved::Machine => self.add(symbols::position(x - 5.0, middle)),
            Moved::Button | Moved::Selector | Moved::EmergencyStop => {
                self.link(format!("M{} {middle}H{}", x - 4.0, x - 15.0));
                self.add(match by {
                    Moved::Button => format!("M{} {}h-3v8h3", x - 14.0, middle - 4.0),
                    Moved::Selector => format!("M{} {}v4h4", x - 17.0, middle - 4.0),
                    _ => format!("M{0} {1}v8a5 4 0 0 1 0 -8", x - 15.0, middle - 4.0),
                });
            }
        }
        if positive {
            self.add(symbols::positive_opening(x - 14.0, middle + 9.0));
        }
    }

    fn changeover(&mut self) {
        let (upper, lower) = (self.on(Side::Top), self.on(Side::Bottom));
        let turned = upper.len() < lower.len();
        let (ends, foot) = if turned { (lower, upper) } else { (upper, lower) };
        let (Some(&foot), &[rest, works]) = (foot.first(), &ends[..]) else { return };
        let m = self.middle();
        let (far, near, s) =
            if turned { (self.bottom, self.top, -1.0) } else { (self.top, self.bottom, 1.0) };
        let (a, b) = (m - s * HALF, m + s * HALF);
        self.add(format!(
            "M{rest} {far}V{a}H{}M{works} {far}V{a}H{}M{foot} {near}V{b}",
            foot - 4.0,
            foot + 4.0
        ));
        self.either(
            0,
            format!("M{foot} {b}L{} {}", foot + 5.0, a - s * 3.0),
            format!("M{foot} {b}L{} {}", foot - 5.0, a - s * 3.0),
        );
    }

    fn poles(&mut self, pole: Pole) {
        let upper = self.on(Side::Top);
        let (top, bottom, middle) = (self.top, self.bottom, self.middle());
        for (k, &x) in upper.iter().enumerate() {
            match pole {
                Pole::Heater => self.add(symbols::heater(self.practice, x, top, bottom)),
                Pole::Fuse => {
                    self.add(format!(
                        "M{x} {top}V{}M{x} {}V{bottom}M{} {}h6v18h-6Z",
                        middle - 9.0,
                        middle + 9.0,
                        x - 3.0,
                        middle - 9.0
                    ));
                    self.either(k, format!("M{x} {}v18", middle - 9.0), String::new());
                }
                Pole::MotorBreaker => {
                    let joint = middle + 6.0;
                    self.pole(k, x, top, joint, pole);
                    self.add(symbols::heater(self.practice, x, joint, bottom));
                }
                _ => self.pole(k, x, top, bottom, pole),
            }
        }
        if let ([first, .., last], false) = (&upper[..], pole == Pole::Fuse) {
            let y = if pole == Pole::MotorBreaker { (self.top + middle + 6.0) / 2.0 } else { middle };
            self.link(format!("M{first} {y}H{}", last - 4.0));
        }
    }

    /// A switching pole.
    fn pole(&mut self, k: usize, x: f64, top: f64, bottom: f64, pole: Pole) {
        let middle = (top + bottom) / 2.0;
        let (a, b) = (middle - HALF, middle + HALF);
        if self.practice.is_american() && pole == Pole::Contactor {
            self.add(american::contact(x, top, bottom, true));
            self.either(k, american::closed(x, middle), String::new());
            return;
        }
        self.add(format!("M{x} {top}V{a}M{x} {b}V{bottom}"));
        match pole {
            Pole::Contactor => self.add(format!("M{x} {}a2.6 2.6 0 0 0 0 5.2", a - 5.2)),
            Pole::Disconnector => self.add(format!("M{} {a}h8{}", x - 4.0, symbols::circle(x, a - 2.5, 2.0))),
            Pole::FuseDisconnector => self.add(format!("M{} {a}h8", x - 4.0)),
            _ => self.add(format!("M{} {}l5 5m0 -5l-5 5", x - 2.5, a - 2.5)),
        }
        if pole == Pole::FuseDisconnector {
            // The fuse is the blade: a box of 4.4 by 10 along it; open, it lies 7 to the left over 19.
            self.either(
                k,
                format!("M{x} {b}V{a}M{} {}h4.4v10h-4.4Z", x - 2.2, middle - 5.0),
                format!("M{x} {b}l-7 -19M{:.1} {:.1}l4.1 -1.5 3.5 9.4 -4.1 1.5Z", x - 7.3, middle - 3.4),
            );
        } else {
            self.either(k, format!("M{x} {b}V{a}"), format!("M{x} {b}L{} {}", x - 7.0, a + 1.0));
        }
    }
}
