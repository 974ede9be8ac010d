//! The coil of a contactor or relay: what it takes up as heat, and when it burns out.
//!
//! Heat of the winding in multiples of the one at rated voltage with the armature in: `dθ/dt = (P/Pn − θ)/τ`. An AC coil
//! whose armature is held out takes its inrush power, some twenty times Pn, and is burnt in about two minutes.

use crate::complex::Complex;
use crate::part::CoilCurrent;

/// Time constant of a winding, s. A coil of 2.4 W that warms by 60 K has 25 K/W; 50 g of copper and bobbin hold about
/// 22 J/K; 25 · 22 = 550 s (typical).
pub const COIL_TAU_S: f64 = 550.0;

/// Heat at which a winding is burnt: a rise of 250 K, where one of 60 K belongs to rated voltage. From 40 °C in the
/// panel that is 290 °C, at which enamel of class F or H has softened and turns short-circuit, then open (typical).
pub const BURNT_HEAT: f64 = 250.0 / 60.0;

/// Above this part of its rated voltage the iron of an AC coil saturates: the highest that IEC 60947-4-1 lets it be used
/// at for long is 1.1.
const SATURATED_FROM: f64 = 1.1;

/// Power, in multiples of the rated one, from which a coil counts as strained.
const STRAINED_FROM: f64 = 1.5;

/// How a coil sounds and pulls, by its voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Level {
    /// Too low to be heard.
    #[default]
    Dead,
    /// Between [`HEARD_FROM`] and the pick-up.
    Low,
    /// At pick-up or above.
    Full,
}

/// An AC coil is heard from this part of its rated voltage (typical).
pub const HEARD_FROM: f64 = 0.2;

/// A coil.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct CoilState {
    /// Heat; 1 is the equilibrium at rated voltage with the armature in.
    pub heat: f64,
    /// Steps of heat for which it has been strained without a break.
    pub strained: u32,
    /// How it sounds and pulls.
    pub level: Level,
    /// An AC coil hums: its armature is not held tight.
    pub hums: bool,
    /// Burnt: open.
    pub burnt: bool,
}

/// Admittances and rated power of a coil.
#[derive(Clone, Debug, PartialEq)]
pub struct CoilData {
    /// Rated voltage, V.
    pub volts: f64,
    /// AC or DC.
    pub current: CoilCurrent,
    /// At mains frequency with the armature out.
    pub out: Complex,
    /// At mains frequency with the armature in.
    pub sealed: Complex,
    /// At DC, S.
    pub siemens_dc: f64,
    /// Picks up from this part of the rated voltage.
    pub pick_up: f64,
    /// Drops out below this part of the rated voltage.
    pub drop_out: f64,
}

/// Power factor of an AC coil with the armature out and in (typical).
const AC_PF: (f64, f64) = (0.75, 0.3);

/// Reactance of a DC coil at mains frequency in multiples of its resistance: a time constant of 30 ms at 50 Hz gives
/// 314 · 0.03 = 9.4 (typical).
const DC_REACTANCE: f64 = 9.4;

impl CoilData {
    /// From the rated values of a coil.
    pub fn of(coil: &crate::part::Coil) -> Self {
        let volts = f64::from(coil.rated_mv) / 1000.0;
        let percent = |p: u8| f64::from(p) / 100.0;
        let (out, sealed, siemens_dc) = match coil.current {
            CoilCurrent::Ac => {
                let out = admittance(coil.inrush_mva, AC_PF.0, volts);
                // The winding's resistance is the real part of the inrush impedance.
                (out, admittance(coil.sealed_mva, AC_PF.1, volts), 1.0 / out.recip().re)
            }
            CoilCurrent::Dc => {
                let ohm = volts * volts / (f64::from(coil.sealed_mva) / 1000.0);
                let y = Complex::new(ohm, ohm * DC_REACTANCE).recip();
                (y, y, 1.0 / ohm)
            }
        };
        CoilData {
            volts,
            current: coil.current,
            out,
            sealed,
            siemens_dc,
            pick_up: percent(coil.pick_up_percent),
            drop_out: percent(coil.drop_out_percent),
        }
    }

    /// Power at rated voltage with the armature in, W.
    fn rated_watts(&self) -> f64 {
        self.volts
            * self.volts
            * match self.current {
                CoilCurrent::Ac => self.sealed.re,
                CoilCurrent::Dc => self.siemens_dc,
            }
    }

    /// The voltage that attracts, in parts of the rated one.
    pub fn part(&self, dc: f64, ac: f64) -> f64 {
        match self.current {
            CoilCurrent::Ac => ac / self.volts,
            CoilCurrent::Dc => dc.abs() / self.volts,
        }
    }

    /// Whether this part of the rated voltage attracts, after it did or did not.
    pub fn attracts(&self, part: f64, before: bool) -> bool {
        part >= self.pick_up || before && part >= self.drop_out
    }

