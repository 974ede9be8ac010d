//! A fault in words.

use crate::store::model::{Conductor, Fault, Part};
use crate::t;
use sealin_core::fault::Danger;

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
    let Some(conductor) = fault.conductor() else {
        return fault.part().unwrap_or_default().into();
    };
    let wire = conductors.iter().find(|wire| wire.id == conductor);
    wire.map_or_else(|| t!("faults-conductor-gone").into(), conductor_name)
}

/// How a fault shows that is dangerous at once; none of others.
pub fn danger_at_once(fault: &Fault, parts: &[Part], conductors: &[Conductor]) -> Option<&'static str> {
    let kind = fault.kind(parts, conductors).filter(|kind| kind.danger == Danger::Immediate);
    kind.map(|kind| kind.shows)
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
        let fault = Fault::conductor_open("L4");
        assert_eq!(place(&fault, std::slice::from_ref(&wire)), "213, QA1:14 – KF1:I4");
        wire.number.clear();
        assert_eq!(conductor_name(&wire), "QA1:14 – KF1:I4");
        assert!(!place(&fault, &[]).contains("L4"));
    }
}
