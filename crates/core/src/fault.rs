//! Single faults: what can be wrong with a part or a conductor, as data.
//!
//! Each has one line of text, the same in scripts, in the log and on the command line:
//! `conductor S04 open`, `QA2 13-14 stuck closed`, `QA1 poles welded`, `QA1 coil open`, `KF1 I4 dead`,
//! `SF2 stuck in`, `QA1 13-14 dirty 20000`; and `conductor S04 open intermittent 40ms in 200ms` for one that comes and goes.

mod kind;
mod pattern;

use crate::part::{Kind, Part};
use crate::plan::{Conductor, Terminal};
use std::fmt;

pub use kind::FaultKind;
pub use pattern::Pattern;

/// One fault on one part or conductor.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Fault {
    /// A conductor is broken or off its terminal.
    ConductorOpen {
        /// Id of the conductor; or a terminal, `KF1:I4`: then every conductor is off that terminal, so that a script
        /// need not know what a learner's conductor is called.
        conductor: String,
    },
    /// A contact never closes.
    StuckOpen {
        /// Tag of the part.
        part: String,
        /// Terminal pair, such as `13-14`.
        contact: String,
    },
    /// A contact never opens.
    StuckClosed {
        /// Tag of the part.
        part: String,
        /// Terminal pair, such as `13-14`.
        contact: String,
    },
    /// All three main poles of a contactor are welded.
    PolesWelded {
        /// Tag of the contactor.
        part: String,
    },
    /// The coil of a contactor, relay or brake is open-circuit.
    CoilOpen {
        /// Tag of the contactor, relay or brake.
        part: String,
    },
    /// The mechanical interlock does not hold this contactor's armature back any more.
    InterlockBroken {
        /// Tag of the contactor.
        part: String,
    },
    /// An input channel reads 0 whatever its voltage.
    ChannelDead {
        /// Tag of the controller.
        part: String,
        /// Terminal of the channel, such as `I4`.
        input: String,
    },
    /// A push-button stays in.
    ButtonStuck {
        /// Tag of the button.
        part: String,
    },
    /// A phase of the supply is missing.
    PhaseMissing {
        /// Tag of the supply.
        part: String,
        /// `L1`, `L2` or `L3`.
        phase: String,
    },
    /// Two phases of the supply have changed places.
    PhasesSwapped {
        /// Tag of the supply.
        part: String,
    },
    /// A contact closes through a film: resistance instead of a short.
    ContactDirty {
        /// Tag of the part.
        part: String,
        /// Terminal pair, such as `13-14`.
        contact: String,
        /// Resistance when closed, ohm.
        ohms: u32,
    },
    /// A fault of a conductor or contact that comes and goes: a loose terminal, a broken strand, a contact near its reliable
    /// minimum.
    Intermittent {
        /// What is wrong while it is there.
        fault: Box<Fault>,
        /// When it is there on a bench; none: [`Pattern::USUAL`]. A proof has it there in whatever quanta.
        pattern: Option<Pattern>,
    },
}

/// Phases of a supply.
const PHASES: [&str; 3] = ["L1", "L2", "L3"];

/// Resistances of a dirty contact in the catalogue, ohm. A closed film of up to some kilohm still reads 1 on a
/// type 3 input of 4.7 kilohm; it takes more than 11 kilohm to read 0 (24 V · 4.7 / (4.7 + R) below 7.1 V).
pub const DIRTY_OHMS: [u32; 3] = [500, 5_000, 20_000];

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::ConductorOpen { conductor } => write!(f, "conductor {conductor} open"),
            Fault::StuckOpen { part, contact } => write!(f, "{part} {contact} stuck open"),
            Fault::StuckClosed { part, contact } => write!(f, "{part} {contact} stuck closed"),
            Fault::PolesWelded { part } => write!(f, "{part} poles welded"),
            Fault::CoilOpen { part } => write!(f, "{part} coil open"),
            Fault::InterlockBroken { part } => write!(f, "{part} interlock broken"),
            Fault::ChannelDead { part, input } => write!(f, "{part} {input} dead"),
            Fault::ButtonStuck { part } => write!(f, "{part} stuck in"),
            Fault::PhaseMissing { part, phase } => write!(f, "{part} {phase} missing"),
            Fault::PhasesSwapped { part } => write!(f, "{part} phases swapped"),
            Fault::ContactDirty { part, contact, ohms } => write!(f, "{part} {contact} dirty {ohms}"),
            Fault::Intermittent { fault, pattern: None } => write!(f, "{fault} intermittent"),
            Fault::Intermittent { fault, pattern: Some(pattern) } => {
                write!(f, "{fault} intermittent {pattern}")
            }
        }
    }
}

