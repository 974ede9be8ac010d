//! The signals of a design: every discrete value that a trace, a requirement or the screen can name.

use super::Design;
use crate::part::Protection;
use sealin_ladder::{BitRef, VarKind};

/// A named bit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signal {
    /// `QA1.closed`, `KF1.IX0.4`, or a program variable.
    pub name: String,
    /// Where its value comes from.
    pub source: SignalSource,
}

/// Where the value of a signal comes from; numbers are those of the design's families.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SignalSource {
    /// A supply is switched on.
    SupplyOn(usize),
    /// A switching device conducts in all poles.
    SwitchClosed(usize),
    /// A motor-protective breaker has tripped.
    SwitchTripped(usize),
    /// A control device is in this position.
    Position(usize, u8),
    /// A contact is closed.
    Contact(usize),
    /// A coil attracts.
    Coil(usize),
    /// A main pole of a contactor is closed; of a relay: its armature is in.
    MainClosed(usize),
    /// An AC coil hums.
    Hums(usize),
    /// An armature goes in and out again and again.
    Chatters(usize),
    /// A coil has burnt out.
    CoilBurnt(usize),
    /// A main pole has welded.
    Welded(usize),
    /// An overload has tripped.
    Tripped(usize),
    /// The stop actuator of an overload is held.
    StopHeld(usize),
    /// The reset of an overload is held in.
    ResetHeld(usize),
    /// A DC supply gives its voltage.
    DcOn(usize),
    /// A controller scans.
    Scanning(usize),
    /// A bit of the input image.
    Input(usize, u8),
    /// A bit of the output image.
    Output(usize, u8),
    /// The contact of a relay output has welded, or a transistor output is destroyed.
    OutputDamaged(usize, u8),
    /// A program variable.
    Variable(BitRef),
    /// A lamp is lit.
    Lit(usize),
    /// A shaft turns.
    Turning(usize),
    /// A shaft turns clockwise, seen from the drive end.
    Clockwise(usize),
    /// A shaft turns counter-clockwise.
    Counterclockwise(usize),
    /// The windings of a motor are above the limit of their class.
    Hot(usize),
    /// The insulation of a winding has failed.
    Burnt(usize),
    /// A position switch is actuated.
    Actuated(usize),
    /// A brake has freed its shaft.
    Released(usize),
}

impl SignalSource {
    /// Whether it is to be seen or heard at the machine without an instrument: handles and buttons, armatures, the flag of a trip,
    /// indicator lights of supplies, controllers and their channels, lamps, shafts, position switches and brakes.
    pub fn is_in_sight(self) -> bool {
        match self {
            SignalSource::SwitchTripped(_)
            | SignalSource::Position(..)
            | SignalSource::MainClosed(_)
            | SignalSource::Hums(_)
            | SignalSource::Chatters(_)
            | SignalSource::Tripped(_)
            | SignalSource::StopHeld(_)
            | SignalSource::ResetHeld(_)
            | SignalSource::DcOn(_)
            | SignalSource::Scanning(_)
            | SignalSource::Input(..)
            | SignalSource::Output(..)
            | SignalSource::Lit(_)
            | SignalSource::Turning(_)
            | SignalSource::Clockwise(_)
            | SignalSource::Counterclockwise(_)
            | SignalSource::Actuated(_)
            | SignalSource::Released(_) => true,
            // A link that has melted and a pole that has welded look like sound ones, and a burnt coil smells at best.
            SignalSource::SupplyOn(_)
            | SignalSource::SwitchClosed(_)
            | SignalSource::Contact(_)
            | SignalSource::Coil(_)
            | SignalSource::CoilBurnt(_)
            | SignalSource::Welded(_)
            | SignalSource::OutputDamaged(..)
            | SignalSource::Variable(_)
            | SignalSource::Hot(_)
            | SignalSource::Burnt(_) => false,
        }
    }
}

/// `IX0.4` for bit 4.
fn image(area: char, bit: usize) -> String {
    format!("{area}X{}.{}", bit / 8, bit % 8)
}

