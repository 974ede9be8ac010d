//! Tools of a job of fault finding.

use sealin_core::Repair;
use sealin_core::instruments::{Function, Measurement};

/// What a learner may use to find a fault and to put it right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    /// Meter, volts DC and AC.
    Volts,
    /// Meter, ohms, and the earth-continuity tester.
    Ohms,
    /// Clamp ammeter.
    Clamp,
    /// Insulation tester.
    Insulation,
    /// Phase-sequence indicator.
    PhaseSequence,
    /// The program in the controller is seen at work.
    Program,
    /// Parts from stores, of the same types.
    Swap,
    /// Conductors drawn anew.
    Remake,
    /// Conductors of a terminal put back as drawn, tight.
    Terminate,
    /// What is set put as the job sheet has it.
    Adjust,
    /// The drawn program loaded.
    Reload,
}

impl Tool {
    /// All of them.
    pub const ALL: [Tool; 11] = [
        Tool::Volts,
        Tool::Ohms,
        Tool::Clamp,
        Tool::Insulation,
        Tool::PhaseSequence,
        Tool::Program,
        Tool::Swap,
        Tool::Remake,
        Tool::Terminate,
        Tool::Adjust,
        Tool::Reload,
    ];

    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Tool::Volts => "volts",
            Tool::Ohms => "ohms",
            Tool::Clamp => "clamp",
            Tool::Insulation => "insulation",
            Tool::PhaseSequence => "phase sequence",
            Tool::Program => "program",
            Tool::Swap => "swap",
            Tool::Remake => "remake",
            Tool::Terminate => "terminate",
            Tool::Adjust => "adjust",
            Tool::Reload => "reload",
        }
    }

    /// The tool that a reading needs; none for the detector and its proving unit, which everyone has who works at a panel.
    pub fn of_reading(what: &Measurement) -> Option<Tool> {
        match what {
            Measurement::Between { function, .. } => match function {
                Function::VoltsDc | Function::VoltsAc => Some(Tool::Volts),
                Function::Ohms | Function::Continuity => Some(Tool::Ohms),
                Function::Insulation => Some(Tool::Insulation),
                Function::Detector => None,
            },
            Measurement::Clamp { .. } => Some(Tool::Clamp),
            Measurement::Sequence(_) => Some(Tool::PhaseSequence),
            Measurement::ProvingUnit => None,
        }
    }

    /// The tool that a repair needs.
    pub fn of_repair(repair: &Repair) -> Tool {
        match repair {
            Repair::Swap(_) => Tool::Swap,
            Repair::Remake(_) => Tool::Remake,
            Repair::Terminate(_) => Tool::Terminate,
            Repair::Adjust(_) => Tool::Adjust,
            Repair::Reload(_) => Tool::Reload,
        }
    }
}
