//! The shipped job in a workshop, for the tests of what shows it.

use super::model::{BenchAct, Scenario, Session};
use super::{Command, Workshop};
use std::rc::Rc;

/// The main job as it is handed out.
pub fn workshop() -> Workshop {
    let text = sealin_exercise::shipped::get("paddle-closed-loop").unwrap();
    let scenario = Rc::new(Scenario::parse(text).unwrap());
    Workshop::new(Session::new(scenario, 1).unwrap())
}

/// Does what a line of a script says.
pub fn act(workshop: &mut Workshop, line: &str) {
    workshop.carry_out(Command::Act(BenchAct::parse(line).unwrap())).unwrap();
}
