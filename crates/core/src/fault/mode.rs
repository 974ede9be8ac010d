//! In which way something is at fault: its words in the line of text, what it says where, and its values.

use super::Value;

/// In which way a part or conductor is at fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs, reason = "each is said in words by `Mode::said`")]
pub enum Mode {
    ConductorOpen,
    StuckOpen,
    StuckClosed,
    PolesWelded,
    CoilOpen,
    InterlockBroken,
    Dead,
    StuckIn,
    PhaseMissing,
    PhasesSwapped,
    Dirty,
    ConductorLoose,
    ConductorEarthed,
    ConductorMoved,
    Exchanged,
    Bridged,
    PoleWelded,
    TurnsShorted,
    ArmatureBlocked,
    ArmatureSticks,
    ReleaseSlow,
    MirrorLost,
    InterlockJams,
    DialAt,
    ResetsByItself,
    NeverTrips,
    CompensationLost,
    HeaterOpen,
    PhaseLossUnnoticed,
    DoesNotReset,
    Detached,
    Dark,
    VoltageAt,
    WindingOpen,
    HoldUpLost,
    LimitAt,
    RatedAt,
    ReadsOne,
    Leaks,
    Stopped,
    FilterAt,
    Inverted,
    Passes,
    RungMissing,
    Earthed,
    LoadAt,
    DoesNotRelease,
    Displaced,
}

/// What the value of a mode is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// It has none.
    None,
    /// Ohm.
    Ohm,
    /// Per mille of what it should be.
    Permille,
    /// Millisecond.
    Millisecond,
    /// Milliampere.
    Milliampere,
    /// Degree Celsius.
    Celsius,
    /// Millimetre, either way.
    Millimetre,
    /// Another terminal of the same part.
    Terminal,
}

/// What a mode says of a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// Nothing: it is on the whole part or conductor.
    Whole,
    /// A contact, by its pair of terminals.
    Contact,
    /// A terminal, or for a conductor one of its ends.
    Terminal,
    /// A contact of the program, `3.2` for the second of the third rung; or a rung, `3`.
    Program,
    /// A terminal of some parts, nothing for others.
    Either,
}

/// What all faults of a mode have in common.
pub(super) struct Words {
    pub mode: Mode,
    /// The words between place and value in the line of text.
    pub words: &'static str,
    pub at: At,
    pub unit: Unit,
    /// It is on a conductor.
    pub conductor: bool,
    /// What is wrong, in a sentence without its subject; `@` stands for the place and `#` for the value.
    pub said: &'static str,
}

const fn row(mode: Mode, words: &'static str, at: At, unit: Unit, said: &'static str) -> Words {
    Words { mode, words, at, unit, conductor: false, said }
}

const fn wire(mode: Mode, words: &'static str, at: At, unit: Unit, said: &'static str) -> Words {
    Words { mode, words, at, unit, conductor: true, said }
}

