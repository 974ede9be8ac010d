//! Voltage: the meter, and the two-pole detector with its proving unit.

use super::figure::{Figure, Quantity, VOLTS};
use super::{Caution, Measured, Probes, Shown};

/// Resistance of the meter on its volt ranges, ohm (typical of a hand-held meter).
pub const METER_OHM: f64 = 10e6;

/// Resistance of the two-pole detector, ohm: low, so that what is only coupled in by capacitance collapses (typical: at
/// 230 V about 30 mA with the load switched in).
pub const DETECTOR_OHM: f64 = 7_500.0;

/// Steps of the two-pole detector, V (IEC 61243-3; the usual nominal voltages).
pub const DETECTOR_STEPS: [u16; 7] = [12, 24, 50, 120, 230, 400, 690];

/// A step lights from this part of its voltage, per cent: a supply at the low end of its tolerance still lights it
/// (IEC 61243-3 asks that 85 % of the nominal voltage be indicated; check before quoting).
const STEP_FROM_PERCENT: i64 = 85;

/// The step that the proving unit lights: the highest, so that every step is seen to light (typical).
pub const PROVING_STEP: u16 = 690;

/// Below this a meter shows next to nothing, V.
const NEXT_TO_NOTHING: f64 = 1.0;

/// What a detector tells of a voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Voltage {
    /// The highest step that is lit, V.
    pub step: u16,
    /// AC, or DC with its polarity.
    pub polarity: Polarity,
}

/// AC, or DC with its polarity at the first probe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Polarity {
    /// Alternating voltage.
    Ac,
    /// Direct voltage, the first probe at plus.
    DcPlus,
    /// Direct voltage, the first probe at minus.
    DcMinus,
}

pub(super) fn dc(probes: &Probes<'_>) -> Measured {
    meter(probes.loaded_dc(METER_OHM))
}

pub(super) fn ac(probes: &Probes<'_>) -> Measured {
    let (volts, phasor) = probes.metered_ac(METER_OHM);
    Measured { phasor: Some(phasor), ..meter(volts) }
}

fn meter(volts: f64) -> Measured {
    let caution = (volts < NEXT_TO_NOTHING && volts > -NEXT_TO_NOTHING).then_some(Caution::NotForProvingDead);
    let shown = Figure::of(Quantity::Volts, volts, &VOLTS).map_or(Shown::Over, Shown::Figure);
    Measured { caution, ..Measured::plain(shown) }
}

pub(super) fn detector(probes: &Probes<'_>) -> Measured {
    let (dc, ac) = (probes.loaded_dc(DETECTOR_OHM), probes.loaded_ac(DETECTOR_OHM));
    let (size, polarity) = if ac >= dc && ac >= -dc {
        (ac, Polarity::Ac)
    } else if dc > 0.0 {
        (dc, Polarity::DcPlus)
    } else {
        (-dc, Polarity::DcMinus)
    };
    let millivolts = (size * 1000.0) as i64;
    let lit = |step: &&u16| millivolts >= i64::from(**step) * 10 * STEP_FROM_PERCENT;
    let step = DETECTOR_STEPS.iter().rev().find(lit);
    Measured::plain(Shown::Voltage(step.map(|&step| Voltage { step, polarity })))
}

pub(super) fn proving_unit() -> Measured {
    Measured::plain(Shown::Voltage(Some(Voltage { step: PROVING_STEP, polarity: Polarity::Ac })))
}
