//! Kinds of fault: what the catalogue says of each, whatever the part.

use super::{DIRTY_OHMS, Fault};

/// A kind of fault. One that comes and goes is of the kind of what is wrong while it is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FaultKind {
    /// A conductor is broken or off its terminal.
    ConductorOpen,
    /// A contact never closes.
    StuckOpen,
    /// A contact never opens.
    StuckClosed,
    /// A contact closes through a film.
    ContactDirty,
    /// Main poles are welded.
    PolesWelded,
    /// A coil is open-circuit.
    CoilOpen,
    /// A mechanical interlock does not hold.
    InterlockBroken,
    /// An input reads 0.
    ChannelDead,
    /// A push-button stays in.
    ButtonStuck,
    /// A phase is missing.
    PhaseMissing,
    /// Two phases have changed places.
    PhasesSwapped,
}

/// What the catalogue says of a kind.
struct Entry {
    form: &'static str,
    places: &'static str,
    shows: &'static str,
}

impl FaultKind {
    /// All kinds.
    pub const ALL: [FaultKind; 11] = [
        FaultKind::ConductorOpen,
        FaultKind::StuckOpen,
        FaultKind::StuckClosed,
        FaultKind::ContactDirty,
        FaultKind::PolesWelded,
        FaultKind::CoilOpen,
        FaultKind::InterlockBroken,
        FaultKind::ChannelDead,
        FaultKind::ButtonStuck,
        FaultKind::PhaseMissing,
        FaultKind::PhasesSwapped,
    ];

    /// Its line of text, with the place and the value in capitals.
    pub fn form(self) -> &'static str {
        self.entry().form
    }

    /// On what it can be.
    pub fn places(self) -> &'static str {
        self.entry().places
    }

    /// How it shows while the machine is worked.
    pub fn shows(self) -> &'static str {
        self.entry().shows
    }

    /// Values that the catalogue has of it, and their unit; none where it has none.
    pub fn values(self) -> (&'static [u32], &'static str) {
        match self {
            FaultKind::ContactDirty => (&DIRTY_OHMS, "ohm"),
            _ => (&[], ""),
        }
    }

    /// Whether it may come and go. Conductors, terminals and contacts come loose; what is welded, burnt or wired wrongly stays so.
    /// No signal of a design comes or goes with one of these.
    pub fn may_come_and_go(self) -> bool {
        matches!(
            self,
            FaultKind::ConductorOpen
                | FaultKind::StuckOpen
                | FaultKind::StuckClosed
                | FaultKind::ContactDirty
        )
    }

    fn entry(self) -> Entry {
        let [form, places, shows] = match self {
            FaultKind::ConductorOpen => [
                "conductor ID open",
                "a conductor, or all at a terminal",
                "what it feeds is dead, or the input at its end reads 0; full voltage on one side of the break, none on the other",
            ],
            FaultKind::StuckOpen => [
                "TAG CONTACT stuck open",
                "a contact",
                "nothing behind it is switched on, though its device has moved",
            ],
            FaultKind::StuckClosed => [
                "TAG CONTACT stuck closed",
                "a contact that is not opened positively",
                "what is behind it stays on, though its device has moved",
            ],
            FaultKind::ContactDirty => [
                "TAG CONTACT dirty OHMS",
                "a feedback contact",
                "voltage is lost over the closed contact; an input behind it reads 0 where the film is strong enough",
            ],
            FaultKind::PolesWelded => [
                "TAG poles welded",
                "a contactor with main poles",
                "the motor runs on, live, after stop and trip; a mirror contact stays open",
            ],
            FaultKind::CoilOpen => [
                "TAG coil open",
                "a contactor, relay or brake",
                "full voltage at the coil, and the armature does not move",
            ],
            FaultKind::InterlockBroken => [
                "TAG interlock broken",
                "a contactor with a mechanical interlock",
                "nothing, until both contactors are driven at once",
            ],
            FaultKind::ChannelDead => {
                ["TAG INPUT dead", "an input of a controller", "voltage at the terminal, and the bit reads 0"]
            }
            FaultKind::ButtonStuck => [
                "TAG stuck in",
                "a push-button",
                "as if somebody held it: a stop forbids everything, a start is there at once",
            ],
            FaultKind::PhaseMissing => [
                "TAG PHASE missing",
                "a supply",
                "a motor hums and does not start, or runs hot; an overload trips after a while",
            ],
            FaultKind::PhasesSwapped => ["TAG phases swapped", "a supply", "every motor turns the other way"],
        };
        Entry { form, places, shows }
    }
}

impl Fault {
    /// Its kind.
    pub fn kind(&self) -> FaultKind {
        match self {
            Fault::ConductorOpen { .. } => FaultKind::ConductorOpen,
            Fault::StuckOpen { .. } => FaultKind::StuckOpen,
            Fault::StuckClosed { .. } => FaultKind::StuckClosed,
            Fault::ContactDirty { .. } => FaultKind::ContactDirty,
            Fault::PolesWelded { .. } => FaultKind::PolesWelded,
            Fault::CoilOpen { .. } => FaultKind::CoilOpen,
            Fault::InterlockBroken { .. } => FaultKind::InterlockBroken,
            Fault::ChannelDead { .. } => FaultKind::ChannelDead,
            Fault::ButtonStuck { .. } => FaultKind::ButtonStuck,
            Fault::PhaseMissing { .. } => FaultKind::PhaseMissing,
            Fault::PhasesSwapped { .. } => FaultKind::PhasesSwapped,
            Fault::Intermittent { fault, .. } => fault.kind(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each kind's form is that of its faults: filled in it reads, and comes back as a fault of the kind.
    #[test]
    fn forms_read_as_what_they_say() {
        for kind in FaultKind::ALL {
            let line = [
                ("ID", "C01"),
                ("TAG", "QA1"),
                ("CONTACT", "13-14"),
                ("OHMS", "500"),
                ("INPUT", "I4"),
                ("PHASE", "L2"),
            ]
            .iter()
            .fold(kind.form().to_string(), |line, (name, value)| line.replace(name, value));
            let fault = Fault::parse(&line).unwrap();
            assert_eq!((fault.kind(), fault.to_string()), (kind, line));
            assert_eq!(fault.intermittent().is_some(), kind.may_come_and_go());
            assert!(!kind.places().is_empty() && !kind.shows().is_empty());
        }
    }
}
