//! Instruments: what a person can measure, and what it shows. A reading is a pure function of design and state; the only
//! thing that it can do to the bench is the harm that [`Measured::harm`] tells of.
//!
//! Every instrument loads the circuit by its own resistance: the network's voltage between the probes falls over the
//! network's own impedance there and that of the instrument.

mod clamp;
mod figure;
mod probes;
mod resistance;
mod sequence;
pub(crate) mod source;
mod spot;
mod take;
mod volts;

pub use clamp::amperes;
pub use figure::{Figure, Quantity};
pub use probes::{Probes, Seen};
pub use resistance::{Harm, INSULATION_VOLTS};
pub use sequence::{SEQUENCE_OHM, Turn};
pub use spot::Spot;
pub use take::Face;
pub use volts::{DETECTOR_OHM, DETECTOR_STEPS, METER_OHM, PROVING_STEP, Polarity, Voltage};

use crate::plan::Terminal;
use std::fmt;

/// One measurement: an instrument, its function, and where it is put.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Measurement {
    /// Two probes on two terminals.
    Between {
        /// What is measured.
        function: Function,
        /// Terminal of the first probe (red).
        from: Terminal,
        /// Terminal of the second probe (black).
        to: Terminal,
    },
    /// The clamp around a conductor.
    Clamp {
        /// Id of the conductor.
        conductor: String,
    },
    /// The two-pole detector on its proving unit.
    ProvingUnit,
    /// The phase-sequence indicator on three terminals.
    Sequence([Terminal; 3]),
}

/// What is measured between two probes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Function {
    /// Meter, DC volts.
    VoltsDc,
    /// Meter, AC volts.
    VoltsAc,
    /// Meter, ohms with 1 mA.
    Ohms,
    /// Two-pole voltage detector (IEC 61243-3).
    Detector,
    /// Earth-continuity tester, ohms with 200 mA (IEC 61557-4).
    Continuity,
    /// Insulation tester, 500 V DC (IEC 61557-2).
    Insulation,
}

impl Function {
    /// All functions, in a fixed order.
    pub const ALL: [Function; 6] = [
        Function::VoltsDc,
        Function::VoltsAc,
        Function::Ohms,
        Function::Detector,
        Function::Continuity,
        Function::Insulation,
    ];

    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Function::VoltsDc => "volts DC",
            Function::VoltsAc => "volts AC",
            Function::Ohms => "ohms",
            Function::Detector => "detector",
            Function::Continuity => "continuity",
            Function::Insulation => "insulation",
        }
    }

    /// Reads the word.
    pub fn parse(word: &str) -> Option<Self> {
        Function::ALL.into_iter().find(|f| f.word() == word)
    }
}

const CLAMP: &str = "clamp";
const PROVING_UNIT: &str = "proving unit";
const SEQUENCE: &str = "phase sequence";

