//! Voltages inside a tolerance band: one device of a type does there what another does not.
//!
//! A device's thresholds are figures of its own, and what an exploration says holds for them. What it met between the limits
//! within which the thresholds of a type may lie is told besides.

use super::volts::Volts;
use crate::design::Design;
use std::collections::BTreeMap;
use std::fmt;

/// A tolerance band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Band {
    /// Drop-out of a coil: 0.40 to 0.60 of its rated voltage (typical, within IEC 60947-4-1: 0.20 to 0.75).
    DropOut,
    /// Pick-up of a coil: 0.70 to 0.80 of its rated voltage (typical, within IEC 60947-4-1: it must close at 0.85).
    PickUp,
    /// Transition of an input channel: 5 to 11 V (IEC 61131-2, type 3).
    Input,
}

impl Band {
    /// Lower and upper limit: per mille of the rated voltage of a coil, mV at an input channel.
    pub fn limits(self) -> [u32; 2] {
        match self {
            Band::DropOut => [400, 600],
            Band::PickUp => [700, 800],
            Band::Input => [5_000, 11_000],
        }
    }

    fn holds(self, value: u32) -> bool {
        let [least, most] = self.limits();
        (least..=most).contains(&value)
    }
}

/// Where a voltage was met inside a band: tag of the part, terminal of its input channel if it is one, and the band.
type Place = (String, Option<String>, Band);

/// Voltages that were met inside tolerance bands, least and most of each place.
#[derive(Clone, Debug, Default)]
pub struct Marginals(BTreeMap<Place, [u32; 2]>);

/// Voltages of one place inside a tolerance band.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marginal {
    /// Tag of the part.
    pub part: String,
    /// Terminal of the input channel; none for a coil.
    pub input: Option<String>,
    /// The band.
    pub band: Band,
    /// The lowest that was met, in the unit of [`Band::limits`].
    pub least: u32,
    /// The highest.
    pub most: u32,
}

impl Marginals {
    /// Takes up what lies inside a band here.
    pub(super) fn note(&mut self, design: &Design, volts: &Volts) {
        for c in design.contactors.iter().filter(|c| !c.data.coil_open) {
            let part = c.data.electrics.part(volts.dc(c.data.coil), volts.ac(c.data.coil));
            let permille = rounded(part * 1000.0);
            self.add(&c.tag, None, Band::DropOut, permille);
            self.add(&c.tag, None, Band::PickUp, permille);
        }
        for c in &design.controllers {
            let names = c.data.controller.inputs.iter().flat_map(|group| &group.channels);
            for (k, (input, name)) in c.data.inputs.iter().zip(names).enumerate() {
                if c.data.dead >> k & 1 == 0 {
                    self.add(
                        &c.tag,
                        Some(name.as_str()),
                        Band::Input,
                        rounded(volts.dc(input.nodes) * 1000.0),
                    );
                }
            }
        }
    }

    fn add(&mut self, tag: &str, input: Option<&str>, band: Band, value: u32) {
        if band.holds(value) {
            let met = self.0.entry((tag.to_string(), input.map(str::to_string), band)).or_insert([value; 2]);
            *met = [met[0].min(value), met[1].max(value)];
        }
    }

    /// Takes up what another has met.
    pub fn join(&mut self, other: &Marginals) {
        for ((tag, input, band), met) in &other.0 {
            met.iter().for_each(|&value| self.add(tag, input.as_deref(), *band, value));
        }
    }

    /// All of it, by tag.
    pub fn list(&self) -> Vec<Marginal> {
        let one = |((part, input, band), [least, most]): (&Place, &[u32; 2])| Marginal {
            part: part.clone(),
            input: input.clone(),
            band: *band,
            least: *least,
            most: *most,
        };
        self.0.iter().map(one).collect()
    }
}

/// To the nearest; what is negative is 0.
fn rounded(value: f64) -> u32 {
    (value + 0.5) as u32
}

impl fmt::Display for Marginal {
    /// `QA1 coil at 0.55 of its rated voltage (drop-out 0.40 to 0.60)`, `KF1 I4 at 8.0 V (input 5.0 to 11.0 V)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [least, most] = self.band.limits();
        let (what, limit, input) = match self.band {
            Band::DropOut => ("coil", "drop-out", false),
            Band::PickUp => ("coil", "pick-up", false),
            Band::Input => (self.input.as_deref().unwrap_or_default(), "input", true),
        };
        // Two decimals of a coil's part, one of volts.
        let figure = |value: u32| {
            let (digits, step) = if input { (1, 100) } else { (2, 10) };
            let value = (value + step / 2) / step;
            let whole = 1000 / step;
            format!("{}.{:0digits$}", value / whole, value % whole)
        };
        let met = if figure(self.least) == figure(self.most) {
            figure(self.least)
        } else {
            format!("{} to {}", figure(self.least), figure(self.most))
        };
        let unit = if input { " V" } else { " of its rated voltage" };
        let unit_of_limit = if input { " V" } else { "" };
        write!(
            f,
            "{} {what} at {met}{unit} ({limit} {} to {}{unit_of_limit})",
            self.part,
            figure(least),
            figure(most)
        )
    }
}
