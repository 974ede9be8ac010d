//! Single faults: what can be wrong with a part or a conductor, as data.
//!
//! Each has one line of text, the same in scripts, in the log and on the command line: what it is on, where, in which way, and a
//! value: `conductor S04 open`, `QA2 13-14 stuck closed`, `QA1 poles welded`, `KF1 I4 dead`, `QA1 13-14 dirty 20000`. A fault may
//! stay, come and go (`conductor S04 open intermittent 40ms in 200ms`), or strike by itself later on
//! (`QA1 13-14 stuck open on start 3`).

mod alter;
mod fitting;
mod kinds;
mod mode;
mod pattern;
mod presence;
mod scale;

use crate::part::Part;
use crate::plan::{Conductor, Plan, Terminal};
use std::fmt;

pub(crate) use alter::alter;
pub use kinds::{Class, Danger, KINDS, Kind};
pub use mode::{At, Mode, Unit};
pub use pattern::Pattern;
pub use presence::{Event, HOT_C, Presence};
pub use scale::Scale;

/// One fault on one part or conductor.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fault {
    /// In which way it is at fault.
    pub mode: Mode,
    /// Tag of the part or id of the conductor. A conductor may be named by a terminal, `KF1:I4`, too: then it is every conductor on
    /// that terminal, so that a script need not know what a learner's conductor is called.
    pub subject: String,
    /// Where on it: a contact `13-14`, a terminal `I4`, a contact of the program `3.2`; empty where it is on the whole.
    pub at: String,
    /// How much, in the unit of the mode.
    pub value: Value,
    /// When it is there.
    pub presence: Presence,
}

/// The value of a fault.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Value {
    /// It has none.
    None,
    /// In the unit of its mode.
    Number(i32),
    /// A terminal: `QA1:22` for an end of a conductor, the name for one of the same part.
    Terminal(String),
}

impl Value {
    /// The number, in the unit of the mode; none where it has none.
    pub fn number(&self) -> Option<i32> {
        match self {
            Value::Number(number) => Some(*number),
            _ => None,
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.mode.is_of_conductor() {
            f.write_str("conductor ")?;
        }
        f.write_str(&self.subject)?;
        if !self.at.is_empty() {
            write!(f, " {}", self.at)?;
        }
        write!(f, " {}", self.mode.words().words)?;
        match &self.value {
            Value::None => {}
            Value::Number(number) => write!(f, " {number}")?,
            Value::Terminal(name) => write!(f, " {name}")?,
        }
        self.presence.fmt(f)
    }
}

impl Fault {
    /// A fault that stays.
    pub fn new(mode: Mode, subject: &str, at: &str, value: Value) -> Fault {
        Fault { mode, subject: subject.to_string(), at: at.to_string(), value, presence: Presence::Stays }
    }

    /// A conductor that is broken or off its terminal.
    pub fn conductor_open(id: &str) -> Fault {
        Fault::new(Mode::ConductorOpen, id, "", Value::None)
    }

    /// Tag of the part that it is on; none for one of a conductor.
    pub fn part(&self) -> Option<&str> {
        (!self.mode.is_of_conductor()).then_some(self.subject.as_str())
    }

    /// Id of the conductor that it is on; none for one of a part.
    pub fn conductor(&self) -> Option<&str> {
        self.mode.is_of_conductor().then_some(self.subject.as_str())
    }

    /// What is wrong while it is there: the same as a fault that stays.
    pub fn lasting(&self) -> Fault {
        Fault { presence: Presence::Stays, ..self.clone() }
    }

    /// Whether it comes and goes.
    pub fn is_intermittent(&self) -> bool {
        matches!(self.presence, Presence::ComesAndGoes(_))
    }

    /// The same fault as one that comes and goes; none where a fault of its kind stays.
    pub fn intermittent(&self) -> Option<Fault> {
        let presence = Presence::ComesAndGoes(None);
        (self.mode.may_come_and_go() && self.presence == Presence::Stays)
            .then(|| Fault { presence, ..self.clone() })
    }

    /// What is wrong, in words, without saying on what.
    pub fn said(&self) -> String {
        self.presence.said(self.said_with(&self.value_said()))
    }

