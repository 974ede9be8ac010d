//! Repairs: what a person does to put a machine right, and which faults are gone by it.
//!
//! A repair puts something into the state that the drawing has, whatever was wrong with it; whether it was at fault shows only
//! afterwards. So one act serves for all that it may cure, and costs its time whether or not it cures anything.

use crate::fault::{Fault, Mode, Value};
use crate::part::{Kind, Part};
use crate::plan::{Conductor, Terminal};
use std::fmt;

/// Something put right.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Repair {
    /// A new part of the same type in place of this one, set and wired as drawn (`swap QA1`).
    Swap(String),
    /// A conductor drawn anew from end to end, by its id (`remake S04`).
    Remake(String),
    /// The conductors of a terminal taken off and put back as drawn, each under its screw and tight (`terminate QA1:13`).
    Terminate(Terminal),
    /// What is set at a part, or comes to it from elsewhere, put as the job sheet has it: dial, reset, tap, filter, place of an
    /// actuator, load of a machine, phases of an incoming supply (`adjust FC1`).
    Adjust(String),
    /// The drawn program loaded into a controller, with a cold restart (`reload KF1`).
    Reload(String),
}

impl fmt::Display for Repair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Repair::Swap(tag) => write!(f, "swap {tag}"),
            Repair::Remake(id) => write!(f, "remake {id}"),
            Repair::Terminate(terminal) => write!(f, "terminate {terminal}"),
            Repair::Adjust(tag) => write!(f, "adjust {tag}"),
            Repair::Reload(tag) => write!(f, "reload {tag}"),
        }
    }
}

impl Repair {
    /// Reads the line of text of a repair.
    ///
    /// # Errors
    /// What was expected.
    pub fn parse(text: &str) -> Result<Repair, String> {
        let words: Vec<&str> = text.split_whitespace().collect();
        match words.as_slice() {
            ["swap", tag] => Ok(Repair::Swap(tag.to_string())),
            ["remake", id] => Ok(Repair::Remake(id.to_string())),
            ["terminate", at] => Terminal::parse(at)
                .map(Repair::Terminate)
                .ok_or_else(|| format!("`{at}`: a terminal as QA1:13 is expected after `terminate`")),
            ["adjust", tag] => Ok(Repair::Adjust(tag.to_string())),
            ["reload", tag] => Ok(Repair::Reload(tag.to_string())),
            _ => Err(format!(
                "`{text}` is no repair; expected `swap TAG`, `remake ID`, `terminate TAG:TERMINAL`, `adjust TAG` or `reload TAG`"
            )),
        }
    }

    /// Bench time that it costs, ticks: a fitter's usual times at a small panel (typical), with the tools at hand.
    pub fn ticks(&self) -> u64 {
        match self {
            Repair::Swap(_) => 600_000,
            Repair::Remake(_) => 300_000,
            Repair::Terminate(_) | Repair::Adjust(_) => 60_000,
            Repair::Reload(_) => 30_000,
        }
    }

    /// Whether it can be done here.
    ///
    /// # Errors
    /// What is not there.
    pub fn fits(&self, parts: &[Part], conductors: &[Conductor]) -> Result<(), String> {
        let part = |tag: &str| {
            parts.iter().find(|p| p.tag == tag).ok_or_else(|| format!("there is no part `{tag}` here"))
        };
        match self {
            Repair::Swap(tag) | Repair::Adjust(tag) => part(tag).map(|_| ()),
            Repair::Remake(id) => conductors
                .iter()
                .any(|c| c.id == *id)
                .then_some(())
                .ok_or_else(|| format!("there is no conductor `{id}` here")),
            Repair::Terminate(terminal) => part(&terminal.part)?
                .terminals()
                .contains(&terminal.name)
                .then_some(())
                .ok_or_else(|| format!("there is no terminal `{terminal}` here")),
            Repair::Reload(tag) => match part(tag)?.kind {
                Kind::Controller(_) => Ok(()),
                _ => Err(format!("`{tag}` is no controller")),
            },
        }
    }

    /// Parts into which a hand goes for it, as drawn; none for what is done from the front, or from outside.
    pub fn touches(&self, conductors: &[Conductor]) -> Vec<String> {
        match self {
            Repair::Swap(tag) => vec![tag.clone()],
            Repair::Terminate(terminal) => vec![terminal.part.clone()],
            Repair::Remake(id) => {
                let ends = |c: &Conductor| [c.from.part.clone(), c.to.part.clone()];
                conductors.iter().filter(|c| c.id == *id).flat_map(ends).collect()
            }
            Repair::Adjust(_) | Repair::Reload(_) => Vec::new(),
        }
    }

