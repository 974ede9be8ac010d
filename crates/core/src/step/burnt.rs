//! A burnt-out winding, in plain words: what the motor did, and what should have stopped it.

use crate::design::Design;
use crate::state::State;
use std::fmt;

/// A winding whose insulation has failed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Burnt {
    /// Tag of the motor.
    pub part: String,
    /// Its terminal with a path to the frame: U1, V1 or W1.
    pub terminal: &'static str,
    /// Largest current of the lines at the end, mA.
    pub milliamperes: u32,
    /// How long it was overheated without a break, s.
    pub seconds: u32,
    /// What it did.
    pub how: Overheating,
    /// What should have stopped it.
    pub guard: Guard,
}

/// What overheats a motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overheating {
    /// It stood still with the lines on.
    Locked,
    /// One line was open.
    OnTwoLines,
    /// It turned with too much current.
    Overloaded,
}

/// The overload relay that should have stopped it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Guard {
    /// No relay carries its current.
    None,
    /// The relay is set above the rated current of the motor.
    SetHigh {
        /// Tag of the relay.
        part: String,
        /// Its dial, mA.
        dial_ma: u32,
        /// Rated current of the motor, mA.
        rated_ma: u32,
    },
    /// The relay has tripped, and the motor is still on.
    TrippedInVain {
        /// Tag of the relay.
        part: String,
    },
    /// The relay has not tripped.
    NotTripped {
        /// Tag of the relay.
        part: String,
    },
}

/// A dial up to this multiple of the rated current is set right.
const SET_RIGHT: f64 = 1.05;

impl Burnt {
    /// What is to be said of a motor whose winding fails now.
    pub(super) fn of(design: &Design, state: &State, motor: usize, winding: u8, ticks: u64) -> Burnt {
        let (data, s) = (&design.motors[motor], &state.motors[motor]);
        let amperes = s.current.map(|i| i.abs());
        let most = amperes.iter().fold(0.0, |m, &a| if a > m { a } else { m });
        let how = if s.turning() == 0 {
            Overheating::Locked
        } else if amperes.iter().any(|&a| a < 0.1 * most) {
            Overheating::OnTwoLines
        } else {
            Overheating::Overloaded
        };
        let guard = guard(design, state, most, data.data.rated);
        Burnt {
            part: data.tag.clone(),
            terminal: ["U1", "V1", "W1"][usize::from(winding)],
            milliamperes: (most * 1000.0) as u32,
            seconds: (ticks / 1000) as u32,
            how,
            guard,
        }
    }
}

/// The relay that carries this current, A.
fn guard(design: &Design, state: &State, amperes: f64, rated: f64) -> Guard {
    let carries = |square: f64| square > 0.96 * amperes * amperes && square < 1.04 * amperes * amperes;
    let found =
        design.overloads.iter().zip(&state.overloads).find(|(_, s)| s.square.into_iter().any(carries));
    let Some((relay, s)) = found else { return Guard::None };
    let (part, dial_ma) = (relay.tag.clone(), relay.data.overload.dial_ma);
    if s.tripped {
        Guard::TrippedInVain { part }
    } else if f64::from(dial_ma) > SET_RIGHT * rated * 1000.0 {
        Guard::SetHigh { part, dial_ma, rated_ma: (rated * 1000.0) as u32 }
    } else {
        Guard::NotTripped { part }
    }
}

/// Amperes with one decimal.
fn tenths(ma: u32) -> String {
    format!("{}.{}", (ma + 50) / 1000, (ma + 50) % 1000 / 100)
}

impl fmt::Display for Burnt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let how = match self.how {
            Overheating::Locked => "stood still on the lines",
            Overheating::OnTwoLines => "ran on two lines",
            Overheating::Overloaded => "ran overloaded",
        };
        write!(
            f,
            "the winding of {} has burnt out: it {how} with {} A for {} s",
            self.part,
            tenths(self.milliamperes),
            self.seconds
        )?;
        match &self.guard {
            Guard::None => f.write_str(", and no overload relay carries its current")?,
            Guard::SetHigh { part, dial_ma, rated_ma } => write!(
                f,
                ", and {part} is set to {} A, above the {} A of the motor",
                tenths(*dial_ma),
                tenths(*rated_ma)
            )?,
            Guard::TrippedInVain { part } => {
                write!(f, ", and {part} has tripped but the lines are still on: isolate upstream")?;
            }
            Guard::NotTripped { part } => write!(f, ", and {part} has not tripped")?,
        }
        write!(f, "; {} now has a path to the frame", self.terminal)
    }
}
