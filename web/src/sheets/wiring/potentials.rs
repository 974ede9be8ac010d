//! Which terminals are live, and at what potential against earth: read from the bench a few times a second.

use super::drawing::Shared;
use crate::store::Workshop;
use sealin_core::plan::Terminal;
use std::cell::{Cell, RefCell};
use std::ops::Deref;
use std::rc::Rc;

/// The potential of a terminal against earth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Potential {
    /// Not live, or not known.
    #[default]
    Dead,
    /// DC, whole volts.
    Dc(i32),
    /// AC, whole volts (RMS).
    Ac(i32),
}

impl Potential {
    /// Below this a terminal is not shown as live, V. Well under extra-low voltage, above what leaks through a channel.
    const LEAST: f64 = 1.5;

    fn of(dc: f64, ac: f64) -> Potential {
        if ac.abs() >= Self::LEAST && ac.abs() >= dc.abs() {
            Potential::Ac(ac.round() as i32)
        } else if dc.abs() >= Self::LEAST {
            Potential::Dc(dc.round() as i32)
        } else {
            Potential::Dead
        }
    }

    /// As printed at the ferrule; nothing when it is not live.
    pub fn text(self) -> String {
        match self {
            Potential::Dead => String::new(),
            Potential::Dc(v) => format!("{v}\u{a0}V").replace('-', "\u{2212}"),
            Potential::Ac(v) => format!("{v}\u{a0}V"),
        }
    }
}

/// Potentials of some terminals.
pub struct Potentials {
    terminals: Vec<Terminal>,
    earth: Option<Terminal>,
    values: RefCell<Vec<Potential>>,
    frame: Cell<u32>,
    tick: Cell<Option<u64>>,
}

/// Frames between two readings: figures that change faster cannot be read.
const FRAMES: u32 = 6;

impl Potentials {
    /// For these terminals, against `earth`.
    pub fn new(terminals: Vec<Terminal>, earth: Option<Terminal>) -> Self {
        let values = RefCell::new(vec![Potential::Dead; terminals.len()]);
        Potentials { terminals, earth, values, frame: Cell::new(0), tick: Cell::new(None) }
    }

    /// To be called once a frame, before the values are taken.
    pub fn read(&self, workshop: &Workshop) {
        let frame = self.frame.get();
        self.frame.set((frame + 1) % FRAMES);
        let tick = workshop.bench().tick();
        if frame != 0 || self.tick.get() == Some(tick) {
            return;
        }
        self.tick.set(Some(tick));
        let Some(earth) = &self.earth else { return };
        if workshop.is_sealed() {
            self.values.borrow_mut().fill(Potential::Dead);
            return;
        }
        let bench = workshop.bench();
        let of = |t: &Terminal| {
            let volts = |v: Option<f64>| v.filter(|v| v.is_finite()).unwrap_or(0.0);
            Potential::of(volts(bench.volts_dc(t, earth)), volts(bench.volts_ac(t, earth)))
        };
        *self.values.borrow_mut() = self.terminals.iter().map(of).collect();
    }

    /// The terminals.
    pub fn terminals(&self) -> &[Terminal] {
        &self.terminals
    }

    /// The value at the last reading.
    pub fn value(&self, terminal: usize) -> Potential {
        self.values.borrow().get(terminal).copied().unwrap_or_default()
    }
}

/// Potentials of the terminals that carry a conductor, shared; equal when they are the same ones.
#[derive(Clone)]
pub struct Volts(Rc<Potentials>);

impl Volts {
    /// Of a drawing.
    pub fn of(drawing: &Shared) -> Volts {
        let mut terminals: Vec<Terminal> =
            drawing.conductors.iter().flat_map(|c| [c.from.clone(), c.to.clone()]).collect();
        terminals.sort();
        terminals.dedup();
        Volts(Rc::new(Potentials::new(terminals, drawing.earth())))
    }
}

impl PartialEq for Volts {
    fn eq(&self, other: &Volts) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

impl Deref for Volts {
    type Target = Potentials;
    fn deref(&self) -> &Potentials {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_leaks_is_not_live_and_mains_outweigh() {
        assert_eq!(Potential::of(0.4, 0.2), Potential::Dead);
        assert_eq!(Potential::of(23.9, 0.0).text(), "24\u{a0}V");
        assert_eq!(Potential::of(-23.9, 0.0).text(), "\u{2212}24\u{a0}V");
        assert_eq!(Potential::of(3.0, 230.9).text(), "231\u{a0}V");
    }
}
