//! When a fault is there: always, now and then, or from an event on.

use super::Pattern;
use std::fmt;

/// When a fault is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub enum Presence {
    /// From when it is set.
    #[default]
    Stays,
    /// It comes and goes, as a loose terminal, a broken strand or a contact near its reliable minimum does: on a bench by this
    /// pattern, without one by [`Pattern::USUAL`]. A proof has it there in whatever quanta.
    ComesAndGoes(Option<Pattern>),
    /// It strikes by itself at this event, and stays. A proof has it strike at any instant.
    Strikes(Event),
}

/// What a fault waits for, on a bench with motors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Event {
    /// A motor has come under power for the so manieth time since it was set; from 1.
    Start(u16),
    /// A winding of a motor is warmer than [`HOT_C`].
    Hot,
    /// A motor draws more than half of its rated current while it turns.
    Load,
}

/// From which temperature of a winding on something counts as hot, °C: half of the rise of 80 K at rated current over 20 °C.
pub const HOT_C: f64 = 60.0;

/// Most starts that a fault may wait for.
const MOST_STARTS: u16 = 1_000;

impl fmt::Display for Presence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Presence::Stays => Ok(()),
            Presence::ComesAndGoes(None) => f.write_str(" intermittent"),
            Presence::ComesAndGoes(Some(pattern)) => write!(f, " intermittent {pattern}"),
            Presence::Strikes(Event::Start(n)) => write!(f, " on start {n}"),
            Presence::Strikes(Event::Hot) => f.write_str(" when hot"),
            Presence::Strikes(Event::Load) => f.write_str(" under load"),
        }
    }
}

impl Presence {
    /// What is wrong, with when.
    pub(super) fn said(self, what: String) -> String {
        match self {
            Presence::Stays => what,
            Presence::ComesAndGoes(None) => format!("{what}, intermittent"),
            Presence::ComesAndGoes(Some(pattern)) => {
                let (there, every) = (pattern.there_ms, pattern.every_ms);
                format!("{what}, intermittent, for {there}\u{a0}ms of every {every}\u{a0}ms")
            }
            Presence::Strikes(Event::Start(n)) => format!("{what}, from start {n} on"),
            Presence::Strikes(Event::Hot) => format!("{what}, once a motor is hot"),
            Presence::Strikes(Event::Load) => format!("{what}, once a motor is loaded"),
        }
    }
}

/// Takes the words that say when off the end of a line of text. The error says what was expected.
pub(super) fn parse<'w, 'a>(words: &'w [&'a str]) -> Result<(&'w [&'a str], Presence), String> {
    Ok(match words {
        [rest @ .., "intermittent"] => (rest, Presence::ComesAndGoes(None)),
        [rest @ .., "intermittent", there, "in", every] => {
            (rest, Presence::ComesAndGoes(Some(Pattern::parse(there, every)?)))
        }
        [rest @ .., "on", "start", n] => {
            let n = n.parse::<u16>().ok().filter(|n| (1..=MOST_STARTS).contains(n)).ok_or_else(|| {
                format!("`{n}`: a number of starts from 1 to {MOST_STARTS} is expected after on start")
            })?;
            (rest, Presence::Strikes(Event::Start(n)))
        }
        [rest @ .., "when", "hot"] => (rest, Presence::Strikes(Event::Hot)),
        [rest @ .., "under", "load"] => (rest, Presence::Strikes(Event::Load)),
        all => (all, Presence::Stays),
    })
}