    /// Whether a fault is gone after it. `conductors` are the drawn ones.
    pub fn cures(&self, fault: &Fault, conductors: &[Conductor]) -> bool {
        if fault.mode.is_of_conductor() {
            let mut on = conductors.iter().filter(|c| fault.is_on(c));
            return match self {
                Repair::Remake(id) => on.any(|c| c.id == *id),
                // A break inside the insulation and a chafed one stay as they are. A screw that pinches nothing is both open and loose.
                Repair::Terminate(at) => {
                    fault.mode != Mode::ConductorEarthed && on.any(|c| c.from == *at || c.to == *at)
                }
                _ => false,
            };
        }
        match self {
            Repair::Swap(tag) => fault.subject == *tag && !comes_from_elsewhere(fault.mode),
            Repair::Adjust(tag) => {
                fault.subject == *tag && (comes_from_elsewhere(fault.mode) || is_set(fault.mode))
            }
            Repair::Reload(tag) => fault.subject == *tag && is_of_program(fault.mode),
            Repair::Terminate(at) => {
                let other = matches!(&fault.value, Value::Terminal(name) if *name == at.name);
                let here = fault.subject == at.part && (fault.at == at.name || other);
                here && matches!(fault.mode, Mode::Exchanged | Mode::Bridged)
            }
            Repair::Remake(_) => false,
        }
    }
}

/// It is no fault of the part at which it shows: a new one would show it too.
fn comes_from_elsewhere(mode: Mode) -> bool {
    matches!(mode, Mode::PhaseMissing | Mode::PhasesSwapped | Mode::LoadAt)
}

/// It is a setting.
fn is_set(mode: Mode) -> bool {
    matches!(
        mode,
        Mode::DialAt
            | Mode::ResetsByItself
            | Mode::VoltageAt
            | Mode::FilterAt
            | Mode::Displaced
            | Mode::Detached
    )
}

fn is_of_program(mode: Mode) -> bool {
    matches!(mode, Mode::Inverted | Mode::Passes | Mode::RungMissing)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Insulation;

    #[test]
    fn text_and_back() {
        for line in ["swap QA1", "remake S04", "terminate QA1:13", "adjust FC1", "reload KF1"] {
            assert_eq!(Repair::parse(line).unwrap().to_string(), line);
        }
        for line in ["", "swap", "swap QA1 QA2", "terminate QA1", "mend QA1"] {
            assert!(Repair::parse(line).unwrap_err().contains("expected"), "{line}");
        }
    }

    /// What a fitter would say of each, one by one.
    #[test]
    fn what_is_gone_by_what() {
        let conductors = [Conductor {
            id: "S04".to_string(),
            from: Terminal::new("QA1", "14"),
            to: Terminal::new("KF1", "I4"),
            section_mm2_x100: 100,
            colour: Insulation::Black,
            number: "104".to_string(),
        }];
        for (fault, repair, gone) in [
            ("conductor S04 open", "remake S04", true),
            ("conductor KF1:I4 open", "remake S04", true),
            ("conductor S04 open", "terminate QA1:14", true),
            ("conductor S04 open", "terminate QA1:13", false),
            ("conductor S04 open", "swap QA1", false),
            ("conductor S04 loose 30", "terminate KF1:I4", true),
            ("conductor S04 earthed 5", "terminate KF1:I4", false),
            ("conductor S04 earthed 5", "remake S04", true),
            ("conductor S04 QA1:14 on QA1:22", "terminate QA1:14", true),
            ("QA1 13-14 dirty 730", "swap QA1", true),
            ("QA1 13-14 dirty 730", "swap QA2", false),
            ("QA1 13-14 dirty 730", "terminate QA1:14", false),
            ("QA1 13 exchanged 21", "terminate QA1:21", true),
            ("QA1 13 exchanged 21", "terminate QA1:14", false),
            ("KF1 I4 bridged I5", "terminate KF1:I5", true),
            ("XD0 L2 missing", "swap XD0", false),
            ("XD0 L2 missing", "adjust XD0", true),
            ("FC1 dial at 8200", "adjust FC1", true),
            ("FC1 dial at 8200", "swap FC1", true),
            ("KF1 3.2 inverted", "reload KF1", true),
            ("KF1 I4 dead", "reload KF1", false),
            ("MA1 load at 1800", "swap MA1", false),
            ("MA1 load at 1800", "adjust MA1", true),
        ] {
            let (fault, repair) = (Fault::parse(fault).unwrap(), Repair::parse(repair).unwrap());
            assert_eq!(repair.cures(&fault, &conductors), gone, "{fault}; {repair}");
        }
    }
}
