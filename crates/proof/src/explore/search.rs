//! Breadth-first search by quanta over plant, program and monitors.

use super::control::default_free;
use super::judge::{Judge, Judged};
use super::plant::{Demoted, Edge, Plant, To};
use super::program::Program;
use super::replay::{Counterexample, Replay, replay};
use crate::expr::{Verdict, grid_ms};
use rustc_hash::FxHashMap;
use sealin_core::step::{End, Harm, design_outside, free_act, outside};
use sealin_core::{BenchAct, Design, Fault, Plan};
use std::rc::Rc;

/// Most states that are explored where a scenario says nothing else.
pub const DEFAULT_MAX_STATES: u64 = 20_000_000;

/// States between two calls of the progress function.
const PROGRESS_STATES: usize = 4096;

/// What is to be found out.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// The bench, with program.
    pub plan: &'a Plan,
    /// What must hold; empty: only that nothing is damaged.
    pub required: &'a [Verdict],
    /// What may be taken for granted of what moves.
    pub assumed: &'a [Verdict],
    /// What moves by itself; none: what [`default_free`] says.
    pub free: Option<&'a [String]>,
    /// What goes wrong, at any grid instant, that of power on included, and for good; or never.
    pub fault: Option<&'a Fault>,
    /// Most states.
    pub max_states: u64,
}

/// How far an exploration has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// States found.
    pub states: u64,
    /// Of them, looked at.
    pub done: u64,
    /// Quanta from the start.
    pub quanta: u32,
}

/// What was found out.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// Every state was explored, and nothing is broken.
    Proven,
    /// As proven, but what it speaks of never came to be; without a fault only.
    NeverExercised,
    /// Broken, by this shortest path.
    Broken(Box<Counterexample>),
    /// The limit of states was reached.
    Undecided,
    /// Outside what is explored, and why.
    NotProvable(String),
    /// Stopped from outside.
    NotComputed,
}

/// An answer and what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// The answer.
    pub answer: Answer,
    /// States explored: of plant, program and monitors together.
    pub states: u64,
    /// States of the plant among them.
    pub plants: u64,
    /// Steps of the plant, kept once.
    pub steps: u64,
    /// Bits that a state needs.
    pub bits: u32,
    /// Bytes that a state takes.
    pub bytes: u32,
    /// Quanta that the search went deep.
    pub quanta: u32,
    /// What moved.
    pub free: Vec<String>,
    /// Of it, what was moved once a quantum only, as it reaches nothing but an input channel of its own.
    pub merged: Vec<String>,
}

impl Report {
    /// An answer with nothing explored.
    pub(super) fn new(answer: Answer) -> Report {
        Report {
            answer,
            states: 0,
            plants: 0,
            steps: 0,
            bits: 0,
            bytes: size_of::<(Found, u32)>() as u32,
            quanta: 0,
            free: Vec::new(),
            merged: Vec::new(),
        }
    }
}

/// A state, with the one by which it was first reached.
#[derive(Clone, Copy)]
pub(super) struct Found {
    pub(super) plant: u32,
    pub(super) program: u32,
    memory: u32,
    by: u32,
    actions: u16,
}

/// What breaks, from which state, by which edge.
struct Breaking {
    from: u32,
    edge: Edge,
    actions: u32,
    what: What,
}

pub(super) enum What {
    Formula(u8, u8),
    Harm(Harm, u8),
}

/// Explores, and plays what breaks again on the whole bench.
pub fn ask(question: &Question, progress: &mut dyn FnMut(Progress) -> bool) -> (Report, Option<Replay>) {
    let report = explore(question, progress);
    let played = match &report.answer {
        Answer::Broken(path) => Some(replay(question, path)),
        _ => None,
    };
    (report, played)
}

/// Explores. `progress` is called every few thousand states; it ends the exploration by `false`.
pub fn explore(question: &Question, progress: &mut dyn FnMut(Progress) -> bool) -> Report {
    let mut report = Report::new(Answer::NotComputed);
    match Exploration::new(question) {
        Ok(mut exploration) => {
            report.answer = exploration.answer(question, progress);
            exploration.tell(&mut report);
        }
        Err(why) => report.answer = Answer::NotProvable(why),
    }
    report
}

pub(super) struct Exploration {
    pub(super) plant: Plant,
    pub(super) program: Program,
    judge: Judge,
    pub(super) found: Vec<Found>,
    known: FxHashMap<(u32, u32, u32), u32>,
    layers: u32,
}

