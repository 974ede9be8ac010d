//! Spring-applied brakes.

use super::named;

/// A brake that a spring applies and a coil releases, on the shaft of a motor: without voltage it holds.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Brake {
    /// Tag of the motor on whose shaft it sits.
    pub motor: String,
    /// Rated voltage of the coil, mV.
    pub coil_mv: u32,
    /// The coil is for DC; else for AC at mains frequency, through a rectifier of its own.
    pub dc: bool,
    /// Power of the coil at rated voltage, mW.
    pub power_mw: u32,
    /// Torque with the spring applied, mN·m.
    pub torque_mnm: u32,
    /// Coil on to shaft free, ms.
    pub release_ms: u16,
    /// Coil off to shaft held, ms.
    pub apply_ms: u16,
}

impl Brake {
    /// Names of the terminals, in the order in which they are drawn: BD for a DC brake, BA for an AC brake
    /// (IEC 60034-8, auxiliary devices).
    pub fn terminals(&self) -> Vec<String> {
        if self.dc { named(&["BD1", "BD2"]) } else { named(&["BA1", "BA2"]) }
    }
}