impl Fault {
    /// Tag of the part that it is on; none for one of a conductor.
    pub fn part(&self) -> Option<&str> {
        match self {
            Fault::ConductorOpen { .. } => None,
            Fault::StuckOpen { part, .. }
            | Fault::StuckClosed { part, .. }
            | Fault::PolesWelded { part }
            | Fault::CoilOpen { part }
            | Fault::InterlockBroken { part }
            | Fault::ChannelDead { part, .. }
            | Fault::ButtonStuck { part }
            | Fault::PhaseMissing { part, .. }
            | Fault::PhasesSwapped { part }
            | Fault::ContactDirty { part, .. } => Some(part),
            Fault::Intermittent { fault, .. } => fault.part(),
        }
    }

    /// What is wrong while it is there: of an intermittent fault the one that comes and goes, of any other itself.
    pub fn lasting(&self) -> &Fault {
        match self {
            Fault::Intermittent { fault, .. } => fault,
            _ => self,
        }
    }

    /// Whether it comes and goes.
    pub fn is_intermittent(&self) -> bool {
        matches!(self, Fault::Intermittent { .. })
    }

    /// The same fault as one that comes and goes; none where a fault of its kind stays.
    pub fn intermittent(&self) -> Option<Fault> {
        let fault = Box::new(self.clone());
        self.may_come_and_go().then_some(Fault::Intermittent { fault, pattern: None })
    }

    fn may_come_and_go(&self) -> bool {
        !self.is_intermittent() && self.kind().may_come_and_go()
    }

