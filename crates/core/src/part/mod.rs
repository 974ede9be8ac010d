//! The parts a panel is made of: what each is, its rated values, and its terminals.
//!
//! Values are integers in the smallest unit (mV, mA, milliohm, ms), as in the files; they become floating-point
//! numbers once, when a [`crate::Design`] is built.

mod brake;
mod coil;
mod contactor;
mod control;
mod controller;
mod motor;
mod overload;
mod position_switch;
mod relay;
mod strip;
mod supply;
mod switchgear;

pub use brake::Brake;
pub use coil::{AuxFunction, Auxiliary, Coil, CoilCurrent, Gap, Suppressor};
pub use contactor::{ArmatureDelays, Contactor, DelayRange};
pub use control::{Actuator, Colour, Control, ControlContact, Form, Lamp};
pub use controller::{Controller, Current, Group, InputCircuit, InputType, OutputCircuit};
pub use motor::{Machine, Motor, MotorFigures, MotorModel, Travel};
pub use overload::{Overload, Reset, TripClass};
pub use position_switch::PositionSwitch;
pub use relay::{RELAY_DELAYS, Relay, TimerFunction, Timing};
pub use strip::Strip;
pub use supply::{DcSupply, Supply, Transformer, WindingNames};
pub use switchgear::{Protection, Switchgear};

/// One device of the job: a tag, its place and what it is.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Part {
    /// Reference designation after IEC 81346-2, such as `QA1`.
    pub tag: String,
    /// What it is for, in a few words, such as `raise`.
    pub function: String,
    /// Where it is mounted.
    pub place: Place,
    /// What it is.
    pub kind: Kind,
}

/// Where a part is mounted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// On a rail inside the panel.
    Panel,
    /// On the operator station.
    Station,
    /// In the field: at the machine, or the end of the supply cable.
    Field,
}

/// What a part is, with its rated values.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// End of the three-phase supply cable; terminals `L1 L2 L3 PE`. Neutral earthed at the source (TN-S).
    Supply(Supply),
    /// Switching or protective device with poles 1-2, 3-4, 5-6.
    Switchgear(Switchgear),
    /// Contactor or contactor relay; terminals `A1 A2 1…6`, and those of its auxiliary contacts.
    Contactor(Contactor),
    /// Interposing relay or timer relay; terminals `A1 A2`, and those of its contacts.
    Relay(Relay),
    /// Thermal overload relay; terminals `1…6 95 96 97 98`.
    Overload(Overload),
    /// Control transformer; terminals `1U 1V 2U 2V PE`, or `H1 H2 X1 X2 PE`.
    Transformer(Transformer),
    /// 24 V supply; terminals `L1 L2 PE + -`.
    DcSupply(DcSupply),
    /// Controller; terminals `L+ L- PE`, and those of its groups.
    Controller(Controller),
    /// Push-button, emergency stop or selector; terminals of its contacts.
    Control(Control),
    /// Indicator lamp; terminals `X1 X2`.
    Lamp(Lamp),
    /// Three-phase cage motor; terminals `U1 V1 W1 PE`.
    Motor(Motor),
    /// Position switch, actuated by the machine of a motor; terminals `11 12` or `13 14`, then `21 22` or `23 24` …
    PositionSwitch(PositionSwitch),
    /// Spring-applied brake on the shaft of a motor; terminals `BD1 BD2` for DC, `BA1 BA2` for AC.
    Brake(Brake),
    /// Terminal strip, earth bar or a conductive part with earth terminals: terminals by name, some joined.
    Strip(Strip),
}

impl Kind {
    /// The dial of what has one, mA, and its range.
    pub fn dial_ma(&self) -> Option<(u32, std::ops::RangeInclusive<u32>)> {
        match self {
            Kind::Overload(o) => Some((o.dial_ma, o.dial_min_ma..=o.dial_max_ma)),
            Kind::Switchgear(Switchgear {
                protection: Protection::Motor { dial_ma, dial_min_ma, dial_max_ma },
                ..
            }) => Some((*dial_ma, *dial_min_ma..=*dial_max_ma)),
            _ => None,
        }
    }

    /// Turns the dial of what has one.
    pub fn set_dial_ma(&mut self, ma: u32) {
        match self {
            Kind::Overload(o) => o.dial_ma = ma,
            Kind::Switchgear(Switchgear { protection: Protection::Motor { dial_ma, .. }, .. }) => {
                *dial_ma = ma
            }
            _ => {}
        }
    }
}

impl Part {
    /// Names of the part's terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        match &self.kind {
            Kind::Supply(x) => x.terminals(),
            Kind::Switchgear(x) => x.terminals(),
            Kind::Contactor(x) => x.terminals(),
            Kind::Relay(x) => x.terminals(),
            Kind::Overload(x) => x.terminals(),
            Kind::Transformer(x) => x.terminals(),
            Kind::DcSupply(x) => x.terminals(),
            Kind::Controller(x) => x.terminals(),
            Kind::Control(x) => x.terminals(),
            Kind::Lamp(x) => x.terminals(),
            Kind::Motor(x) => x.terminals(),
            Kind::PositionSwitch(x) => x.terminals(),
            Kind::Brake(x) => x.terminals(),
            Kind::Strip(x) => x.terminals.clone(),
        }
    }

    /// The name of a terminal as it is now: older files call some otherwise (a controller's `L-` was `M`).
    pub fn terminal_now<'a>(&self, name: &'a str) -> &'a str {
        match &self.kind {
            Kind::Controller(x) => x.renamed(name).unwrap_or(name),
            _ => name,
        }
    }

    /// The name by which a terminal counts in canonical bytes, which does not change when a terminal is renamed.
    pub fn terminal_hashed<'a>(&self, name: &'a str) -> &'a str {
        match self.kind {
            Kind::Controller(_) => Controller::hashed(name),
            _ => name,
        }
    }

    /// Contacts of the part, as their terminal pairs: `13-14`, `95-96`, `1-2`.
    pub fn contacts(&self) -> Vec<(String, String)> {
        match &self.kind {
            Kind::Switchgear(x) => x.contacts(),
            Kind::Contactor(x) => x.contacts(),
            Kind::Relay(x) => x.contacts(),
            Kind::Overload(x) => x.contacts(),
            Kind::Control(x) => x.contacts(),
            Kind::PositionSwitch(x) => x.contacts(),
            _ => Vec::new(),
        }
    }
}

/// Owned names.
fn named(names: &[&str]) -> Vec<String> {
    names.iter().map(|n| n.to_string()).collect()
}

/// Owned pairs of names.
fn pairs(names: &[(&str, &str)]) -> Vec<(String, String)> {
    names.iter().map(|(a, b)| (a.to_string(), b.to_string())).collect()
}
