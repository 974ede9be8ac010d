//! Switching and protective devices: disconnector, fuses, breakers.

use super::coil::Auxiliary;
use super::contactor::contacts;

/// A disconnector, fuse disconnector, fuse terminal, miniature breaker or motor-protective breaker.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Switchgear {
    /// Number of poles, 1 to 3.
    pub poles: u8,
    /// What opens it by itself.
    pub protection: Protection,
    /// Auxiliary contacts, which follow the lever; those with a special function, such as 57-58, signal that a breaker has
    /// opened by itself.
    pub auxiliaries: Vec<Auxiliary>,
}

/// What opens a switching device by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Protection {
    /// Nothing: a plain switch.
    None,
    /// A fuse link in each pole, slow full-range (gG, IEC 60269-1).
    FuseGg {
        /// Rated current, mA.
        rated_ma: u32,
    },
    /// A fast miniature fuse link in each pole (IEC 60127 characteristic F).
    FuseFast {
        /// Rated current, mA.
        rated_ma: u32,
    },
    /// A miniature breaker (IEC 60898-1), all poles open together.
    Breaker {
        /// Rated current, mA.
        rated_ma: u32,
        /// Upper limit of the instantaneous range as a multiple of rated current: 5 for B, 10 for C, 20 for D.
        magnetic: u8,
    },
    /// A motor-protective breaker (IEC 60947-4-1, class 10, phase-loss sensitive; IEC 60947-2), all poles open together.
    Motor {
        /// Dial, mA.
        dial_ma: u32,
        /// Lowest value of the dial, mA.
        dial_min_ma: u32,
        /// Highest value of the dial, mA: its magnetic release stands at a multiple of it.
        dial_max_ma: u32,
    },
}

impl Protection {
    /// All poles open together, and the lever with them.
    pub fn opens_all_poles(self) -> bool {
        matches!(self, Protection::Breaker { .. } | Protection::Motor { .. })
    }
}

impl Switchgear {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        let poles = self.mains().into_iter().flat_map(|(a, b)| [a, b]);
        poles.chain(self.auxiliaries.iter().flat_map(|a| [a.upper(), a.lower()]).flatten()).collect()
    }

    /// Contacts as their terminal pairs.
    pub fn contacts(&self) -> Vec<(String, String)> {
        self.mains().into_iter().chain(contacts(&self.auxiliaries)).collect()
    }

    /// Poles as pairs of terminals, the odd one first.
    pub fn mains(&self) -> Vec<(String, String)> {
        (0..u32::from(self.poles)).map(|p| ((2 * p + 1).to_string(), (2 * p + 2).to_string())).collect()
    }
}