/// Every mode, in the order of [`Mode`].
pub(super) const MODES: [Words; 48] = [
    wire(Mode::ConductorOpen, "open", At::Whole, Unit::None, "broken, or off its terminal"),
    row(Mode::StuckOpen, "stuck open", At::Contact, Unit::None, "@ never closes"),
    row(Mode::StuckClosed, "stuck closed", At::Contact, Unit::None, "@ never opens"),
    row(Mode::PolesWelded, "poles welded", At::Whole, Unit::None, "main poles welded"),
    row(Mode::CoilOpen, "coil open", At::Whole, Unit::None, "coil open"),
    row(
        Mode::InterlockBroken,
        "interlock broken",
        At::Whole,
        Unit::None,
        "mechanical interlock does not hold it back",
    ),
    row(Mode::Dead, "dead", At::Either, Unit::None, "@ dead"),
    row(Mode::StuckIn, "stuck in", At::Whole, Unit::None, "stuck in"),
    row(Mode::PhaseMissing, "missing", At::Terminal, Unit::None, "phase @ missing"),
    row(Mode::PhasesSwapped, "phases swapped", At::Whole, Unit::None, "two phases changed places"),
    row(Mode::Dirty, "dirty", At::Contact, Unit::Ohm, "@ dirty, closes through #"),
    wire(Mode::ConductorLoose, "loose", At::Whole, Unit::Ohm, "loose in its terminal: #"),
    wire(Mode::ConductorEarthed, "earthed", At::Whole, Unit::Ohm, "touches earthed metal: #"),
    wire(Mode::ConductorMoved, "on", At::Terminal, Unit::Terminal, "off @ and on # instead"),
    row(Mode::Exchanged, "exchanged", At::Terminal, Unit::Terminal, "conductors of @ and # changed places"),
    row(Mode::Bridged, "bridged", At::Terminal, Unit::Terminal, "@ and # touch"),
    row(Mode::PoleWelded, "welded", At::Contact, Unit::None, "pole @ welded"),
    row(Mode::TurnsShorted, "turns shorted", At::Either, Unit::Permille, "@ # of the turns shorted"),
    row(
        Mode::ArmatureBlocked,
        "armature blocked",
        At::Whole,
        Unit::None,
        "armature blocked: does not come in",
    ),
    row(
        Mode::ArmatureSticks,
        "armature sticks",
        At::Whole,
        Unit::None,
        "armature sticks: once in, it stays in",
    ),
    row(Mode::ReleaseSlow, "release slow", At::Whole, Unit::Millisecond, "lets go # late"),
    row(
        Mode::MirrorLost,
        "mirror lost",
        At::Whole,
        Unit::None,
        "break contacts close though a pole is welded",
    ),
    row(
        Mode::InterlockJams,
        "interlock jams",
        At::Whole,
        Unit::None,
        "mechanical interlock holds it back for good",
    ),
    row(Mode::DialAt, "dial at", At::Whole, Unit::Milliampere, "dial stands at #"),
    row(Mode::ResetsByItself, "resets by itself", At::Whole, Unit::None, "set to reset by itself"),
    row(Mode::NeverTrips, "never trips", At::Whole, Unit::None, "never trips"),
    row(
        Mode::CompensationLost,
        "compensation lost",
        At::Whole,
        Unit::Celsius,
        "no more compensated, and it stands at #",
    ),
    row(Mode::HeaterOpen, "heater open", At::Contact, Unit::None, "heater @ burnt through"),
    row(
        Mode::PhaseLossUnnoticed,
        "phase loss unnoticed",
        At::Whole,
        Unit::None,
        "does not react to the difference between its poles",
    ),
    row(Mode::DoesNotReset, "does not reset", At::Whole, Unit::None, "does not reset"),
    row(Mode::Detached, "detached", At::Whole, Unit::None, "actuator does not reach its contacts"),
    row(Mode::Dark, "dark", At::Whole, Unit::None, "burnt out"),
    row(Mode::VoltageAt, "voltage at", At::Whole, Unit::Permille, "gives # of its voltage"),
    row(Mode::WindingOpen, "winding open", At::Terminal, Unit::None, "winding at @ open"),
    row(Mode::HoldUpLost, "hold-up lost", At::Whole, Unit::None, "output falls at once with the input"),
    row(Mode::LimitAt, "limit at", At::Whole, Unit::Permille, "gives # of its current and no more"),
    row(Mode::RatedAt, "rated", At::Whole, Unit::Milliampere, "acts as one of #"),
    row(Mode::ReadsOne, "reads 1", At::Terminal, Unit::None, "@ reads 1 whatever its voltage"),
    row(Mode::Leaks, "leaks", At::Terminal, Unit::Ohm, "leakage onto @ through #"),
    row(Mode::Stopped, "stopped", At::Whole, Unit::None, "goes into stop by its watchdog"),
    row(Mode::FilterAt, "filter at", At::Whole, Unit::Millisecond, "input filter set to #"),
    row(Mode::Inverted, "inverted", At::Program, Unit::None, "contact @ of the program inverted"),
    row(Mode::Passes, "passes", At::Program, Unit::None, "contact @ of the program bridged over"),
    row(Mode::RungMissing, "rung missing", At::Program, Unit::None, "rung @ of the program missing"),
    row(Mode::Earthed, "earthed", At::Terminal, Unit::Ohm, "@ to its frame: #"),
    row(Mode::LoadAt, "load at", At::Whole, Unit::Permille, "turns at # of its load"),
    row(Mode::DoesNotRelease, "does not release", At::Whole, Unit::None, "does not release"),
    row(Mode::Displaced, "displaced", At::Whole, Unit::Millimetre, "actuated # off its place"),
];

impl Words {
    /// Reads what stands behind the subject: place and value. None if it is not of this mode; an error if only the value is wrong.
    pub fn read<'a>(&self, words: &[&'a str]) -> Option<(&'a str, Result<Value, String>)> {
        let own: Vec<&str> = self.words.split(' ').collect();
        let places: &[usize] = match self.at {
            At::Whole => &[0],
            At::Contact | At::Terminal | At::Program => &[1],
            At::Either => &[0, 1],
        };
        let (place, rest) = places.iter().find_map(|&n| {
            let rest = words.get(n..)?.strip_prefix(own.as_slice())?;
            Some((words[..n].first().copied().unwrap_or_default(), rest))
        })?;
        let value = match (self.unit, rest) {
            (Unit::None, []) => Ok(Value::None),
            (Unit::Ohm, []) if self.mode == Mode::Dirty => Ok(Value::Number(DIRTY_OHMS[2])),
            (Unit::Terminal, [name]) => Ok(Value::Terminal(name.to_string())),
            (Unit::None | Unit::Terminal, _) => return None,
            (unit, [number]) => unit.read(number, self.words),
            _ => return None,
        };
        Some((place, value))
    }
}