/// All signals of a design, by name.
pub(super) fn list(d: &Design) -> Vec<Signal> {
    let mut all: Vec<(String, SignalSource)> = Vec::new();
    for (i, c) in d.contacts.iter().enumerate() {
        all.push((c.name.clone(), SignalSource::Contact(i)));
    }
    for (i, s) in d.supplies.iter().enumerate() {
        all.push((format!("{}.on", s.tag), SignalSource::SupplyOn(i)));
    }
    for (i, s) in d.switches.iter().enumerate() {
        all.push((format!("{}.closed", s.tag), SignalSource::SwitchClosed(i)));
        if matches!(s.data.protection, Protection::Motor { .. }) {
            all.push((format!("{}.tripped", s.tag), SignalSource::SwitchTripped(i)));
        }
    }
    for (i, c) in d.controls.iter().enumerate() {
        if c.data.control.is_pressed() {
            all.push((format!("{}.pressed", c.tag), SignalSource::Position(i, 2)));
            continue;
        }
        for position in 1..=c.data.control.positions() {
            all.push((format!("{}.position{position}", c.tag), SignalSource::Position(i, position)));
        }
    }
    for (i, c) in d.contactors.iter().enumerate() {
        all.push((format!("{}.coil", c.tag), SignalSource::Coil(i)));
        all.push((format!("{}.closed", c.tag), SignalSource::MainClosed(i)));
        all.push((format!("{}.hums", c.tag), SignalSource::Hums(i)));
        all.push((format!("{}.chatters", c.tag), SignalSource::Chatters(i)));
        all.push((format!("{}.burnt", c.tag), SignalSource::CoilBurnt(i)));
        if !c.data.poles.is_empty() {
            all.push((format!("{}.welded", c.tag), SignalSource::Welded(i)));
        }
    }
    for (i, o) in d.overloads.iter().enumerate() {
        all.push((format!("{}.tripped", o.tag), SignalSource::Tripped(i)));
        all.push((format!("{}.stop", o.tag), SignalSource::StopHeld(i)));
        all.push((format!("{}.reset", o.tag), SignalSource::ResetHeld(i)));
    }
    for (i, s) in d.dc_supplies.iter().enumerate() {
        all.push((format!("{}.on", s.tag), SignalSource::DcOn(i)));
    }
    for (i, c) in d.controllers.iter().enumerate() {
        all.push((format!("{}.on", c.tag), SignalSource::Scanning(i)));
        for bit in 0..c.data.inputs.len() {
            all.push((format!("{}.{}", c.tag, image('I', bit)), SignalSource::Input(i, bit as u8)));
        }
        for bit in 0..c.data.outputs.len() {
            all.push((format!("{}.{}", c.tag, image('Q', bit)), SignalSource::Output(i, bit as u8)));
            let name = c.data.controller.output(bit);
            let word = if c.data.outputs[bit].transistor.is_some() { "destroyed" } else { "welded" };
            all.push((format!("{}.{name}.{word}", c.tag), SignalSource::OutputDamaged(i, bit as u8)));
        }
    }
    if !d.controllers.is_empty() {
        for var in d.compiled.variables() {
            let names = match var.kind {
                VarKind::Bool => vec![var.name.clone()],
                VarKind::Block(block) => block.bits().map(|pin| format!("{}.{pin}", var.name)).collect(),
            };
            for name in names {
                if let Some(bit) = d.compiled.bit(&name) {
                    all.push((name, SignalSource::Variable(bit)));
                }
            }
        }
    }
    for (i, l) in d.lamps.iter().enumerate() {
        all.push((format!("{}.lit", l.tag), SignalSource::Lit(i)));
    }
    for (i, m) in d.motors.iter().enumerate() {
        all.push((format!("{}.turning", m.tag), SignalSource::Turning(i)));
        all.push((format!("{}.clockwise", m.tag), SignalSource::Clockwise(i)));
        all.push((format!("{}.counterclockwise", m.tag), SignalSource::Counterclockwise(i)));
        all.push((format!("{}.hot", m.tag), SignalSource::Hot(i)));
        all.push((format!("{}.burnt", m.tag), SignalSource::Burnt(i)));
    }
    for (i, s) in d.position_switches.iter().enumerate() {
        all.push((format!("{}.actuated", s.tag), SignalSource::Actuated(i)));
    }
    for (i, b) in d.brakes.iter().enumerate() {
        all.push((format!("{}.released", b.tag), SignalSource::Released(i)));
    }
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all.dedup_by(|a, b| a.0 == b.0);
    all.into_iter().map(|(name, source)| Signal { name, source }).collect()
}
