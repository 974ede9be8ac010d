//! Stand-ins for the exercise crate until it exports its own. Removed with the first real build.
#![allow(dead_code, missing_docs)]

use super::model::*;
use std::collections::BTreeMap;
use std::rc::Rc;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IoRow {
    pub address: String,
    pub name: String,
    pub terminal: String,
    pub device: String,
    pub comment: String,
}

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
    pub conductors: BTreeMap<String, Conductor>,
    pub source: String,
    pub transferred: String,
    pub dials: BTreeMap<String, u32>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    Add(Conductor),
    Remove(Conductor),
    Alter { before: Conductor, after: Conductor },
    Program { at: u32, removed: String, inserted: String },
    Dial { part: String, before_ma: u32, after_ma: u32 },
}

impl Change {
    pub fn program(before: &str, after: &str) -> Option<Change> {
        (before != after).then(|| Change::Program { at: 0, removed: before.into(), inserted: after.into() })
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Function {
    VoltsDc,
    VoltsAc,
    Ohms,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    pub from: Terminal,
    pub to: Terminal,
    pub function: Function,
    pub shown: Option<i64>,
}

pub struct Session {
    scenario: Rc<Scenario>,
    project: Project,
    bench: Bench,
    trace: Trace,
}

impl Session {
    pub fn new(scenario: Rc<Scenario>, _seed: u64) -> Session {
        let project = Project {
            conductors: scenario.given.iter().map(|c| (c.id.clone(), c.clone())).collect(),
            source: scenario.program.clone(),
            ..Project::default()
        };
        let plan =
            Plan { parts: scenario.parts.clone(), conductors: scenario.given.clone(), ..Plan::default() };
        let bench = Bench::new(plan).expect("the stand-in's plan can be built");
        let mut trace = Trace::default();
        trace.design_changed(&bench);
        Session { scenario, project, bench, trace }
    }
    pub fn bench(&self) -> &Bench {
        &self.bench
    }
    pub fn project(&self) -> &Project {
        &self.project
    }
    pub fn trace(&self) -> &Trace {
        &self.trace
    }
    pub fn acts(&self) -> usize {
        0
    }
    pub fn tick(&self) -> u64 {
        self.bench.tick()
    }
    pub fn bench_act(&mut self, act: BenchAct) -> Result<(), String> {
        self.bench.act(act)
    }
    pub fn next_conductor_id(&self) -> String {
        format!("L{}", self.project.conductors.len())
    }
    pub fn change(&mut self, change: Change) -> Result<(), String> {
        match change {
            Change::Add(conductor) => drop(self.project.conductors.insert(conductor.id.clone(), conductor)),
            Change::Remove(conductor) => drop(self.project.conductors.remove(&conductor.id)),
            Change::Alter { before, after } => {
                self.project.conductors.remove(&before.id);
                self.project.conductors.insert(after.id.clone(), after);
            }
            Change::Program { inserted, .. } => self.project.source = inserted,
            Change::Dial { part, after_ma, .. } => {
                self.project.dials.insert(part, after_ma);
            }
        }
        let plan = Plan {
            conductors: self.project.conductors.values().cloned().collect(),
            ..self.bench.plan().clone()
        };
        self.bench.replan(plan).map_err(|e| e.to_string())?;
        self.trace.design_changed(&self.bench);
        Ok(())
    }
    pub fn set_source(&mut self, source: &str) -> Result<(), String> {
        self.project.source = source.into();
        Ok(())
    }
    pub fn undoable(&self) -> Option<u32> {
        None
    }
    pub fn undo(&mut self) -> Result<(), String> {
        Ok(())
    }
    pub fn redoable(&self) -> Option<u32> {
        None
    }
    pub fn redo(&mut self) -> Result<(), String> {
        Ok(())
    }
    pub fn seek(&mut self, _entry: u32, _tick: u64) -> Result<(), String> {
        Ok(())
    }
    pub fn entry_before(&self, _tick: u64) -> Option<u32> {
        None
    }
    pub fn transfer(&mut self, cold: bool) -> Result<(), Vec<sealin_ladder::Diagnostic>> {
        let program = sealin_ladder::parse(&self.project.source)?;
        let plan = Plan { program: Some(program), ..self.bench.plan().clone() };
        let _ = self.bench.replan(plan);
        if cold {
            self.bench.cold_restart();
        }
        self.trace.design_changed(&self.bench);
        self.project.transferred = self.project.source.clone();
        Ok(())
    }
    pub fn reading(&mut self, _: Reading) -> Result<(), String> {
        Ok(())
    }
    pub fn advance(&mut self, ticks: u64) -> u64 {
        let trace = &mut self.trace;
        self.bench.run_until(self.bench.tick() + ticks, &mut |bench, tick, events| {
            trace.take(bench, tick, &events);
        });
        ticks
    }
}