    /// Power at these voltages in multiples of the rated power.
    pub fn power(&self, dc: f64, ac: f64, sealed: bool) -> f64 {
        let at_ac = if sealed { self.sealed.re } else { self.out.re };
        let saturated = ac / (self.volts * SATURATED_FROM);
        let more = match self.current {
            CoilCurrent::Ac if sealed && saturated > 1.0 => saturated * saturated,
            _ => 1.0,
        };
        (dc * dc * self.siemens_dc + ac * ac * at_ac * more) / self.rated_watts()
    }
}

/// Admittance of a coil from apparent power, power factor and voltage; lagging.
fn admittance(mva: u32, pf: f64, volts: f64) -> Complex {
    let size = f64::from(mva) / 1000.0 / (volts * volts);
    Complex::new(size * pf, -size * (1.0 - pf * pf).sqrt())
}

impl CoilState {
    /// One step of heat over `step_s` seconds at this power, in multiples of the rated one. Returns whether the coil burns
    /// out by it.
    pub fn heat_step(&mut self, power: f64, step_s: f64) -> bool {
        self.heat += (power - self.heat) * (step_s / COIL_TAU_S);
        if self.heat < 1e-6 && power == 0.0 {
            self.heat = 0.0;
        }
        self.strained = if power > STRAINED_FROM { self.strained.saturating_add(1) } else { 0 };
        if self.burnt || self.heat < BURNT_HEAT {
            return false;
        }
        self.burnt = true;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::{Coil, Suppressor};

    fn seconds_to_burn(data: &CoilData, (dc, ac): (f64, f64), sealed: bool, heat: f64) -> Option<f64> {
        let mut s = CoilState { heat, ..CoilState::default() };
        (1..=72_000u32).find(|_| s.heat_step(data.power(dc, ac, sealed), 0.1)).map(|k| f64::from(k) / 10.0)
    }

    /// Hand calculation for 70 VA at 0.75 against 8 VA at 0.3: 52.5 W / 2.4 W = 21.875. From cold
    /// 550 · ln(21.875/(21.875 − 4.1667)) = 116.2 s, from warm 550 · ln(20.875/17.708) = 90.5 s. At rated voltage and
    /// at 110 % with the armature in it lasts.
    #[test]
    fn an_armature_held_out_burns_its_coil() {
        let data = CoilData::of(&Coil::ac(230_000, 70_000, 8_000));
        assert!((data.power(0.0, 230.0, false) - 21.875).abs() < 1e-9);
        assert!((seconds_to_burn(&data, (0.0, 230.0), false, 0.0).unwrap() - 116.2).abs() < 0.3);
        assert!((seconds_to_burn(&data, (0.0, 230.0), false, 1.0).unwrap() - 90.5).abs() < 0.3);
        assert_eq!(seconds_to_burn(&data, (0.0, 230.0), true, 1.0), None);
        assert_eq!(seconds_to_burn(&data, (0.0, 253.0), true, 1.0), None);
    }

    /// A 230 V coil on 400 V, armature in: (400/230)² · (400/253)² = 7.56 times the power,
    /// 550 · ln(7.56/(7.56 − 4.1667)) = 440 s. And just too low to pull in, at 0.7: 0.49 · 21.875 = 10.7 times,
    /// 550 · ln(10.72/6.552) = 271 s.
    #[test]
    fn over_voltage_and_a_voltage_too_low_to_pull_in_burn_it_too() {
        let data = CoilData::of(&Coil::ac(230_000, 70_000, 8_000));
        assert!((seconds_to_burn(&data, (0.0, 400.0), true, 0.0).unwrap() - 440.5).abs() < 1.5);
        assert!((seconds_to_burn(&data, (0.0, 161.0), false, 0.0).unwrap() - 270.8).abs() < 0.5);
    }

    /// A DC coil is a resistance: the same power in and out. At 24 V it lasts, at 48 V the power is four times, below
    /// 4.17; at 60 V 6.25 times: 550 · ln(6.25/(6.25 − 4.1667)) = 604 s. Its inductance keeps mains frequency out: 24 V AC
    /// give 1/(1 + 9.4²) of the power.
    #[test]
    fn a_dc_coil_has_no_inrush() {
        let data = CoilData::of(&Coil::dc(24_000, 3_000, Suppressor::Diode));
        assert!((1.0 / data.siemens_dc - 192.0).abs() < 1e-9);
        assert!((data.power(24.0, 0.0, false) - 1.0).abs() < 1e-12);
        assert!((data.power(-24.0, 0.0, true) - 1.0).abs() < 1e-12);
        assert!((data.power(0.0, 24.0, false) - 1.0 / 89.36).abs() < 1e-9);
        assert_eq!(seconds_to_burn(&data, (48.0, 0.0), true, 1.0), None);
        assert!((seconds_to_burn(&data, (60.0, 0.0), true, 0.0).unwrap() - 604.2).abs() < 0.5);
    }
}
