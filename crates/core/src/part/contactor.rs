//! Contactors.

use super::{named, pairs};

/// A contactor for motors.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Contactor {
    /// Rated coil voltage, mV AC.
    pub coil_mv: u32,
    /// Apparent power with the armature out, mVA.
    pub inrush_mva: u32,
    /// Apparent power with the armature in, mVA.
    pub sealed_mva: u32,
    /// 21-22 is a mirror contact (IEC 60947-4-1 Annex F): it cannot close while a main pole is closed.
    pub mirror: bool,
    /// Tag of the contactor whose armature is blocked mechanically while this one is in.
    pub interlocked_with: Option<String>,
    /// Delays of the armature.
    pub delays: ArmatureDelays,
}

/// Delays of an armature, ms after the coil changed (nominal values; the ranges belong to the proof).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ArmatureDelays {
    /// Coil on to break contacts open.
    pub break_open_ms: u8,
    /// Coil on to main poles and make contacts closed.
    pub main_close_ms: u8,
    /// Coil off to main poles and make contacts open.
    pub main_open_ms: u8,
    /// Main poles open to break contacts closed.
    pub break_close_ms: u8,
}

impl Default for ArmatureDelays {
    /// Typical of an AC-operated frame of 9 to 12 A: break contacts open after 8 to 15 ms, mains close after
    /// 12 to 25 ms; mains open 4 to 15 ms after switching off and break contacts close 1 to 5 ms later.
    fn default() -> Self {
        ArmatureDelays { break_open_ms: 11, main_close_ms: 18, main_open_ms: 8, break_close_ms: 3 }
    }
}

impl Contactor {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["A1", "1", "3", "5", "13", "21", "A2", "2", "4", "6", "14", "22"])
    }

    /// Contacts as their terminal pairs.
    pub fn contacts(&self) -> Vec<(String, String)> {
        pairs(&[("1", "2"), ("3", "4"), ("5", "6"), ("13", "14"), ("21", "22")])
    }
}