/// Resistances of a dirty contact in the catalogue, ohm. A closed film of up to some kilohm still reads 1 on a
/// type 3 input of 4.7 kilohm; it takes more than 11 kilohm to read 0 (24 V · 4.7 / (4.7 + R) below 7.1 V).
pub(super) const DIRTY_OHMS: [i32; 3] = [500, 5_000, 20_000];

impl Unit {
    /// What a number in this unit may be, and what it is called.
    pub(super) fn range(self) -> (std::ops::RangeInclusive<i32>, &'static str) {
        match self {
            Unit::Ohm => (1..=10_000_000, "ohms"),
            Unit::Permille => (1..=20_000, "per mille"),
            Unit::Millisecond => (1..=65_000, "milliseconds"),
            Unit::Milliampere => (1..=1_000_000_000, "milliamperes"),
            Unit::Celsius => (-40..=100, "degrees"),
            Unit::Millimetre => (-1_000_000..=1_000_000, "millimetres"),
            Unit::None | Unit::Terminal => (0..=0, ""),
        }
    }

    /// Its word in the form of a line; empty where there is no value.
    pub fn word(self) -> &'static str {
        match self {
            Unit::None => "",
            Unit::Ohm => "OHMS",
            Unit::Permille => "PERMILLE",
            Unit::Millisecond => "MS",
            Unit::Milliampere => "MA",
            Unit::Celsius => "DEGREES",
            Unit::Millimetre => "MM",
            Unit::Terminal => "TERMINAL",
        }
    }

    fn read(self, text: &str, after: &str) -> Result<Value, String> {
        let (range, name) = self.range();
        text.parse::<i32>().ok().filter(|number| range.contains(number)).map(Value::Number).ok_or_else(|| {
            let (least, most) = range.into_inner();
            format!("`{text}`: whole {name} from {least} to {most} are expected after {after}")
        })
    }

    /// Whether a value is one of this unit.
    pub(super) fn takes(self, value: &Value) -> bool {
        match value {
            Value::None => self == Unit::None,
            Value::Terminal(_) => self == Unit::Terminal,
            Value::Number(number) => {
                !matches!(self, Unit::None | Unit::Terminal) && self.range().0.contains(number)
            }
        }
    }
}

impl Mode {
    /// What all faults of this mode have in common.
    pub(super) fn words(self) -> &'static Words {
        &MODES[self as usize]
    }

    /// What its value is.
    pub fn unit(self) -> Unit {
        self.words().unit
    }

    /// What it says of a place.
    pub fn at(self) -> At {
        self.words().at
    }

    /// Whether a proof can have it strike: it has the same program, the same times and the same states as the bench without it.
    pub fn is_explored(self) -> bool {
        !matches!(
            self,
            Mode::ReleaseSlow
                | Mode::HoldUpLost
                | Mode::Stopped
                | Mode::FilterAt
                | Mode::Inverted
                | Mode::Passes
                | Mode::RungMissing
                | Mode::Displaced
        )
    }

    /// Conductors, terminals and contacts come loose; what is welded, burnt or wired wrongly stays so. No signal of a design
    /// comes or goes with one of these.
    pub fn may_come_and_go(self) -> bool {
        matches!(
            self,
            Mode::ConductorOpen
                | Mode::StuckOpen
                | Mode::StuckClosed
                | Mode::Dirty
                | Mode::ConductorLoose
                | Mode::ConductorEarthed
        )
    }

    /// Its line of text, with what it is on, where and how much in capitals.
    pub fn form(self) -> String {
        let words = self.words();
        let subject = if words.conductor { "conductor ID" } else { "TAG" };
        let at = match (words.at, self) {
            (At::Whole, _) => "",
            (At::Contact, _) => " CONTACT",
            (At::Terminal, Mode::PhaseMissing) => " PHASE",
            (At::Terminal, _) => " TERMINAL",
            (At::Either, _) => " [TERMINAL]",
            (At::Program, Mode::RungMissing) => " RUNG",
            (At::Program, _) => " RUNG.CONTACT",
        };
        let value = words.unit.word();
        let space = if value.is_empty() { "" } else { " " };
        format!("{subject}{at} {}{space}{}", words.words, value)
    }

    /// Whether it is on a conductor.
    pub fn is_of_conductor(self) -> bool {
        self.words().conductor
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_modes() {
        for (k, words) in MODES.iter().enumerate() {
            assert_eq!(words.mode as usize, k, "{:?}", words.mode);
            assert_eq!(words.said.contains('#'), words.unit != Unit::None, "{:?}", words.mode);
        }
    }
}