impl Exploration {
    pub(super) fn new(question: &Question) -> Result<Exploration, String> {
        let full = Design::build(question.plan).map_err(|e| e.to_string())?;
        if let Some(why) = design_outside(&full) {
            return Err(why);
        }
        let bare = Plan { program: None, ..question.plan.clone() };
        let design = Rc::new(Design::build(&bare).map_err(|e| e.to_string())?);
        let period = grid_ms(&design);
        let judge = Judge::new(question.required, question.assumed, &design)?;
        let signals = judge.signals().to_vec();
        if let Some((n, why)) = signals.iter().find_map(|&n| Some((n, outside(&design, n)?))) {
            return Err(format!("{}: {why}", design.signals[n].name));
        }
        let free = question.free.map_or_else(|| default_free(&design), <[String]>::to_vec);
        let struck = question.fault.map(|fault| struck(&bare, fault, &design)).transpose()?;
        let plant = Plant::new(design, struck, &free, signals, period)?;
        let program = Program::new(full.compiled().clone());
        Ok(Exploration { plant, program, judge, found: Vec::new(), known: FxHashMap::default(), layers: 0 })
    }

    pub(super) fn tell(&self, report: &mut Report) {
        let (plants, steps) = self.plant.size();
        report.states = self.found.len() as u64;
        report.plants = plants as u64;
        report.steps = steps as u64;
        report.bits = self.plant.design.discrete_bits() + self.program.bits() + self.judge.bits();
        report.quanta = self.layers;
        let names = self.plant.movers.iter().map(|m| m.name.clone());
        report.free = names.clone().collect();
        report.merged =
            names.zip(&self.plant.merged).filter(|(_, merged)| **merged).map(|(name, _)| name).collect();
    }

