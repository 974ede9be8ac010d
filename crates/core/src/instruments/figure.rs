//! A figure on a display of four digits: rounded in integers to the resolution of its range.

use std::fmt;

/// What a figure is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Volts.
    Volts,
    /// Amperes.
    Amperes,
    /// Ohms.
    Ohms,
}

/// A figure as it is shown: a whole number of steps of its range.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Figure {
    /// What it is of.
    pub quantity: Quantity,
    /// Value in thousandths of the unit: mV, mA, milliohm.
    pub thousandths: i64,
    /// Resolution of the range, in the same.
    pub step: i64,
    /// Prefix of the unit: 0 none, 1 kilo, 2 mega.
    pub prefix: u8,
}

/// A range: highest value and resolution in thousandths of the unit, and the prefix of the unit on the display.
pub(super) type Range = (i64, i64, u8);

/// Volts, 9,999 counts, to 1,000 V (typical of a hand-held meter).
pub(super) const VOLTS: [Range; 3] = [(9_999, 1, 0), (99_990, 10, 0), (999_900, 100, 0)];

/// Ohms with 1 mA, 9,999 counts, to 50 MΩ (typical of a hand-held meter).
pub(super) const OHMS: [Range; 6] = [
    (999_900, 100, 0),
    (9_999_000, 1_000, 1),
    (99_990_000, 10_000, 1),
    (999_900_000, 100_000, 1),
    (9_999_000_000, 1_000_000, 2),
    (50_000_000_000, 10_000_000, 2),
];

/// Earth continuity with 200 mA: 0.01 Ω (IEC 61557-4 asks for that resolution), to 2 kΩ (typical).
pub(super) const CONTINUITY: [Range; 3] = [(19_990, 10, 0), (199_900, 100, 0), (1_999_000, 1_000, 0)];

/// Insulation: 0.01 MΩ, to 2,000 MΩ (typical of a tester after IEC 61557-2).
pub(super) const INSULATION: [Range; 3] = [
    (19_990_000_000, 10_000_000, 2),
    (199_900_000_000, 100_000_000, 2),
    (1_999_000_000_000, 1_000_000_000, 2),
];

/// Clamp: 0.01 A below 40 A, 0.1 A to 600 A (typical).
pub(super) const AMPERES: [Range; 2] = [(39_990, 10, 0), (600_000, 100, 0)];

impl Figure {
    /// A value of the unit on the lowest of the ranges that takes it, rounded to its resolution; `None` above the last.
    pub(super) fn of(quantity: Quantity, value: f64, ranges: &[Range]) -> Option<Figure> {
        // To whole millionths first (a cast saturates); all else is done in integers.
        let millionths = (value * 1e6) as i64;
        let size = millionths.saturating_abs();
        ranges.iter().find_map(|&(most, step, prefix)| {
            let steps = size.saturating_add(step * 500) / (step * 1000);
            let thousandths = steps * step;
            (thousandths <= most).then_some(Figure {
                quantity,
                thousandths: if millionths < 0 { -thousandths } else { thousandths },
                step,
                prefix,
            })
        })
    }
}

impl fmt::Display for Figure {
    /// `24.01 V`, `0.02 Ω`, `417 MΩ`, with a no-break space before the unit.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = 10i64.pow(3 + 3 * u32::from(self.prefix));
        let decimals = (unit / self.step).ilog10() as usize;
        let (size, sign) = (self.thousandths.abs(), if self.thousandths < 0 { "\u{2212}" } else { "" });
        write!(f, "{sign}{}", size / unit)?;
        if decimals > 0 {
            write!(f, ".{:0decimals$}", size % unit / self.step)?;
        }
        let prefix = ["", "k", "M"].get(usize::from(self.prefix)).unwrap_or(&"");
        let symbol = match self.quantity {
            Quantity::Volts => "V",
            Quantity::Amperes => "A",
            Quantity::Ohms => "Ω",
        };
        write!(f, "\u{a0}{prefix}{symbol}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(quantity: Quantity, value: f64, ranges: &[Range]) -> String {
        Figure::of(quantity, value, ranges).map_or("OL".into(), |f| f.to_string().replace('\u{a0}', " "))
    }

    /// By hand: four digits, the range whose largest figure takes the rounded value, halves away from zero.
    #[test]
    fn ranges_and_rounding() {
        let volts = |v| text(Quantity::Volts, v, &VOLTS);
        assert_eq!(
            [0.0, 0.0004, 9.9994, 9.9996, 24.005, 230.04, 999.94, 999.96, -23.994].map(volts),
            [
                "0.000 V",
                "0.000 V",
                "9.999 V",
                "10.00 V",
                "24.01 V",
                "230.0 V",
                "999.9 V",
                "OL",
                "\u{2212}23.99 V"
            ]
        );
        let ohms = |v| text(Quantity::Ohms, v, &OHMS);
        assert_eq!(
            [0.02, 0.06, 999.94, 999.96, 4_700.0, 12_345.0, 470e3, 2.2e6, 49.996e6, 50.1e6, f64::INFINITY]
                .map(ohms),
            [
                "0.0 Ω",
                "0.1 Ω",
                "999.9 Ω",
                "1.000 kΩ",
                "4.700 kΩ",
                "12.35 kΩ",
                "470.0 kΩ",
                "2.200 MΩ",
                "50.00 MΩ",
                "OL",
                "OL"
            ]
        );
        let continuity = |v| text(Quantity::Ohms, v, &CONTINUITY);
        assert_eq!(
            [0.02, 0.06, 19.994, 19.996, 1_999.4, 2_000.0].map(continuity),
            ["0.02 Ω", "0.06 Ω", "19.99 Ω", "20.0 Ω", "1999 Ω", "OL"]
        );
        let insulation = |v| text(Quantity::Ohms, v, &INSULATION);
        assert_eq!(
            [0.0, 4_700.0, 1e6, 417e6, 1.999e9, 2e9].map(insulation),
            ["0.00 MΩ", "0.00 MΩ", "1.00 MΩ", "417 MΩ", "1999 MΩ", "OL"]
        );
        let amperes = |v| text(Quantity::Amperes, v, &AMPERES);
        assert_eq!(
            [0.004, 8.174, 39.994, 39.996, 50.62, 600.0, 601.0].map(amperes),
            ["0.00 A", "8.17 A", "39.99 A", "40.0 A", "50.6 A", "600.0 A", "OL"]
        );
    }

    /// A value that rounds to nothing has no sign.
    #[test]
    fn nothing_has_no_sign() {
        assert_eq!(text(Quantity::Volts, -0.0004, &VOLTS), "0.000 V");
    }
}
