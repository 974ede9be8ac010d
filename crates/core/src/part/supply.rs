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
    /// How long the output stands after the input is lost, ms.
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
        named(&["1U", "1V", "PE", "2U", "2V"])
    }
}

impl DcSupply {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["L1", "L2", "PE", "+", "-"])
    }
}