    pub(super) fn answer(
        &mut self,
        question: &Question,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Answer {
        loop {
            match self.search(question, progress) {
                Ok(answer) => return answer,
                // A merging was wrong: all over again, without it.
                Err(Demoted) => {
                    self.plant.start_again();
                    self.found.clear();
                    self.known.clear();
                }
            }
        }
    }

    fn search(
        &mut self,
        question: &Question,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Answer, Demoted> {
        let start = self.start();
        self.add(start, 0, 0, 0);
        let mut layer = 0..1usize;
        self.layers = 0;
        while !layer.is_empty() {
            let mut best: Option<Breaking> = None;
            for index in layer.clone() {
                if index.is_multiple_of(PROGRESS_STATES) {
                    let now =
                        Progress { states: self.found.len() as u64, done: index as u64, quanta: self.layers };
                    if !progress(now) {
                        return Ok(Answer::NotComputed);
                    }
                }
                if let Some(outside) = self.expand(index, layer.end, &mut best)? {
                    return Ok(Answer::NotProvable(outside));
                }
                if self.found.len() as u64 > question.max_states {
                    return Ok(Answer::Undecided);
                }
            }
            self.layers += 1;
            if let Some(breaking) = best {
                let path = self.counterexample(&breaking)?;
                return Ok(Answer::Broken(Box::new(path)));
            }
            layer = layer.end..self.found.len();
        }
        Ok(if question.fault.is_some() || self.judge.all_tested() {
            Answer::Proven
        } else {
            Answer::NeverExercised
        })
    }

    /// Plant, program and monitors when power comes on.
    fn start(&mut self) -> (u32, u32, u32) {
        let mut state = self.plant.design.initial_state();
        free_act(&self.plant.design, &mut state, &BenchAct::Power(true));
        (self.plant.number(&mut state, false), self.program.start(), self.judge.start())
    }

    /// Takes a state up, or a path with fewer acts to one that was found in this layer.
    fn add(&mut self, (plant, program, memory): (u32, u32, u32), by: u32, actions: u16, layer_end: usize) {
        match self.known.get(&(plant, program, memory)) {
            None => {
                self.known.insert((plant, program, memory), self.found.len() as u32);
                self.found.push(Found { plant, program, memory, by, actions });
            }
            Some(&index) => {
                let found = &mut self.found[index as usize];
                if index as usize >= layer_end && actions < found.actions {
                    (found.by, found.actions) = (by, actions);
                }
            }
        }
    }

    /// Every state that follows one. Gives what is outside the model if that is met.
    fn expand(
        &mut self,
        index: usize,
        layer_end: usize,
        best: &mut Option<Breaking>,
    ) -> Result<Option<String>, Demoted> {
        let Found { plant, program, memory, actions, .. } = self.found[index];
        let edges = self.plant.edges(plant, self.program.image(program))?;
        for edge in edges.iter() {
            let word = self.plant.word(edge.word);
            let ticks = match edge.to {
                To::Plant(_) => self.plant.period,
                // The tick of the damage itself is not judged.
                To::End(_, tick) => u32::from(tick),
            };
            let total = u32::from(actions) + u32::from(edge.actions);
            let judged = self.judge.judge(memory, edge.word, word, ticks);
            let what = match (judged, edge.to) {
                (Judged::Unassumed, _) => continue,
                (Judged::Broken(formula, tick), _) => What::Formula(formula, tick),
                (Judged::Kept(memory), To::Plant(to)) => {
                    let label = self.plant.label(edge.label);
                    let program = self.program.follow(program, edge.label, label);
                    self.add(
                        (to, program, memory),
                        index as u32,
                        total.min(u16::MAX.into()) as u16,
                        layer_end,
                    );
                    continue;
                }
                (Judged::Kept(_), To::End(end, tick)) => match self.plant.end(end) {
                    End::Outside(why) => return Ok(Some(why.clone())),
                    // Of a requirement with formulas the path ends here; what does harm is a question of its own.
                    End::Harm(_) if self.judge.has_formulas() => continue,
                    End::Harm(harm) => What::Harm(harm.clone(), tick),
                },
            };
            if best.as_ref().is_none_or(|best| total < best.actions) {
                *best = Some(Breaking { from: index as u32, edge: *edge, actions: total, what });
            }
        }
        Ok(None)
    }

    fn counterexample(&mut self, breaking: &Breaking) -> Result<Counterexample, Demoted> {
        let mut chain = vec![breaking.from];
        while chain.last() != Some(&0) {
            let last = chain[chain.len() - 1];
            chain.push(self.found[last as usize].by);
        }
        chain.reverse();
        let mut ticks = Vec::new();
        let mut boundaries = Vec::new();
        for pair in chain.windows(2) {
            let (from, to) = (self.found[pair[0] as usize], self.found[pair[1] as usize]);
            let edge = self.edge_between(from, to)?;
            ticks.extend(self.plant.path(from.plant, self.program.image(from.program), &edge)?);
            boundaries.push(*self.plant.packed(to.plant));
        }
        let from = self.found[breaking.from as usize];
        ticks.extend(self.plant.path(from.plant, self.program.image(from.program), &breaking.edge)?);
        let first = u64::from(self.plant.period) * boundaries.len() as u64;
        Ok(Counterexample::new(&self.plant, ticks, boundaries, first, &breaking.what))
    }

    /// The edge with the fewest acts from one state to another.
    fn edge_between(&mut self, from: Found, to: Found) -> Result<Edge, Demoted> {
        let edges = self.plant.edges(from.plant, self.program.image(from.program))?;
        let mut best: Option<Edge> = None;
        for edge in edges.iter().filter(|edge| edge.to == To::Plant(to.plant)) {
            let word = self.plant.word(edge.word);
            let label = self.plant.label(edge.label);
            let same = self.program.follow(from.program, edge.label, label) == to.program
                && self.judge.judge(from.memory, edge.word, word, self.plant.period)
                    == Judged::Kept(to.memory);
            if same && best.is_none_or(|best| edge.actions < best.actions) {
                best = Some(*edge);
            }
        }
        Ok(best.expect("a state follows the one it was reached by"))
    }
}

/// A fault, and the design with it. The error says why it cannot be explored.
fn struck(bare: &Plan, fault: &Fault, healthy: &Design) -> Result<(Fault, Rc<Design>), String> {
    fault.fits(&healthy.parts, &healthy.conductors)?;
    let mut plan = bare.clone();
    plan.faults.insert(fault.clone());
    let design = Design::build(&plan).map_err(|e| e.to_string())?;
    if let Some(why) = design_outside(&design) {
        return Err(why);
    }
    let names = |design: &Design| design.signals.iter().map(|s| s.name.clone()).collect::<Vec<_>>();
    if names(&design) != names(healthy) {
        return Err(format!("with `{fault}` there are other signals"));
    }
    Ok((fault.clone(), Rc::new(design)))
}
