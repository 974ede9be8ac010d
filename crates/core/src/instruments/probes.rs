//! What the network is between two probes: its voltage, and its own impedance there.

use super::source::{on_load_ac, on_load_dc};
use crate::complex::Complex;
use crate::network::{EARTH, Impedances, Key, Node, Solution};
use crate::plan::Terminal;
use crate::{Design, State};

/// A bench as instruments see it.
#[derive(Clone, Copy)]
pub struct Seen<'a> {
    /// What it is built from.
    pub design: &'a Design,
    /// What it is at.
    pub state: &'a State,
    /// Which contacts are closed.
    pub key: Key,
    /// The network's solution for that.
    pub solution: &'a Solution,
    /// Currents that the motors draw, by port; nothing if none draws any.
    pub drawn: &'a [[Complex; 3]],
    /// Its impedances for that, where many readings are taken; without them each is computed by itself.
    pub impedances: Option<&'a Impedances<'a>>,
}

/// Two probes on two terminals of a bench.
#[derive(Clone, Copy)]
pub struct Probes<'a> {
    pub(super) seen: Seen<'a>,
    pub(super) from: Node,
    pub(super) to: Node,
}

impl<'a> Probes<'a> {
    /// Puts the probes on.
    ///
    /// # Errors
    /// A terminal that is not there.
    pub fn on(seen: Seen<'a>, from: &Terminal, to: &Terminal) -> Result<Probes<'a>, String> {
        Ok(Probes { seen, from: node(seen.design, from)?, to: node(seen.design, to)? })
    }

    /// The same, with the second probe on earth.
    pub(super) fn to_earth(self, from: Node) -> Probes<'a> {
        Probes { from, to: EARTH, ..self }
    }

    /// DC volts of the first probe against the second, without a load.
    pub fn open_dc(&self) -> f64 {
        self.seen.solution.dc(self.from) - self.seen.solution.dc(self.to)
    }

    /// Mains-frequency volts (RMS phasor) of the first probe against the second, without a load, with the motors'
    /// currents.
    pub fn open_ac(&self) -> Complex {
        let Seen { solution, drawn, .. } = self.seen;
        solution.ac(self.from, drawn) - solution.ac(self.to, drawn)
    }

    /// DC volts on a load of so many ohms between the probes.
    pub fn loaded_dc(&self, ohm: f64) -> f64 {
        on_load_dc(self.open_dc(), ohm, || self.resistance())
    }

    /// RMS volts at mains frequency on a load of so many ohms between the probes.
    pub fn loaded_ac(&self, ohm: f64) -> f64 {
        self.on_load(self.open_ac().abs(), ohm)
    }

    /// The same with its phasor, in thousandths, in the direction that it has without a load: that of a meter hardly turns it.
    pub(super) fn metered_ac(&self, ohm: f64) -> (f64, [i64; 2]) {
        let open = self.open_ac();
        let volts = self.on_load(open.abs(), ohm);
        let times = if open.abs() > 0.0 { volts / open.abs() } else { 0.0 };
        (volts, thousandths(open, times))
    }

    fn on_load(&self, open: f64, ohm: f64) -> f64 {
        on_load_ac(open, ohm, || self.seen.impedance_ac(self.from, self.to))
    }

    /// DC resistance between the probes with all sources dead, ohm.
    pub fn resistance(&self) -> f64 {
        match self.seen.impedances {
            Some(all) => all.dc(self.from, self.to),
            None => self.seen.design.network.resistance_dc(&self.seen.key, self.from, self.to),
        }
    }
}

/// So many times a phasor, in thousandths.
pub(super) fn thousandths(phasor: Complex, times: f64) -> [i64; 2] {
    [phasor.re, phasor.im].map(|part| (part * times * 1000.0).round() as i64)
}

/// The node of a terminal; the error says that there is none.
pub(super) fn node(design: &Design, terminal: &Terminal) -> Result<Node, String> {
    design.node(terminal).ok_or_else(|| format!("there is no terminal `{terminal}`"))
}