    fn said_with(&self, value: &str) -> String {
        let said = self.mode.words().said;
        let said = match self.at.is_empty() {
            true => said.replace("@ ", ""),
            false => said.replace('@', &self.at),
        };
        said.replace('#', value)
    }

    /// What is wrong, in words, as of all faults that differ in their value or presence only.
    pub fn said_of_its_kind(&self) -> String {
        let unit = match self.mode.unit() {
            Unit::Ohm => "… Ω",
            Unit::Permille => "… %",
            Unit::Millisecond => "… ms",
            Unit::Milliampere => "… A",
            Unit::Celsius => "… °C",
            Unit::Millimetre => "… mm",
            Unit::None | Unit::Terminal => "",
        };
        match &self.value {
            Value::Terminal(name) => self.said_with(name),
            _ => self.said_with(unit),
        }
    }

    /// The value with its unit.
    fn value_said(&self) -> String {
        let number = match &self.value {
            Value::None => return String::new(),
            Value::Terminal(name) => return name.clone(),
            Value::Number(number) => *number,
        };
        let per = |part: i32, unit: &str| {
            let (whole, rest) = (number / part, number.unsigned_abs() % part.unsigned_abs());
            let digits = part.to_string().len() - 1;
            let rest = format!("{rest:0digits$}");
            match rest.trim_end_matches('0') {
                "" => format!("{whole}\u{a0}{unit}"),
                rest => format!("{whole}.{rest}\u{a0}{unit}"),
            }
        };
        match self.mode.unit() {
            Unit::Ohm if number < 1_000 => per(1, "Ω"),
            Unit::Ohm => per(1_000, "kΩ"),
            Unit::Permille => per(10, "%"),
            Unit::Millisecond => per(1, "ms"),
            Unit::Milliampere => per(1_000, "A"),
            Unit::Celsius => per(1, "°C"),
            Unit::Millimetre => per(1, "mm"),
            Unit::None | Unit::Terminal => String::new(),
        }
    }

    /// Reads the line of text of a fault. The error says what was expected.
    pub fn parse(text: &str) -> Result<Fault, String> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let (words, presence) = presence::parse(&words)?;
        let (of_conductor, words) = match words {
            ["conductor", rest @ ..] => (true, rest),
            all => (false, all),
        };
        let [subject, rest @ ..] = words else { return Err(expected(text)) };
        let of_mode = |mode: &mode::Words| {
            (mode.conductor == of_conductor)
                .then(|| mode.read(rest))
                .flatten()
                .map(|found| (mode.mode, found))
        };
        let (mode, (at, value)) = mode::MODES.iter().find_map(of_mode).ok_or_else(|| expected(text))?;
        let fault = Fault { presence, ..Fault::new(mode, subject, at, value?) };
        if !fault.mode.may_come_and_go() && fault.is_intermittent() {
            return Err(format!(
                "`{}` is no fault of a conductor or contact: it cannot be intermittent",
                fault.lasting()
            ));
        }
        Ok(fault)
    }

    /// Whether this fault of a conductor is on that one.
    pub(crate) fn is_on(&self, c: &Conductor) -> bool {
        self.mode.is_of_conductor()
            && (c.id == self.subject
                || Terminal::parse(&self.subject).is_some_and(|t| t == c.from || t == c.to))
    }

    /// Every fault of the catalogue that fits these parts and conductors, in a fixed order: those that stay, then those that come
    /// and go.
    pub fn catalogue(parts: &[Part], conductors: &[Conductor]) -> Vec<Fault> {
        let mut all: Vec<Fault> = conductors.iter().flat_map(|c| Fault::of_conductor(c, parts)).collect();
        for p in parts {
            all.extend(Fault::of_part(p));
        }
        all.sort();
        let intermittent: Vec<Fault> = all.iter().filter_map(Fault::intermittent).collect();
        all.extend(intermittent);
        all
    }

    /// The same of a plan, and then every fault of its program.
    pub fn of_plan(plan: &Plan) -> Vec<Fault> {
        let mut all = Fault::catalogue(&plan.parts, &plan.conductors);
        if let Some(program) = &plan.program {
            all.extend(plan.parts.iter().flat_map(|part| Fault::of_program(part, program)));
        }
        all
    }
}

