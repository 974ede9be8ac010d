//! The catalogue: every kind of single fault by what it is on, with how it shows, what is measured, and how dangerous it is.
//!
//! Collected from textbooks of motor control and the trade's own lists; the figures behind each belong to the devices.

mod table;

use super::fitting::{contacts, form_of};
use super::{Fault, Mode};
use crate::part::{Actuator, Form, Kind as PartKind, OutputCircuit, Part, Protection};
use crate::plan::{Conductor, Insulation, Terminal};

pub use table::KINDS;

/// One kind of single fault.
#[derive(Debug, PartialEq, Eq)]
pub struct Kind {
    /// In which way.
    pub mode: Mode,
    /// On what.
    pub class: Class,
    /// How dangerous it is.
    pub danger: Danger,
    /// How it shows at the machine.
    pub shows: &'static str,
    /// What is measured or seen with eyes and meter.
    pub measured: &'static str,
}

/// How dangerous a fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Danger {
    /// At once: by itself it can hurt a person, or it takes away what protects one.
    Immediate,
    /// Under some condition: with another fault, or after some time.
    Conditional,
    /// A nuisance: the machine stands still or does too little.
    Nuisance,
}

impl Danger {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Danger::Immediate => "immediate",
            Danger::Conditional => "conditional",
            Danger::Nuisance => "nuisance",
        }
    }
}

/// What a fault is on, as the trade tells apart what shows differently.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs, reason = "each is said in words by `Class::said`")]
pub enum Class {
    PowerConductor,
    ProtectiveConductor,
    CommonConductor,
    ControlConductor,
    MainPole,
    AuxMake,
    AuxBreak,
    RelayContact,
    TimerContact,
    TripBreak,
    AlarmMake,
    StartContact,
    StopContact,
    EmergencyContact,
    SelectorContact,
    PositionContact,
    DisconnectorPole,
    FuseLink,
    BreakerPole,
    LeverContact,
    TripSignal,
    OutputRelay,
    OutputTransistor,
    Contactor,
    Relay,
    Overload,
    Button,
    EmergencyStop,
    Selector,
    Lamp,
    Supply,
    Transformer,
    DcSupply,
    Fuse,
    Breaker,
    Input,
    Controller,
    Program,
    Motor,
    PositionSwitch,
    Brake,
    Strip,
    Coil,
    InputTerminals,
    OutputTerminals,
}

impl Class {
    /// What it is on, in words.
    pub fn said(self) -> &'static str {
        match self {
            Class::PowerConductor => "conductor of the power circuit",
            Class::ProtectiveConductor => "protective conductor",
            Class::CommonConductor => "conductor to a common or a supply of the controls",
            Class::ControlConductor => "conductor of the control circuit",
            Class::MainPole => "main pole of a contactor",
            Class::AuxMake => "auxiliary make contact",
            Class::AuxBreak => "auxiliary break contact",
            Class::RelayContact => "contact of a relay",
            Class::TimerContact => "timed contact",
            Class::TripBreak => "contact 95-96 of an overload",
            Class::AlarmMake => "contact 97-98 of an overload",
            Class::StartContact => "make contact of a push-button",
            Class::StopContact => "break contact of a push-button",
            Class::EmergencyContact => "contact of an emergency stop",
            Class::SelectorContact => "contact of a selector",
            Class::PositionContact => "contact of a position switch",
            Class::DisconnectorPole => "pole of a disconnector",
            Class::FuseLink => "fuse link",
            Class::BreakerPole => "pole of a breaker",
            Class::LeverContact => "auxiliary contact of a switching device",
            Class::TripSignal => "trip-signal contact of a breaker",
            Class::OutputRelay => "relay output",
            Class::OutputTransistor => "transistor output",
            Class::Contactor => "contactor",
            Class::Relay => "relay",
            Class::Overload => "overload relay",
            Class::Button => "push-button",
            Class::EmergencyStop => "emergency stop",
            Class::Selector => "selector",
            Class::Lamp => "lamp",
            Class::Supply => "three-phase supply",
            Class::Transformer => "control transformer",
            Class::DcSupply => "24 V supply",
            Class::Fuse => "fuse",
            Class::Breaker => "breaker",
            Class::Input => "input channel",
            Class::Controller => "controller",
            Class::Program => "program",
            Class::Motor => "motor or what it turns",
            Class::PositionSwitch => "position switch",
            Class::Brake => "brake",
            Class::Strip => "terminal strip",
            Class::Coil => "coil",
            Class::InputTerminals => "terminals of inputs",
            Class::OutputTerminals => "terminals of outputs",
        }
    }

    /// What a fault is on. None if it does not fit.
    pub fn of(fault: &Fault, parts: &[Part], conductors: &[Conductor]) -> Option<Class> {
        if fault.mode.is_of_conductor() {
            let c = conductors.iter().find(|c| fault.is_on(c))?;
            return Some(of_conductor(c, parts));
        }
        let part = parts.iter().find(|p| p.tag == fault.subject)?;
        Some(of_part(fault, part))
    }
}

/// Ends in the power circuit: poles, heaters, the supply and the motor.
fn is_power(end: &Terminal, parts: &[Part]) -> bool {
    let Some(part) = parts.iter().find(|p| p.tag == end.part) else { return false };
    let single = end.name.len() == 1;
    match &part.kind {
        PartKind::Supply(_) | PartKind::Motor(_) => true,
        PartKind::Contactor(c) => c.poles > 0 && single,
        PartKind::Overload(_) => single,
        PartKind::Switchgear(s) => s.poles == 3 && single,
        _ => false,
    }
}

