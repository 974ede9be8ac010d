//! What feeds the job: the three-phase supply, the control transformer, the 24 V supply.

use super::named;

/// A three-phase supply.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Supply {
    /// Voltage between lines, mV (RMS).
    pub line_voltage_mv: u32,
    /// Frequency, mHz.
    pub frequency_mhz: u32,
    /// Prospective three-phase short-circuit current, mA; fixes the internal impedance.
    pub fault_current_ma: u32,
    /// The phases follow each other as L1 L3 L2: every motor turns the other way.
    pub reversed: bool,
}

/// A control transformer after IEC 61558-2-2.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Transformer {
    /// Rated primary voltage, mV.
    pub primary_mv: u32,
    /// Rated secondary voltage, mV.
    pub secondary_mv: u32,
    /// Rated power, mVA.
    pub rated_mva: u32,
    /// Short-circuit impedance, per mille of the rated impedance.
    pub impedance_permille: u16,
    /// What its terminals are called.
    pub names: WindingNames,
}

/// What the terminals of a transformer are called.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum WindingNames {
    /// `1U 1V` and `2U 2V` (IEC 60076-1 as used for single-phase control transformers).
    #[default]
    Iec,
    /// `H1 H2` and `X1 X2`, as in North America.
    Us,
}

/// A switched-mode DC supply.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct DcSupply {
    /// Rated input voltage, mV AC.
    pub input_mv: u32,
    /// Output voltage, mV.
    pub output_mv: u32,
    /// Electronic current limit, mA.
    pub limit_ma: u32,
    /// How long the output stands after the input is lost, ms, at rated load: two thirds of the limit. At less load it
    /// stands longer, up to 200 ms.
    pub hold_up_ms: u16,
    /// From input voltage to output voltage, ms.
    pub start_up_ms: u16,
}

impl Supply {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["L1", "L2", "L3", "PE"])
    }
}

impl Transformer {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        let ([a, b], [c, d]) = (self.primary(), self.secondary());
        named(&[a, b, "PE", c, d])
    }

    /// Terminals of the primary winding.
    pub fn primary(&self) -> [&'static str; 2] {
        match self.names {
            WindingNames::Iec => ["1U", "1V"],
            WindingNames::Us => ["H1", "H2"],
        }
    }

    /// Terminals of the secondary winding.
    pub fn secondary(&self) -> [&'static str; 2] {
        match self.names {
            WindingNames::Iec => ["2U", "2V"],
            WindingNames::Us => ["X1", "X2"],
        }
    }
}

impl DcSupply {
    /// Rated output current, mA: the electronic limit is 1.5 times it (typical).
    pub fn rated_ma(&self) -> u32 {
        self.limit_ma / 3 * 2 + self.limit_ma % 3 * 2 / 3
    }

    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["L1", "L2", "PE", "+", "-"])
    }
}
