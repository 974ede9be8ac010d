//! Inert stand-ins for the bench and the exercise until those crates export theirs. Removed with the first real build.
#![allow(dead_code)]

use super::model::*;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A line of the I/O list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IoRow {
    pub address: String,
    pub name: String,
    pub terminal: String,
    pub device: String,
    pub comment: String,
}

/// A required behaviour.
#[derive(Clone, Debug, PartialEq)]
pub struct Requirement {
    pub id: String,
    pub text: String,
    pub marks: u32,
    pub must: bool,
    pub trials: Vec<Trial>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    pub name: String,
    pub source: String,
}

/// An exercise as its author wrote it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Scenario {
    pub id: String,
    pub title: String,
    pub site: String,
    pub machine: String,
    pub level: String,
    pub minutes: u32,
    pub brief_markdown: String,
    pub cautions: Vec<String>,
    pub parts: Vec<Part>,
    pub given: Vec<Conductor>,
    pub names: Vec<IoRow>,
    pub program: String,
    pub requirements: Vec<Requirement>,
    pub pass_marks: u32,
}

#[derive(Clone, Debug, PartialEq, Default)]
pub struct Project {
    pub conductors: Vec<Conductor>,
    pub source: String,
    pub transferred: String,
    pub dials: BTreeMap<String, u32>,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    Add { conductor: Conductor },
    Remove { conductor: Conductor },
    Change { before: Conductor, after: Conductor },
    Program { before: String, after: String },
    Dial { part: String, before_ma: u32, after_ma: u32 },
}

#[derive(Clone, Debug, PartialEq)]
pub struct MotorView {
    pub rpm: f64,
    pub amperes: [f64; 3],
    pub torque_nm: f64,
    pub jammed: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct OverloadView {
    pub tripped: bool,
    pub stop_held: bool,
    pub heat_permille_of_trip: u32,
    pub cool: bool,
    pub dial_ma: u32,
}

#[derive(Clone, Debug)]
pub struct Bench;

impl Bench {
    pub fn tick(&self) -> u64 {
        0
    }
    pub fn volts_dc(&self, _: &Terminal, _: &Terminal) -> Option<f64> {
        None
    }
    pub fn volts_ac(&self, _: &Terminal, _: &Terminal) -> Option<f64> {
        None
    }
    pub fn meter_volts_dc(&self, _: &Terminal, _: &Terminal) -> Option<f64> {
        None
    }
    pub fn meter_volts_ac(&self, _: &Terminal, _: &Terminal) -> Option<f64> {
        None
    }
    pub fn amperes(&self, _: &str) -> Option<f64> {
        None
    }
    pub fn motor(&self, _: &str) -> Option<MotorView> {
        None
    }
    pub fn overload(&self, _: &str) -> Option<OverloadView> {
        None
    }
    pub fn coil_volts(&self, _: &str) -> Option<f64> {
        None
    }
    pub fn signal(&self, _: &str) -> Option<bool> {
        None
    }
}

pub struct Session {
    pub scenario: Rc<Scenario>,
    project: Project,
    bench: Bench,
}

impl Session {
    pub fn new(scenario: Rc<Scenario>, _seed: u64) -> Session {
        let project = Project {
            conductors: scenario.given.clone(),
            source: scenario.program.clone(),
            ..Project::default()
        };
        Session { scenario, project, bench: Bench }
    }
    pub fn bench(&self) -> &Bench {
        &self.bench
    }
    pub fn project(&self) -> &Project {
        &self.project
    }
    pub fn tick(&self) -> u64 {
        0
    }
    pub fn bench_act(&mut self, _: BenchAct) -> Result<(), String> {
        Ok(())
    }
    pub fn next_conductor_id(&self) -> String {
        "L1".into()
    }
    pub fn change(&mut self, change: Change) -> Result<(), String> {
        match change {
            Change::Add { conductor } => self.project.conductors.push(conductor),
            Change::Remove { conductor } => self.project.conductors.retain(|c| c.id != conductor.id),
            Change::Change { before, after } => {
                self.project.conductors.retain(|c| c.id != before.id);
                self.project.conductors.push(after);
            }
            Change::Program { after, .. } => self.project.source = after,
            Change::Dial { part, after_ma, .. } => {
                self.project.dials.insert(part, after_ma);
            }
        }
        Ok(())
    }
    pub fn can_undo(&self) -> bool {
        false
    }
    pub fn undo(&mut self) -> bool {
        false
    }
    pub fn can_redo(&self) -> bool {
        false
    }
    pub fn redo(&mut self) -> bool {
        false
    }
    pub fn transfer(&mut self, _cold: bool) -> Result<(), Vec<sealin_ladder::Diagnostic>> {
        self.project.transferred = self.project.source.clone();
        Ok(())
    }
    pub fn advance(&mut self, _ticks: u64) {}
}
