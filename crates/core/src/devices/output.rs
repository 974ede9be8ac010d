//! Outputs of a controller: when the contact of a relay output welds, and what destroys a transistor output.
//!
//! A relay contact welds as the poles of a contactor do ([`crate::devices::weld`]), with the rated current of a pilot-duty
//! contact in the place of Ie; besides it is warmed by the current that it carries, as it has a fine contact and no room
//! about it. A transistor output limits its current on a short circuit and stands that; it is destroyed by a voltage the
//! wrong way round, and by too high a voltage, and then conducts for good, as transistors that fail mostly do (typical).
//! Limits: its own heat while it limits is left out, as is the wear of a contact by arcs that do not weld it.

use super::weld::{MADE_FROM, MAKING_TICKS, PoleState};

/// Rated operational current of a relay output, A: AC-15 at 240 V of contact rating B300, 360 VA; it must make ten times as
/// much (IEC 60947-5-1, Annex A).
pub const AC15_A: f64 = 1.5;

/// Most that a relay output may carry for long, A (typical).
pub const RATED_A: f64 = 2.0;

/// Resistance of a closed relay output, ohm (typical).
pub const RELAY_OHM: f64 = 0.03;

/// Rise of the contact at [`RATED_A`], K (typical; IEC 61810-1 lets terminals rise by 45 K).
const RATED_RISE_K: f64 = 20.0;

/// A transistor output is destroyed by more than this the wrong way round, V DC: breakdown of a base and emitter (typical, 5
/// to 7 V; outputs that are protected stand 30 V, these are not).
pub const REVERSE_VOLTS: f64 = 7.0;

/// It is destroyed by a peak above this, V (typical of a clamp for 24 V).
pub const DESTROYED_VOLTS: f64 = 60.0;

/// One output.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct OutputState {
    /// The contact of a relay output.
    pub contact: PoleState,
    /// Ticks that are left in which it counts as making.
    pub making: u8,
    /// Its contact has welded, or its transistor is destroyed: it is closed for good.
    pub damaged: bool,
}

/// What a transistor output does not stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overstress {
    /// So many volts the wrong way round.
    Reverse(u32),
    /// So many volts, peak.
    OverVoltage(u32),
}

/// Whether a transistor output stands the voltage from its common to its channel, V DC and V RMS of AC; if not, why.
pub fn overstress(dc: f64, ac: f64) -> Option<Overstress> {
    let peak = dc.abs() + ac * std::f64::consts::SQRT_2;
    if peak > DESTROYED_VOLTS {
        Some(Overstress::OverVoltage(peak as u32))
    } else if dc < -REVERSE_VOLTS {
        Some(Overstress::Reverse(-dc as u32))
    } else {
        None
    }
}

impl OutputState {
    /// A relay output closes in this tick.
    pub fn closes(&mut self) {
        self.making = MAKING_TICKS + 1;
    }

    /// Its contact touches in this tick.
    pub fn touches(&self) -> bool {
        self.making == MAKING_TICKS
    }

    /// Its contact touches on this current, A. Returns whether it welds by its heat; of a short circuit the integral decides
    /// ([`PoleState::surge_tick`]), as a fuse ends it before the bounce does.
    pub fn makes(&mut self, amperes: f64) -> bool {
        amperes <= MADE_FROM * AC15_A && self.contact.touches(AC15_A, amperes)
    }

    /// One step of heat with this current through the closed contact, A, over `step_s` seconds. Returns whether the
    /// contact welds by it.
    pub fn carries(&mut self, amperes: f64, step_s: f64) -> bool {
        let part = amperes / RATED_A;
        self.contact.heats(RATED_RISE_K * part * part, step_s);
        amperes > 0.0 && self.contact.is_welding_hot()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds until a contact welds that carries this current.
    fn welds_after_s(amperes: f64) -> Option<f64> {
        let mut s = OutputState::default();
        (1..=6_000u32).find(|_| s.carries(amperes, 0.1)).map(|k| f64::from(k) / 10.0)
    }

    /// By hand: the rise goes with the square, 20 K · (I/2)², and 300 K weld: 7.7 A and less last; 10 A settle at 500 K and
    /// weld after 25 s · ln(500 / 200) = 22.9 s.
    #[test]
    fn what_it_carries_warms_the_contact() {
        assert_eq!([2.0, 5.0, 7.7].map(welds_after_s), [None; 3]);
        assert!((welds_after_s(10.0).unwrap() - 22.9).abs() < 0.3);
    }

    /// IEC 60947-5-1, B300: 30 A at 120 V and 15 A at 240 V are made. 15 A while it bounces do not weld, nor does a fast
    /// fuse of 2 A let through as much: 2 · 0.5 · 4 = 4 A²s, where 5 · 1.5² = 11.25 A²s weld; a breaker does.
    #[test]
    fn what_it_must_make_does_not_weld() {
        let made = |amperes: f64, cap: Option<f64>| {
            // A fuse that opens ends it in its tick.
            let ticks = if cap.is_some() { 1 } else { 3 };
            let mut s = OutputState::default();
            s.makes(amperes) || (0..ticks).any(|_| s.contact.surge_tick(AC15_A, amperes, true, cap))
        };
        assert!(!made(15.0, None) && made(1000.0, None) && !made(1000.0, Some(4.0)));
    }

    #[test]
    fn transistors_stand_24_v_the_right_way_round() {
        assert_eq!([overstress(24.0, 0.0), overstress(-5.0, 0.0), overstress(59.0, 0.0)], [None; 3]);
        assert_eq!(overstress(-24.0, 0.0), Some(Overstress::Reverse(24)));
        // 230 V · √2 = 325 V.
        assert_eq!(overstress(0.0, 230.0), Some(Overstress::OverVoltage(325)));
        assert_eq!(overstress(-70.0, 0.0), Some(Overstress::OverVoltage(70)));
    }
}