    /// Reads the line of text of a fault. The error says what was expected.
    pub fn parse(text: &str) -> Result<Fault, String> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let own = |w: &str| w.to_string();
        match words.as_slice() {
            [lasting @ .., "intermittent"] => Fault::comes_and_goes(lasting, None),
            [lasting @ .., "intermittent", there, "in", every] => {
                Pattern::parse(there, every).and_then(|p| Fault::comes_and_goes(lasting, Some(p)))
            }
            ["conductor", id, "open"] => Ok(Fault::ConductorOpen { conductor: own(id) }),
            [part, "poles", "welded"] => Ok(Fault::PolesWelded { part: own(part) }),
            [part, "coil", "open"] => Ok(Fault::CoilOpen { part: own(part) }),
            [part, "interlock", "broken"] => Ok(Fault::InterlockBroken { part: own(part) }),
            [part, "stuck", "in"] => Ok(Fault::ButtonStuck { part: own(part) }),
            [part, "phases", "swapped"] => Ok(Fault::PhasesSwapped { part: own(part) }),
            [part, phase, "missing"] => Ok(Fault::PhaseMissing { part: own(part), phase: own(phase) }),
            [part, contact, "stuck", "open"] => {
                Ok(Fault::StuckOpen { part: own(part), contact: own(contact) })
            }
            [part, contact, "stuck", "closed"] => {
                Ok(Fault::StuckClosed { part: own(part), contact: own(contact) })
            }
            [part, contact, "dirty"] => {
                Ok(Fault::ContactDirty { part: own(part), contact: own(contact), ohms: DIRTY_OHMS[2] })
            }
            [part, contact, "dirty", ohms] => match ohms.parse::<u32>() {
                Ok(ohms @ 1..=10_000_000) => {
                    Ok(Fault::ContactDirty { part: own(part), contact: own(contact), ohms })
                }
                _ => Err(format!("`{ohms}`: whole ohms from 1 to 10000000 are expected after dirty")),
            },
            [part, input, "dead"] => Ok(Fault::ChannelDead { part: own(part), input: own(input) }),
            _ => Err(format!(
                "`{text}` is no fault; expected `conductor ID open`, `TAG 13-14 stuck open`, \
                 `TAG 13-14 stuck closed`, `TAG 13-14 dirty OHMS`, `TAG poles welded`, `TAG coil open`, `TAG interlock broken`, \
                 `TAG I4 dead`, \
                 `TAG L2 missing`, `TAG phases swapped` or `TAG stuck in`; after one of a conductor or contact, \
                 `intermittent` or `intermittent 40ms in 200ms`"
            )),
        }
    }

    fn comes_and_goes(lasting: &[&str], pattern: Option<Pattern>) -> Result<Fault, String> {
        let fault = Fault::parse(&lasting.join(" "))?;
        if !fault.may_come_and_go() {
            return Err(format!(
                "`{fault}` is no fault of a conductor or contact: it cannot be intermittent"
            ));
        }
        Ok(Fault::Intermittent { fault: Box::new(fault), pattern })
    }

    /// Whether the fault fits these parts and conductors; the error says why not.
    pub fn fits(&self, parts: &[Part], conductors: &[Conductor]) -> Result<(), String> {
        let part = |tag: &String| {
            parts.iter().find(|p| p.tag == *tag).ok_or_else(|| format!("there is no part `{tag}`"))
        };
        let contact = |tag: &String, pair: &String| {
            let all = part(tag)?.contacts();
            if all.iter().any(|(a, b)| format!("{a}-{b}") == *pair) {
                Ok(())
            } else {
                let names: Vec<String> = all.iter().map(|(a, b)| format!("{a}-{b}")).collect();
                Err(format!("`{tag}` has no contact `{pair}`; it has: {}", names.join(", ")))
            }
        };
        match self {
            Fault::ConductorOpen { conductor } => {
                let terminal =
                    |t: Terminal| parts.iter().any(|p| p.tag == t.part && p.terminals().contains(&t.name));
                if conductors.iter().any(|c| c.id == *conductor)
                    || Terminal::parse(conductor).is_some_and(terminal)
                {
                    Ok(())
                } else {
                    Err(format!("there is no conductor `{conductor}`"))
                }
            }
            Fault::StuckClosed { part: t, contact: c } => match &part(t)?.kind {
                Kind::Control(control)
                    if control
                        .contacts
                        .iter()
                        .any(|x| control.opens_positively(x) && format!("{}-{}", x.a, x.b) == *c) =>
                {
                    Err(format!("`{t}` opens `{c}` positively: a welded contact is forced open"))
                }
                Kind::PositionSwitch(s) if s.opens_positively(c) => Err(format!(
                    "`{t}` {c} opens positively: the actuator forces it open, so it cannot stick closed"
                )),
                _ => contact(t, c),
            },
            Fault::StuckOpen { part, contact: c } | Fault::ContactDirty { part, contact: c, .. } => {
                contact(part, c)
            }
            Fault::PolesWelded { part: t } => match &part(t)?.kind {
                Kind::Contactor(c) if c.poles > 0 => Ok(()),
                _ => Err(format!("`{t}` is no contactor with main poles")),
            },
            Fault::CoilOpen { part: t } => match part(t)?.kind {
                Kind::Contactor(_) | Kind::Relay(_) | Kind::Brake(_) => Ok(()),
                _ => Err(format!("`{t}` is no contactor, relay or brake")),
            },
            Fault::InterlockBroken { part: t } => match &part(t)?.kind {
                Kind::Contactor(c) if c.interlocked_with.is_some() => Ok(()),
                _ => Err(format!("`{t}` is no contactor with a mechanical interlock")),
            },
            Fault::ChannelDead { part: t, input } => match &part(t)?.kind {
                Kind::Controller(c) if c.inputs.iter().any(|g| g.channels.contains(input)) => Ok(()),
                Kind::Controller(_) => Err(format!("`{t}` has no input `{input}`")),
                _ => Err(format!("`{t}` is no controller")),
            },
            Fault::PhaseMissing { part: t, .. } | Fault::PhasesSwapped { part: t }
                if !matches!(part(t)?.kind, Kind::Supply(_)) =>
            {
                Err(format!("`{t}` is no supply"))
            }
            Fault::PhaseMissing { phase, .. } if !PHASES.contains(&phase.as_str()) => {
                Err(format!("`{phase}` is no phase; expected {}", PHASES.join(", ")))
            }
            Fault::PhaseMissing { .. } | Fault::PhasesSwapped { .. } => Ok(()),
            Fault::ButtonStuck { part: t } => match part(t)?.kind {
                Kind::Control(ref c) if c.is_pressed() => Ok(()),
                _ => Err(format!("`{t}` is no push-button")),
            },
            Fault::Intermittent { fault, .. } => fault.fits(parts, conductors),
        }
    }

    /// Whether this fault opens that conductor.
    pub fn opens(&self, c: &Conductor) -> bool {
        let Fault::ConductorOpen { conductor } = self.lasting() else { return false };
        c.id == *conductor || Terminal::parse(conductor).is_some_and(|t| t == c.from || t == c.to)
    }

    /// Every fault of the catalogue that fits these parts and conductors, in a fixed order: those that stay, then those that come
    /// and go.
    pub fn catalogue(parts: &[Part], conductors: &[Conductor]) -> Vec<Fault> {
        let mut all = Vec::new();
        for c in conductors {
            all.push(Fault::ConductorOpen { conductor: c.id.clone() });
        }
        for p in parts {
            all.extend(Fault::of_part(p));
        }
        all.sort();
        let intermittent: Vec<Fault> = all.iter().filter_map(Fault::intermittent).collect();
        all.extend(intermittent);
        all
    }

    /// Every fault of the catalogue that fits one part and stays.
    pub fn of_part(p: &Part) -> Vec<Fault> {
        let mut all = Vec::new();
        let part = || p.tag.clone();
        for (a, b) in p.contacts() {
            let contact = format!("{a}-{b}");
            all.push(Fault::StuckOpen { part: part(), contact: contact.clone() });
            let positive = matches!(&p.kind, Kind::PositionSwitch(s) if s.opens_positively(&contact));
            if !positive {
                all.push(Fault::StuckClosed { part: part(), contact: contact.clone() });
            }
            let makes = b.ends_with('4') || b.ends_with('8');
            let feedback = match p.kind {
                Kind::Contactor(_) => makes && a.len() == 2,
                Kind::Relay(_) => makes,
                _ => a == "97",
            };
            if feedback {
                for ohms in DIRTY_OHMS {
                    all.push(Fault::ContactDirty { part: part(), contact: contact.clone(), ohms });
                }
            }
        }
        all.retain(|fault| fault.fits(std::slice::from_ref(p), &[]).is_ok());
        match &p.kind {
            Kind::Contactor(c) => {
                if c.poles > 0 {
                    all.push(Fault::PolesWelded { part: part() });
                }
                all.push(Fault::CoilOpen { part: part() });
                if c.interlocked_with.is_some() {
                    all.push(Fault::InterlockBroken { part: part() });
                }
            }
            Kind::Relay(_) => all.push(Fault::CoilOpen { part: part() }),
            Kind::Controller(c) => {
                for input in c.inputs.iter().flat_map(|g| &g.channels) {
                    all.push(Fault::ChannelDead { part: part(), input: input.clone() });
                }
            }
            Kind::Supply(_) => {
                let missing = |phase: &str| Fault::PhaseMissing { part: part(), phase: phase.to_string() };
                all.extend(PHASES.map(missing));
                all.push(Fault::PhasesSwapped { part: part() });
            }
            Kind::Control(c) if c.is_pressed() => all.push(Fault::ButtonStuck { part: part() }),
            Kind::Brake(_) => all.push(Fault::CoilOpen { part: part() }),
            _ => {}
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_back() {
        for line in [
            "conductor S04 open",
            "QA2 13-14 stuck closed",
            "QA2 21-22 stuck open",
            "QA1 poles welded",
            "QA1 coil open",
            "QA2 interlock broken",
            "KF1 I4 dead",
            "SF2 stuck in",
            "XD0 L2 missing",
            "XD0 phases swapped",
            "QA1 13-14 dirty 20000",
            "conductor KF1:I4 open intermittent",
            "QA1 13-14 dirty 20000 intermittent",
            "QA1 13-14 stuck open intermittent 40ms in 200ms",
        ] {
            assert_eq!(Fault::parse(line).unwrap().to_string(), line);
        }
        for (line, expected) in [
            ("QA1 poles welded intermittent", "no fault of a conductor or contact"),
            ("QA1 13-14 stuck open intermittent intermittent", "no fault of a conductor or contact"),
            ("QA1 13-14 stuck open intermittent 200ms in 200ms", "shorter"),
            ("QA1 13-14 stuck open intermittent 0ms in 200ms", "from 1ms"),
            ("QA1 13-14 stuck open intermittent 40 in 200ms", "from 1ms"),
            ("intermittent", "is no fault"),
        ] {
            assert!(Fault::parse(line).unwrap_err().contains(expected), "{line}");
        }
        assert!(Fault::parse("QA1 13-14 dirty zero").unwrap_err().contains("whole ohms"));
        assert!(Fault::parse("hum").unwrap_err().contains("expected"));
    }
}
