//! A fault in words.

use crate::store::model::{Conductor, Fault};
use crate::t;
use crate::text::quantity::milliseconds;

/// What is wrong, without saying where.
pub fn what(fault: &Fault) -> String {
    match fault {
        Fault::ConductorOpen { .. } => t!("fault-conductor-open").into(),
        Fault::StuckOpen { contact, .. } => t!("fault-stuck-open", contact = contact),
        Fault::StuckClosed { contact, .. } => t!("fault-stuck-closed", contact = contact),
        Fault::PolesWelded { .. } => t!("fault-poles-welded").into(),
        Fault::CoilOpen { .. } => t!("fault-coil-open").into(),
        Fault::InterlockBroken { .. } => t!("fault-interlock-broken").into(),
        Fault::ChannelDead { input, .. } => t!("fault-channel-dead", input = input),
        Fault::ButtonStuck { .. } => t!("fault-button-stuck").into(),
        Fault::PhaseMissing { phase, .. } => t!("fault-phase-missing", phase = phase),
        Fault::PhasesSwapped { .. } => t!("fault-phases-swapped").into(),
        Fault::ContactDirty { contact, ohms, .. } => {
            let ohms = if *ohms < 1_000 {
                format!("{ohms}\u{a0}Ω")
            } else {
                crate::text::quantity::thousandths(u64::from(*ohms), "kΩ")
            };
            t!("fault-dirty", contact = contact, ohms = ohms)
        }
        Fault::Intermittent { fault, pattern: None } => t!("fault-intermittent", what = what(fault)),
        Fault::Intermittent { fault, pattern: Some(pattern) } => {
            let [there, every] = [pattern.there_ms, pattern.every_ms].map(|ms| milliseconds(ms.into()));
            t!("fault-intermittent-in", what = what(fault), there = there, every = every)
        }
    }
}

/// A conductor as a fitter finds it, by its ends behind the number on its ferrules: `213, QA1:14 – KF1:I4`. The id that it
/// goes by inside the job reads like a phase and is never shown.
pub fn conductor_name(wire: &Conductor) -> String {
    match wire.number.is_empty() {
        true => conductor_ends(wire),
        false => t!("faults-conductor", number = wire.number, ends = conductor_ends(wire)),
    }
}

/// The two terminals that a conductor joins.
pub fn conductor_ends(wire: &Conductor) -> String {
    t!("faults-conductor-ends", from = wire.from, to = wire.to)
}

/// The part or conductor that it is on; a conductor that has been taken out since has no name any more.
pub fn place(fault: &Fault, conductors: &[Conductor]) -> String {
    let Fault::ConductorOpen { conductor } = fault.lasting() else {
        return fault.part().unwrap_or_default().into();
    };
    let wire = conductors.iter().find(|wire| wire.id == *conductor);
    wire.map_or_else(|| t!("faults-conductor-gone").into(), conductor_name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model::{Insulation, Terminal};

    #[test]
    fn a_conductor_goes_by_its_number_and_ends() {
        let mut wire = Conductor {
            id: "L4".into(),
            number: "213".into(),
            from: Terminal::new("QA1", "14"),
            to: Terminal::new("KF1", "I4"),
            section_mm2_x100: 75,
            colour: Insulation::DarkBlue,
        };
        let fault = Fault::ConductorOpen { conductor: "L4".into() };
        assert_eq!(place(&fault, std::slice::from_ref(&wire)), "213, QA1:14 – KF1:I4");
        wire.number.clear();
        assert_eq!(conductor_name(&wire), "QA1:14 – KF1:I4");
        assert!(!place(&fault, &[]).contains("L4"));
    }
}
