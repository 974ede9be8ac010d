//! The paddle panel and what the learner adds to it, for the tests of this folder: the exercise as it ships.

use crate::scenario::{Scenario, parse_wires};
use crate::shipped;
use sealin_core::part::Part;
use sealin_core::plan::{Conductor, Insulation, Terminal};

const ID: &str = "paddle-closed-loop";

/// A terminal from its text.
pub fn t(text: &str) -> Terminal {
    Terminal::parse(text).unwrap()
}

/// A dark-blue conductor of 0.75 mm².
pub fn wire(id: &str, from: &str, to: &str, number: &str) -> Conductor {
    Conductor {
        id: id.into(),
        from: t(from),
        to: t(to),
        section_mm2_x100: 75,
        colour: Insulation::DarkBlue,
        number: number.into(),
    }
}

/// Parts and given conductors.
pub fn paddle() -> (Vec<Part>, Vec<Conductor>) {
    let scenario = Scenario::parse(shipped::get(ID).unwrap()).unwrap();
    (scenario.parts, scenario.given)
}

/// What the learner adds.
pub fn learners() -> Vec<Conductor> {
    parse_wires(shipped::reference(ID).unwrap().wires).unwrap()
}