fn expected(text: &str) -> String {
    let forms: Vec<String> = mode::MODES.iter().map(|words| format!("`{}`", words.mode.form())).collect();
    format!(
        "`{text}` is no fault; expected one of {}; after one of a conductor or contact, `intermittent` or `intermittent 40ms in 200ms`; \
         after any, `on start 3`, `when hot` or `under load`",
        forms.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_back() {
        for line in [
            "conductor S04 open",
            "conductor S04 loose 1000",
            "conductor S04 earthed 1",
            "conductor S04 QA1:14 on QA1:22",
            "QA2 13-14 stuck closed",
            "QA2 21-22 stuck open",
            "QA1 poles welded",
            "QA1 1-2 welded",
            "QA1 coil open",
            "QA2 interlock broken",
            "KF1 I4 dead",
            "TB1 dead",
            "SF2 stuck in",
            "XD0 L2 missing",
            "XD0 phases swapped",
            "XD0 voltage at 720",
            "QA1 13-14 dirty 20000",
            "MA1 U1 exchanged V1",
            "MA1 U1 turns shorted 100",
            "QA1 turns shorted 300",
            "KF1 3.2 inverted",
            "KF1 3 rung missing",
            "BG1 displaced -500",
            "conductor KF1:I4 open intermittent",
            "QA1 13-14 dirty 20000 intermittent",
            "QA1 13-14 stuck open intermittent 40ms in 200ms",
            "QA1 13-14 stuck open on start 3",
            "MA1 W1 winding open when hot",
            "conductor S04 loose 2 under load",
        ] {
            assert_eq!(Fault::parse(line).unwrap().to_string(), line);
        }
        for (line, expected) in [
            ("QA1 poles welded intermittent", "no fault of a conductor or contact"),
            ("QA1 13-14 stuck open intermittent intermittent", "is no fault"),
            ("QA1 13-14 stuck open intermittent 200ms in 200ms", "shorter"),
            ("QA1 13-14 stuck open intermittent 0ms in 200ms", "from 1ms"),
            ("QA1 13-14 stuck open intermittent 40 in 200ms", "from 1ms"),
            ("QA1 13-14 stuck open on start 0", "number of starts from 1"),
            ("XD0 voltage at 0", "whole per mille from 1"),
            ("intermittent", "is no fault"),
            ("", "is no fault"),
            ("conductor", "is no fault"),
        ] {
            assert!(Fault::parse(line).unwrap_err().contains(expected), "{line}");
        }
        assert!(Fault::parse("QA1 13-14 dirty zero").unwrap_err().contains("whole ohms"));
        assert!(Fault::parse("hum").unwrap_err().contains("expected"));
    }

    #[test]
    fn said_with_place_and_unit() {
        for (line, said) in [
            ("QA1 13-14 dirty 20000", "13-14 dirty, closes through 20\u{a0}kΩ"),
            ("QA1 13-14 dirty 730", "13-14 dirty, closes through 730\u{a0}Ω"),
            ("FC1 dial at 8200", "dial stands at 8.2\u{a0}A"),
            ("XD0 voltage at 725", "gives 72.5\u{a0}% of its voltage"),
            ("QA1 turns shorted 300", "30\u{a0}% of the turns shorted"),
            ("conductor S1 QA1:14 on QA1:22", "off QA1:14 and on QA1:22 instead"),
            ("TB1 dead", "dead"),
            ("KF1 I4 dead", "I4 dead"),
            ("QA1 coil open on start 3", "coil open, from start 3 on"),
        ] {
            assert_eq!(Fault::parse(line).unwrap().said(), said);
        }
        for (line, said) in [
            ("QA1 13-14 dirty 730", "13-14 dirty, closes through … Ω"),
            ("conductor S1 QA1:14 on QA1:22", "off QA1:14 and on QA1:22 instead"),
            ("QA1 coil open on start 3", "coil open"),
        ] {
            assert_eq!(Fault::parse(line).unwrap().said_of_its_kind(), said);
        }
    }
}
