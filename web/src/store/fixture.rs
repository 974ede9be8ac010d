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

/// A panel in which the coil circuit of QA1 is open, and nothing but eyes, ears and readings may tell.
pub fn sealed() -> Workshop {
    let job = r#"
format = "sealin scenario"
version = 1
id = "sealed-test"
title = "Find it"
site = "Copper Reach lock"
machine = "Paddle gear PG-1"
level = 1
minutes = 45
sheets = ["brief", "wiring", "program", "commissioning", "fault finding", "sign-off"]
language = "en"
symbols = "IEC 60617"
region = "400 V 50 Hz"
pass_marks = 1
as_built = "paddle-closed-loop"
brief = "Find it."
cautions = []
[fault_finding]
report = "It does not raise."
tools = ["volts", "remake"]
how = "together"
look_costs = 2
[fault_finding.marks]
repaired = 1
[[fault_finding.hidden]]
fault = "conductor C06 open"
difficulty = 1
"#;
    let scenario = Rc::new(Scenario::parse(job).unwrap());
    let mut session = Session::new(scenario, 1).unwrap();
    session.embed(job);
    Workshop::new(session)
}
