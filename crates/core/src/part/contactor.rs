//! Contactors.

use super::coil::{AuxFunction, Auxiliary, Coil};

/// A contactor for motors, or a contactor relay (no main poles).
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Contactor {
    /// Its coil.
    pub coil: Coil,
    /// Number of main poles, 3 or 0.
    pub poles: u8,
    /// Rated operational current in AC-3, mA; with it grow the currents that its poles make, break and let through.
    pub rated_ma: u32,
    /// Auxiliary contacts; 7-8 closes before the main poles and opens after them, 5-6 opens as they close and closes as they
    /// open, so that the two overlap.
    pub auxiliaries: Vec<Auxiliary>,
    /// Its break contacts are mirror contacts (IEC 60947-4-1 Annex F): closed only with all main poles open.
    pub mirror: bool,
    /// Its auxiliary contacts are mechanically linked (IEC 60947-5-1 Annex L): make and break contacts are never closed
    /// at the same time, even with one of them welded.
    pub linked: bool,
    /// Tag of the contactor whose armature is blocked mechanically while this one is in.
    pub interlocked_with: Option<String>,
    /// Delays of the armature.
    pub delays: ArmatureDelays,
    /// Ticks for which its make contacts and main poles bounce after they have touched.
    pub bounce_ms: u8,
}

/// Delays of an armature, ms after the coil changed (nominal values; the ranges belong to the proof).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ArmatureDelays {
    /// Coil on to break contacts open.
    pub break_open_ms: u8,
    /// Coil on to main poles and make contacts closed.
    pub main_close_ms: u8,
    /// Coil off to main poles and make contacts open, without a suppressor.
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

/// The least and the longest of each delay of an armature, in the order of the fields of [`ArmatureDelays`], ms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DelayRange {
    /// The shortest.
    pub least: ArmatureDelays,
    /// The longest.
    pub most: ArmatureDelays,
}

impl ArmatureDelays {
    /// Within which limits the delays of a frame with these nominal ones lie: those of the usual frame (8 to 15 ms and 12 to
    /// 25 ms to pull in, 4 to 15 ms and 1 to 5 ms to let go, typical) in proportion, rounded outwards.
    pub fn range(self) -> DelayRange {
        let usual = ArmatureDelays::default();
        let scaled = |limit: ArmatureDelays, divide: fn(u32, u32) -> u32| {
            let one = |own: u8, usual: u8, limit: u8| {
                divide(u32::from(own) * u32::from(limit), usual.into()).min(u8::MAX.into()) as u8
            };
            ArmatureDelays {
                break_open_ms: one(self.break_open_ms, usual.break_open_ms, limit.break_open_ms),
                main_close_ms: one(self.main_close_ms, usual.main_close_ms, limit.main_close_ms),
                main_open_ms: one(self.main_open_ms, usual.main_open_ms, limit.main_open_ms),
                break_close_ms: one(self.break_close_ms, usual.break_close_ms, limit.break_close_ms),
            }
        };
        let least =
            ArmatureDelays { break_open_ms: 8, main_close_ms: 12, main_open_ms: 4, break_close_ms: 1 };
        let most =
            ArmatureDelays { break_open_ms: 15, main_close_ms: 25, main_open_ms: 15, break_close_ms: 5 };
        DelayRange { least: scaled(least, |a, b| a / b), most: scaled(most, u32::div_ceil) }
    }
}

impl Default for Contactor {
    /// A frame of 12 A in AC-3 with a coil of 230 V AC, 70 VA in and 8 VA held, with 13-14 and 21-22 (typical).
    fn default() -> Self {
        Contactor {
            coil: Coil::ac(230_000, 70_000, 8_000),
            poles: 3,
            rated_ma: 12_000,
            auxiliaries: Contactor::usual_auxiliaries(),
            mirror: false,
            linked: false,
            interlocked_with: None,
            delays: ArmatureDelays::default(),
            bounce_ms: 0,
        }
    }
}

impl Contactor {
    /// 13-14 and 21-22 (EN 50012, identification number 11).
    pub fn usual_auxiliaries() -> Vec<Auxiliary> {
        vec![Auxiliary::new(1, AuxFunction::Make), Auxiliary::new(2, AuxFunction::Break)]
    }

    /// Main poles as pairs of terminals, the odd one on the line side.
    pub fn mains(&self) -> Vec<(String, String)> {
        (0..u32::from(self.poles)).map(|p| ((2 * p + 1).to_string(), (2 * p + 2).to_string())).collect()
    }

    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        terminals(&self.mains(), &self.auxiliaries)
    }

    /// Contacts as their terminal pairs.
    pub fn contacts(&self) -> Vec<(String, String)> {
        let mut all = self.mains();
        all.extend(contacts(&self.auxiliaries));
        all
    }
}

/// Terminals of coil, main poles and auxiliaries: the upper row, then the lower one.
pub(super) fn terminals(mains: &[(String, String)], auxiliaries: &[Auxiliary]) -> Vec<String> {
    let mut all = vec!["A1".to_string()];
    all.extend(mains.iter().map(|m| m.0.clone()));
    all.extend(auxiliaries.iter().flat_map(|a| a.upper()));
    all.push("A2".to_string());
    all.extend(mains.iter().map(|m| m.1.clone()));
    all.extend(auxiliaries.iter().flat_map(|a| a.lower()));
    all
}

/// Gaps of auxiliary contacts as their terminal pairs.
pub(super) fn contacts(auxiliaries: &[Auxiliary]) -> impl Iterator<Item = (String, String)> {
    auxiliaries.iter().flat_map(|a| a.gaps()).map(|g| (g.a, g.b))
}