/// Ends at what many share: commons of groups, supplies of the controls.
fn is_common(end: &Terminal, parts: &[Part]) -> bool {
    let Some(part) = parts.iter().find(|p| p.tag == end.part) else { return false };
    match &part.kind {
        PartKind::Controller(c) => {
            let commons = c.inputs.iter().map(|g| &g.common).chain(c.outputs.iter().map(|g| &g.common));
            commons.into_iter().any(|common| *common == end.name) || end.name.starts_with('L')
        }
        PartKind::DcSupply(_) | PartKind::Transformer(_) => true,
        _ => false,
    }
}

fn of_conductor(c: &Conductor, parts: &[Part]) -> Class {
    let both = [&c.from, &c.to];
    if c.colour == Insulation::GreenYellow {
        Class::ProtectiveConductor
    } else if both.iter().all(|end| is_power(end, parts)) {
        Class::PowerConductor
    } else if both.iter().any(|end| is_common(end, parts)) {
        Class::CommonConductor
    } else {
        Class::ControlConductor
    }
}

fn of_part(fault: &Fault, part: &Part) -> Class {
    let contact = contacts(part).iter().any(|(a, b)| fault.at == format!("{a}-{b}"));
    match &part.kind {
        PartKind::Contactor(_) if contact && fault.at.len() == 3 => Class::MainPole,
        PartKind::Contactor(_) if contact => match form_of(part, &fault.at) {
            Form::Make => Class::AuxMake,
            Form::Break => Class::AuxBreak,
        },
        PartKind::Contactor(_)
            if matches!(fault.mode, Mode::Bridged | Mode::TurnsShorted | Mode::CoilOpen) =>
        {
            Class::Coil
        }
        PartKind::Contactor(_) => Class::Contactor,
        PartKind::Relay(r) if contact && r.timing.is_some() => Class::TimerContact,
        PartKind::Relay(_) if contact => Class::RelayContact,
        PartKind::Relay(_) if matches!(fault.mode, Mode::Bridged | Mode::TurnsShorted | Mode::CoilOpen) => {
            Class::Coil
        }
        PartKind::Relay(_) => Class::Relay,
        PartKind::Overload(_) if contact && fault.at.starts_with("95") => Class::TripBreak,
        PartKind::Overload(_) if contact => Class::AlarmMake,
        PartKind::Overload(_) => Class::Overload,
        PartKind::Switchgear(s) => {
            let pole = s.mains().iter().any(|(a, b)| fault.at == format!("{a}-{b}"));
            let fuse = matches!(s.protection, Protection::FuseGg { .. } | Protection::FuseFast { .. });
            let special = |a: &crate::part::Auxiliary| {
                a.function.special() && a.gaps().iter().any(|gap| fault.at == format!("{}-{}", gap.a, gap.b))
            };
            match (contact, pole) {
                (true, true) if s.protection == Protection::None => Class::DisconnectorPole,
                (true, true) if fuse => Class::FuseLink,
                (true, true) => Class::BreakerPole,
                (true, false) if s.auxiliaries.iter().any(special) => Class::TripSignal,
                (true, false) => Class::LeverContact,
                (false, _) if fuse => Class::Fuse,
                (false, _) => Class::Breaker,
            }
        }
        PartKind::Controller(c) => {
            let group = c.outputs.iter().find(|g| {
                g.channels.iter().any(|name| fault.at == *name || fault.at == format!("{name}-{}", g.common))
            });
            match (fault.mode, group) {
                (Mode::Exchanged, Some(_)) => Class::OutputTerminals,
                (Mode::Exchanged, None) => Class::InputTerminals,
                (Mode::Inverted | Mode::Passes | Mode::RungMissing, _) => Class::Program,
                (_, Some(group)) if group.circuit == OutputCircuit::Relay => Class::OutputRelay,
                (_, Some(_)) => Class::OutputTransistor,
                _ if fault.at.is_empty() => Class::Controller,
                _ => Class::Input,
            }
        }
        PartKind::Control(c) => match (c.actuator, contact) {
            (Actuator::Button, true) => match form_of(part, &fault.at) {
                Form::Make => Class::StartContact,
                Form::Break => Class::StopContact,
            },
            (Actuator::EmergencyStop, true) => Class::EmergencyContact,
            (Actuator::Selector { .. }, true) => Class::SelectorContact,
            (Actuator::Button, false) => Class::Button,
            (Actuator::EmergencyStop, false) => Class::EmergencyStop,
            (Actuator::Selector { .. }, false) => Class::Selector,
        },
        PartKind::PositionSwitch(_) if contact => Class::PositionContact,
        PartKind::PositionSwitch(_) => Class::PositionSwitch,
        PartKind::Supply(_) => Class::Supply,
        PartKind::Transformer(_) => Class::Transformer,
        PartKind::DcSupply(_) => Class::DcSupply,
        PartKind::Lamp(_) => Class::Lamp,
        PartKind::Motor(_) => Class::Motor,
        PartKind::Brake(_) => Class::Brake,
        PartKind::Strip(_) => Class::Strip,
    }
}

impl Fault {
    /// Its kind. None if it does not fit these parts and conductors, or is a combination that no catalogue lists.
    pub fn kind(&self, parts: &[Part], conductors: &[Conductor]) -> Option<&'static Kind> {
        let class = Class::of(self, parts, conductors)?;
        KINDS.iter().find(|kind| kind.mode == self.mode && kind.class == class)
    }
}
