//! Relays: interposing relays, contactor relays and timer relays.

use super::coil::{AuxFunction, Auxiliary, Coil};
use super::contactor::{ArmatureDelays, contacts, terminals};

/// A relay; terminals A1, A2 and those of its contacts.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Relay {
    /// Its coil, or the supply of an electronic timer.
    pub coil: Coil,
    /// Its contacts.
    pub contacts: Vec<Auxiliary>,
    /// Its contacts are mechanically linked (IEC 60947-5-1 Annex L; IEC 61810-3 for relays).
    pub linked: bool,
    /// Delays of the armature.
    pub delays: ArmatureDelays,
    /// Ticks for which its make contacts bounce after they have touched.
    pub bounce_ms: u8,
    /// What a timer relay does with its timed contacts.
    pub timing: Option<Timing>,
}

/// Function and time of a timer relay (IEC 61812-1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Timing {
    /// Which way it delays.
    pub function: TimerFunction,
    /// The time that is set, ms.
    pub setting_ms: u32,
}

/// Which way a timer relay delays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TimerFunction {
    /// Its contacts change over when it has been energised for the time, and go back at once.
    OnDelay,
    /// Its contacts change over at once, and go back when it has been de-energised for the time.
    OffDelay,
}

/// Delays of a small relay: changeover between 5 and 15 ms after the coil, back between 3 and 10 ms (typical).
pub const RELAY_DELAYS: ArmatureDelays =
    ArmatureDelays { break_open_ms: 6, main_close_ms: 10, main_open_ms: 5, break_close_ms: 3 };

impl Relay {
    /// The contact of an interposing relay: 11-12-14; of a timer relay: 15-16-18.
    pub fn usual_contacts(timer: bool) -> Vec<Auxiliary> {
        let function = if timer { AuxFunction::SpecialChangeover } else { AuxFunction::Changeover };
        vec![Auxiliary::new(1, function)]
    }

    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        terminals(&[], &self.contacts)
    }

    /// Contacts as their terminal pairs.
    pub fn contacts(&self) -> Vec<(String, String)> {
        contacts(&self.contacts).collect()
    }
}