impl Measurement {
    /// The word in files for instrument and function.
    pub fn word(&self) -> &'static str {
        match self {
            Measurement::Between { function, .. } => function.word(),
            Measurement::Clamp { .. } => CLAMP,
            Measurement::ProvingUnit => PROVING_UNIT,
            Measurement::Sequence(_) => SEQUENCE,
        }
    }

    /// Where it is put: terminals as `QA1:14`, or the id of a conductor.
    pub fn places(&self) -> Vec<String> {
        match self {
            Measurement::Between { from, to, .. } => vec![from.to_string(), to.to_string()],
            Measurement::Clamp { conductor } => vec![conductor.clone()],
            Measurement::ProvingUnit => Vec::new(),
            Measurement::Sequence(at) => at.iter().map(Terminal::to_string).collect(),
        }
    }

    /// Reads what [`Measurement::word`] and [`Measurement::places`] wrote. The error says what was expected.
    pub fn parse(word: &str, places: &[String]) -> Result<Measurement, String> {
        let terminal = |text: &String| {
            Terminal::parse(text).ok_or_else(|| format!("`{text}`: a terminal such as QA1:14 is expected"))
        };
        match (word, places) {
            (CLAMP, [conductor]) => Ok(Measurement::Clamp { conductor: conductor.clone() }),
            (CLAMP, _) => Err("a clamp is put around one conductor".to_string()),
            (PROVING_UNIT, []) => Ok(Measurement::ProvingUnit),
            (PROVING_UNIT, _) => Err("a proving unit has no place in the panel".to_string()),
            (SEQUENCE, [a, b, c]) => Ok(Measurement::Sequence([terminal(a)?, terminal(b)?, terminal(c)?])),
            (SEQUENCE, _) => Err("a phase-sequence indicator is put on three terminals".to_string()),
            (word, places) => match (Function::parse(word), places) {
                (Some(function), [from, to]) => {
                    Ok(Measurement::Between { function, from: terminal(from)?, to: terminal(to)? })
                }
                (Some(function), _) => Err(format!("`{}` is put on two terminals", function.word())),
                (None, _) => Err(format!(
                    "`{word}` is no instrument; expected volts DC, volts AC, ohms, detector, continuity, insulation, \
                     {CLAMP}, {PROVING_UNIT} or {SEQUENCE}"
                )),
            },
        }
    }

    /// Bench time that it costs, ticks: to put the probes on, read and write down (typical). Insulation takes longer,
    /// until the reading is steady.
    pub fn ticks(&self) -> u64 {
        match self {
            Measurement::Between { function: Function::Insulation, .. } => 5_000,
            Measurement::Between { .. } | Measurement::ProvingUnit => 1_500,
            Measurement::Clamp { .. } | Measurement::Sequence(_) => 2_000,
        }
    }
}

impl fmt::Display for Measurement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())?;
        match self.places().as_slice() {
            [] => Ok(()),
            places => write!(f, ", {}", places.join(" – ")),
        }
    }
}

/// A reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measured {
    /// What the instrument shows.
    pub shown: Shown,
    /// Real and imaginary part of an alternating voltage or current of which it shows the size, thousandths of its unit. No instrument
    /// tells it.
    pub phasor: Option<[i64; 2]>,
    /// What is to be kept in mind about it.
    pub caution: Option<Caution>,
    /// Why taking it was an unsafe act.
    pub danger: Option<Danger>,
    /// What it destroys.
    pub harm: Vec<Harm>,
}

/// What an instrument shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// A figure.
    Figure(Figure),
    /// More than the highest range can show: `OL`.
    Over,
    /// The highest step of a detector that is lit; none where no step is.
    Voltage(Option<Voltage>),
    /// What the phase-sequence indicator tells.
    Turn(Turn),
    /// The instrument gives no figure: it was put on a live circuit.
    Refused,
}

/// What is to be kept in mind about a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Caution {
    /// A meter of 10 MΩ shows next to nothing, and that is no proof that the place is dead.
    NotForProvingDead,
}

/// Why a measurement is an unsafe act.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Danger {
    /// A resistance was to be measured on a live circuit.
    Live {
        /// Highest voltage found between the probes or to earth, mV, DC and RMS of AC together.
        millivolts: u32,
    },
    /// The test voltage stands on electronics.
    Electronics {
        /// Tag of the device.
        part: String,
    },
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Caution::NotForProvingDead => f.write_str(
                "a meter is not for proving dead: use a two-pole detector, proved on a proving unit before and after",
            ),
        }
    }
}

impl fmt::Display for Danger {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Danger::Live { millivolts } => {
                let tenths = (u64::from(*millivolts) + 50) / 100;
                write!(f, "resistance measured on a live circuit of {}.{} V", tenths / 10, tenths % 10)
            }
            Danger::Electronics { part } => {
                write!(
                    f,
                    "{INSULATION_VOLTS} V of the insulation tester put on {part}, which was not disconnected"
                )
            }
        }
    }
}

impl Measured {
    fn plain(shown: Shown) -> Measured {
        Measured { shown, phasor: None, caution: None, danger: None, harm: Vec::new() }
    }
}

/// Takes a reading.
///
/// # Errors
/// A terminal or conductor that is not there.
pub fn measure(seen: Seen<'_>, what: &Measurement) -> Result<Measured, String> {
    Ok(spot::measure_at(seen, seen.design.spot(what)?))
}

#[cfg(test)]
mod tests;
