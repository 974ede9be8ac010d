//! Channels of a controller: when an input reads 1, and what a transistor output gives.

use crate::part::InputType;

/// Resistance of a conducting transistor output, ohm (typical of 0.5 A).
pub const TRANSISTOR_OHM: f64 = 0.2;

/// Current at which a transistor output of 0.5 A limits, A (typical: twice its rated current).
pub const TRANSISTOR_LIMIT_A: f64 = 1.0;

/// Leakage of a transistor output that is off, as a resistance, ohm: 0.24 mA at 24 V; IEC 61131-2 allows 0.5 mA at 0.5 A.
pub const TRANSISTOR_LEAK_OHM: f64 = 100_000.0;

/// Whether a conducting transistor output with this voltage along it, V DC, is in its limit.
pub fn limits(across: f64) -> bool {
    across > TRANSISTOR_LIMIT_A * TRANSISTOR_OHM
}

/// An input channel between its terminal and its common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// Reads 1 at and above this voltage, V DC.
    pub on: f64,
    /// Reads 0 at and below this voltage, V DC; between the two it keeps its last state.
    pub off: f64,
    /// Resistance, ohm.
    pub ohm: f64,
}

/// Figures of an input type (typical, inside the limits of IEC 61131-2 that the tests hold them to).
pub fn levels(kind: InputType) -> Levels {
    match kind {
        InputType::Type1 => Levels { on: 8.0, off: 5.5, ohm: 5_600.0 },
        InputType::Type3 => Levels { on: 9.5, off: 7.1, ohm: 4_700.0 },
    }
}

impl Levels {
    /// The bit at this voltage, V DC, when it was `last`.
    pub fn bit(&self, volts: f64, last: bool) -> bool {
        volts >= self.on || last && volts > self.off
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 61131-2, operating ranges of current-sinking 24 V DC inputs: 0 up to 5 V, and up to the current `zero_ma` with
    /// whatever drives it; 1 from `one_v` to 30 V, where it takes 2 to 15 mA.
    #[test]
    fn operating_ranges() {
        for (kind, zero_ma, one_v) in [(InputType::Type1, 0.5, 15.0), (InputType::Type3, 1.5, 11.0)] {
            let l = levels(kind);
            for volts in [-3.0, 0.0, 5.0, zero_ma / 1000.0 * l.ohm] {
                assert!(!l.bit(volts, true), "{kind:?} {volts} V");
            }
            for volts in [one_v, 24.0, 30.0] {
                let ma = volts / l.ohm * 1000.0;
                assert!(l.bit(volts, false) && (2.0..=15.0).contains(&ma), "{kind:?} {volts} V {ma} mA");
            }
        }
    }

    /// By hand: a two-wire sensor that leaks 1.5 mA stands a type 3 channel at 7.05 V, which reads 0, and a type 1 channel
    /// at 8.4 V, which reads 1: what type 3 is for.
    #[test]
    fn a_leaking_sensor_needs_type_3() {
        let reads = |kind| levels(kind).bit(0.0015 * levels(kind).ohm, false);
        assert!(reads(InputType::Type1) && !reads(InputType::Type3));
    }
}
