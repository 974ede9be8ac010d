//! The kinds of circuit, their insulation colours, and what of a part belongs to which.

use crate::scenario::Region;
use sealin_core::part::{CoilCurrent, Contactor, Controller, Kind, Part, Relay};
use sealin_core::plan::{Insulation, Terminal};

/// Whose rules the panel is wired by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Practice {
    /// IEC 60204-1.
    #[default]
    Iec,
    /// NFPA 79.
    NorthAmerican,
}

impl Practice {
    /// Of an exercise.
    pub fn of(region: Region) -> Practice {
        if region == Region::V480Hz60 { Practice::NorthAmerican } else { Practice::Iec }
    }

    /// The other one.
    pub fn is_american(self) -> bool {
        self == Practice::NorthAmerican
    }

    /// The standard that says so.
    pub fn standard(self) -> &'static str {
        match self {
            Practice::Iec => "IEC 60204-1",
            Practice::NorthAmerican => "NFPA 79",
        }
    }
}

/// The kind of circuit a terminal belongs to; it decides the insulation colour (IEC 60204-1 clause 13.2.4).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Power circuit, AC or DC.
    Power,
    /// AC control circuit.
    AcControl,
    /// DC control circuit.
    DcControl,
    /// Protective conductor.
    Earth,
}

impl Class {
    /// Insulation colour of the circuit: IEC 60204-1 clauses 13.2.2 and 13.2.4, where an earthed return keeps the colour of
    /// its circuit; NFPA 79 clauses 13.2.2 to 13.2.4, where a grounded conductor is white.
    pub fn colour(self, practice: Practice, grounded: bool) -> Insulation {
        match (self, practice == Practice::NorthAmerican && grounded) {
            (Class::Earth, _) => Insulation::GreenYellow,
            (Class::DcControl, true) => Insulation::WhiteBlue,
            (_, true) => Insulation::White,
            (Class::Power, false) => Insulation::Black,
            (Class::AcControl, false) => Insulation::Red,
            (Class::DcControl, false) => Insulation::DarkBlue,
        }
    }
}

/// Pairs of terminals that belong to one circuit, through a contact, a fuse, a winding or a load.
pub fn conducting(part: &Part) -> Vec<(String, String)> {
    let mut pairs = part.contacts();
    let mut add =
        |all: &[(&str, &str)]| pairs.extend(all.iter().map(|(a, b)| (a.to_string(), b.to_string())));
    match &part.kind {
        Kind::Supply(_) => add(&[("L1", "L2"), ("L2", "L3")]),
        Kind::Contactor(_) | Kind::Relay(_) => add(&[("A1", "A2")]),
        Kind::Overload(o) => add(&o.heaters().map(|[a, b]| (a, b))),
        Kind::Transformer(t) => add(&[t.primary().into(), t.secondary().into()]),
        Kind::DcSupply(_) => add(&[("L1", "L2"), ("+", "-")]),
        Kind::Lamp(_) => add(&[("X1", "X2")]),
        Kind::Motor(_) => add(&[("U1", "V1"), ("V1", "W1")]),
        Kind::Brake(b) if b.dc => add(&[("BD1", "BD2")]),
        Kind::Brake(_) => add(&[("BA1", "BA2")]),
        Kind::Controller(c) => {
            add(&[(Controller::SUPPLY[0], Controller::SUPPLY[1])]);
            for (channels, common) in c.groups() {
                for channel in channels {
                    add(&[(channel, common)]);
                }
            }
        }
        Kind::Switchgear(_) | Kind::Control(_) | Kind::PositionSwitch(_) | Kind::Strip(_) => {}
    }
    pairs
}

/// The circuit that a source feeds from this terminal.
pub fn source(parts: &[Part], t: &Terminal) -> Option<Class> {
    let part = parts.iter().find(|p| p.tag == t.part)?;
    match (&part.kind, t.name.as_str()) {
        (Kind::Supply(_), "L1") => Some(Class::Power),
        (Kind::Transformer(x), name) if name == x.secondary()[0] => Some(Class::AcControl),
        (Kind::DcSupply(_), "+") => Some(Class::DcControl),
        _ => None,
    }
}

/// The circuit that a terminal is made for, used as long as no source reaches it.
pub fn hint(parts: &[Part], t: &Terminal) -> Option<Class> {
    let part = parts.iter().find(|p| p.tag == t.part)?;
    match (&part.kind, t.name.as_str()) {
        (Kind::Controller(c), name) => {
            let input = c.inputs.iter().any(|g| g.common == name || g.channels.iter().any(|n| n == name));
            (input || Controller::SUPPLY.contains(&name)).then_some(Class::DcControl)
        }
        (Kind::Contactor(Contactor { coil, .. }) | Kind::Relay(Relay { coil, .. }), "A1" | "A2") => {
            Some(match coil.current {
                CoilCurrent::Ac => Class::AcControl,
                CoilCurrent::Dc => Class::DcControl,
            })
        }
        (Kind::Contactor(_) | Kind::Overload(_), "1" | "2" | "3" | "4" | "5" | "6") => Some(Class::Power),
        (Kind::Motor(_), _) => Some(Class::Power),
        // Up to 50 V AC or 120 V DC is extra-low voltage (IEC 61140); such lamps are fed with DC here.
        (Kind::Lamp(lamp), _) if lamp.rated_mv <= 50_000 => Some(Class::DcControl),
        _ => None,
    }
}
