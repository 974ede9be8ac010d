//! The values that a fault can have, from the one end to the other, and where among them it is none.
//!
//! A contact the dirtier the more ohms it closes through: at nil it is sound, at the other end as good as open. An earth fault the
//! other way round: at one ohm a dead short, of ever more ohms none. A voltage is what it should be somewhere in between.

use super::{Fault, Mode, Unit};
use crate::part::{Kind, Part, Protection};

/// The values of a kind of fault, in the unit of its mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scale {
    /// The least that can be set.
    pub least: i32,
    /// The most that can be set.
    pub most: i32,
    /// The value that is no fault. Outside of the others where only nil or infinity is none: 0 or [`i32::MAX`] then.
    pub sound: i32,
}

/// All turns of a winding, per mille.
const ALL_TURNS: i32 = 1_000;

/// As much as it should be, per mille.
const AS_RATED: i32 = 1_000;

/// The highest voltage that a supply gives at fault, per mille: line voltage in the place of phase voltage is 1.73 times as much, two equal
/// windings in series in the place of one give twice as much.
const MOST_VOLTAGE: i32 = 2_000;

/// Ambient temperature at which a relay that is not compensated trips as one that is, °C (IEC 60947-4-1, 5.7.3).
const REFERENCE_C: i32 = 20;

impl Fault {
    /// Its scale; none where it has no number for a value, or does not fit these parts.
    pub fn scale(&self, parts: &[Part]) -> Option<Scale> {
        self.value.number()?;
        let kind = || parts.iter().find(|part| part.tag == self.subject).map(|part| &part.kind);
        let unit: Unit = self.mode.unit();
        let (least, most) = unit.range().0.into_inner();
        let of_unit = |sound: i32| Some(Scale { least, most, sound });
        match self.mode {
            Mode::Dirty | Mode::ConductorLoose | Mode::ReleaseSlow | Mode::Displaced => of_unit(0),
            Mode::ConductorEarthed | Mode::Earthed | Mode::Leaks => of_unit(i32::MAX),
            Mode::LimitAt | Mode::LoadAt => of_unit(AS_RATED),
            Mode::VoltageAt => Some(Scale { least, most: MOST_VOLTAGE, sound: AS_RATED }),
            Mode::CompensationLost => of_unit(REFERENCE_C),
            Mode::TurnsShorted => Some(Scale { least, most: ALL_TURNS, sound: 0 }),
            Mode::DialAt => match kind()? {
                Kind::Overload(o) => {
                    let [least, most, sound] = [o.dial_min_ma, o.dial_max_ma, o.dial_ma].map(whole);
                    Some(Scale { least, most, sound })
                }
                _ => None,
            },
            Mode::RatedAt => match kind()? {
                Kind::Switchgear(s) => of_unit(whole(match s.protection {
                    Protection::None => return None,
                    Protection::FuseGg { rated_ma }
                    | Protection::FuseFast { rated_ma }
                    | Protection::Breaker { rated_ma, .. } => rated_ma,
                    Protection::Motor { dial_ma, .. } => dial_ma,
                })),
                _ => None,
            },
            Mode::FilterAt => match kind()? {
                Kind::Controller(c) => of_unit(c.filter_ms.into()),
                _ => None,
            },
            _ => None,
        }
    }
}

fn whole(figure: u32) -> i32 {
    i32::try_from(figure).unwrap_or(i32::MAX)
}
