//! The scenarios that ship, compiled in.

use crate::marking;
use crate::project::Project;
use crate::scenario::{Problem, Scenario, Wires, parse_wiring};
use sealin_core::Bench;

/// A program and wires that earn full marks, as the scenario is written.
#[derive(Clone, Copy, Debug)]
pub struct Reference {
    /// Structured text; empty in a hard-wired job.
    pub program: &'static str,
    /// What the learner makes of the wiring, in the form of [`crate::scenario::parse_wiring`].
    pub wires: &'static str,
}

impl Reference {
    /// The work as this reference has it: its wires made, its dials set, its program on the sheet.
    ///
    /// # Errors
    /// What is wrong with the wires, or why they do not fit.
    pub fn work(&self, scenario: &Scenario) -> Result<Project, String> {
        let mut work = Project::given(scenario);
        work.source = self.program(scenario);
        for change in self.wires(scenario)?.changes(scenario, &work)? {
            work.apply(scenario, &change)?;
        }
        Ok(work)
    }

    /// The program with the names of this form of the scenario.
    pub fn program(&self, scenario: &Scenario) -> String {
        scenario.program_dealt(self.program)
    }

    /// The wires with the names of this form of the scenario.
    ///
    /// # Errors
    /// What is wrong with them, and where.
    pub fn wires(&self, scenario: &Scenario) -> Result<Wires, String> {
        let wires = parse_wiring(self.wires);
        let told = |all: Vec<Problem>| all.first().map(ToString::to_string).unwrap_or_default();
        wires.map(|wires| scenario.wires_dealt(wires)).map_err(told)
    }

    /// The bench of this reference, supply off.
    ///
    /// # Errors
    /// What is wrong with wires or program, or why they do not fit the scenario.
    pub fn bench(&self, scenario: &Scenario) -> Result<Bench, String> {
        marking::bench(scenario, &self.work(scenario)?)
    }
}

struct Shipped {
    id: &'static str,
    scenario: &'static str,
    reference: Option<Reference>,
}

macro_rules! scenario {
    ($id:literal, $reference:expr) => {
        Shipped {
            id: $id,
            scenario: include_str!(concat!("../../../scenarios/", $id, "/scenario.toml")),
            reference: $reference,
        }
    };
}

/// `exercise!("ID")`, or `exercise!("ID", hard_wired)` for a job without a controller: no program is part of its reference.
macro_rules! exercise {
    ($id:literal) => {
        exercise!($id, include_str!(concat!("../../../scenarios/", $id, "/reference.st")))
    };
    ($id:literal, hard_wired) => {
        exercise!($id, "")
    };
    ($id:literal, $program:expr) => {
        scenario!(
            $id,
            Some(Reference {
                program: $program,
                wires: include_str!(concat!("../../../scenarios/", $id, "/reference.wires.toml")),
            })
        )
    };
}

/// The first is the one that is opened where none was chosen.
static SHIPPED: &[Shipped] = &[
    exercise!("paddle-closed-loop"),
    scenario!("free-bench", None),
    scenario!("free-bench-60hz", None),
    exercise!("slipway-winch"),
    exercise!("conveyor-seal-in", hard_wired),
    exercise!("paddle-open-loop"),
    exercise!("conveyor-controller"),
    exercise!("gate-commons"),
    exercise!("condemned-panel"),
    exercise!("sluice-overload"),
    exercise!("boat-lift-restart"),
    exercise!("lock-gate-answers"),
    exercise!("yard-conveyor-60hz"),
    exercise!("yard-crane-hoist"),
    // Jobs of fault finding, on the panels above as they were built, in the order in which they are learned.
    scenario!("gate-pump-wont-start", None),
    scenario!("conveyor-wont-hold", None),
    scenario!("paddle-wont-raise", None),
    scenario!("boat-lift-dead", None),
    scenario!("conveyor-trips", None),
    scenario!("gate-pump-blows-fuses", None),
    scenario!("sluice-wont-move", None),
    scenario!("dredging-conveyor-troubles", None),
    scenario!("lock-gate-wont-open", None),
    scenario!("crane-growls", None),
    scenario!("paddle-lets-go", None),
    scenario!("winch-wont-lower", None),
];

/// Id and text of every shipped scenario.
pub fn all() -> impl Iterator<Item = (&'static str, &'static str)> {
    SHIPPED.iter().map(|s| (s.id, s.scenario))
}

/// Text of a shipped scenario.
pub fn get(id: &str) -> Option<&'static str> {
    SHIPPED.iter().find(|s| s.id == id).map(|s| s.scenario)
}

/// What earns full marks in a shipped scenario, where it has marks.
pub fn reference(id: &str) -> Option<Reference> {
    SHIPPED.iter().find(|s| s.id == id).and_then(|s| s.reference)
}
