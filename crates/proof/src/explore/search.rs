//! Breadth-first search by quanta over plant, program and monitors.

use super::aside::{AsideEdge, AsideStates};
use super::judge::{Judge, Judged};
use super::plant::{Demoted, Edge, Moves, Plant, To, aside_number, struck};
use super::program::Program;
use super::replay::Counterexample;
use crate::expr::Verdict;
use rustc_hash::FxHashMap;
use sealin_core::step::{End, Harm, free_act};
use sealin_core::{BenchAct, Design, Fault, Plan};
use std::ops::Range;
use std::rc::Rc;

/// Most states that are explored where a scenario says nothing else.
pub const DEFAULT_MAX_STATES: u64 = 20_000_000;

/// States between two calls of the progress function.
const PROGRESS_STATES: usize = 4096;

/// What is shown of a state that was met.
pub(super) type Met<'a> = &'a mut dyn FnMut(&Plant, (u32, AsideStates, u64), Option<&[Step]>);

/// What is to be found out.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// The bench, with program.
    pub plan: &'a Plan,
    /// What must hold; empty: only that nothing is damaged.
    pub required: &'a [Verdict],
    /// What may be taken for granted of what moves.
    pub assumed: &'a [Verdict],
    /// What moves by itself; none: what [`super::default_free`] says.
    pub free: Option<&'a [String]>,
    /// What goes wrong, at any grid instant, that of power on included, and for good; or never.
    pub fault: Option<&'a Fault>,
    /// Most states.
    pub max_states: u64,
}

impl<'a> Question<'a> {
    /// Without a fault, nothing taken for granted, up to [`DEFAULT_MAX_STATES`]: what must hold while these move by themselves.
    pub fn new(plan: &'a Plan, required: &'a [Verdict], free: &'a [String]) -> Question<'a> {
        Question {
            plan,
            required,
            assumed: &[],
            free: Some(free),
            fault: None,
            max_states: DEFAULT_MAX_STATES,
        }
    }
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
            bytes: size_of::<(Found, (Key, u32))>() as u32,
            quanta: 0,
            free: Vec::new(),
            merged: Vec::new(),
        }
    }
}

/// A state, with the one by which it was first reached.
#[derive(Clone, Copy)]
struct Found {
    plant: u32,
    program: u32,
    memory: u32,
    by: u32,
    asides: AsideStates,
    actions: u16,
}

/// What tells states apart.
type Key = (u32, u32, u32, AsideStates);

/// One way in which a quantum can go.
#[derive(Clone, Copy)]
pub(super) struct Step {
    pub edge: Edge,
    /// Which edge each device apart takes, 8 bits each, and where all of them go.
    by: u64,
    pub asides: AsideStates,
    pub label: u32,
    pub word: u32,
    actions: u32,
}

/// What breaks, from which state, by which step.
struct Breaking {
    from: u32,
    step: Step,
    actions: u32,
    what: What,
}

/// How the exploration without a fault has ended, after so many layers.
struct Healthy {
    ended: Ended,
    layers: u32,
}

enum Ended {
    Whole,
    Broken(Breaking),
    Outside(String),
    Undecided,
    Stopped,
    Demoted(Demoted),
}

pub(super) enum What {
    Formula(u8, u8),
    Harm(Harm, u8),
}

/// A bench and a requirement, with all that has been found out about them. What is there without a fault is explored once, and is
/// where every fault strikes.
pub(super) struct Exploration {
    pub plant: Plant,
    program: Program,
    judge: Judge,
    found: Vec<Found>,
    /// States without the fault, and with it.
    known: [FxHashMap<Key, u32>; 2],
    /// The states of each layer without a fault.
    layers: Vec<Range<usize>>,
    healthy: Option<Healthy>,
    tested: bool,
    quanta: u32,
    steps: Vec<Step>,
    max_states: u64,
}

impl Exploration {
    pub fn new(plant: Plant, program: Program, judge: Judge, max_states: u64) -> Exploration {
        Exploration {
            plant,
            program,
            judge,
            found: Vec::new(),
            known: Default::default(),
            layers: Vec::new(),
            healthy: None,
            tested: false,
            quanta: 0,
            steps: Vec::new(),
            max_states,
        }
    }

    pub fn tell(&self, report: &mut Report) {
        let (plants, steps) = self.plant.size();
        report.states = self.found.len() as u64;
        report.plants = plants as u64;
        report.steps = steps as u64;
        report.bits = self.plant.design().discrete_bits() + self.program.bits() + self.judge.bits();
        report.quanta = self.quanta;
        report.free = self.plant.movers.iter().map(|m| m.name.clone()).collect();
        let merged = self.plant.apart.iter().filter(|apart| apart.merged);
        report.merged = merged.map(|apart| self.plant.movers[apart.mover].name.clone()).collect();
    }

    /// The answer without a fault, or where this one may strike.
    pub fn answer(
        &mut self,
        fault: Option<(Fault, Rc<Design>)>,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Answer, Demoted> {
        if self.healthy.is_none() {
            let ended = self.without_fault(progress);
            self.tested = self.judge.all_tested();
            self.healthy = Some(Healthy { ended, layers: self.quanta });
        }
        self.forget_struck();
        let healthy = self.healthy.take().expect("explored above");
        let answer = match (&healthy.ended, fault) {
            (Ended::Demoted(demoted), _) => Err(*demoted),
            (Ended::Undecided, _) => Ok(Answer::Undecided),
            (Ended::Stopped, _) => Ok(Answer::NotComputed),
            (_, Some(fault)) => self.with_fault(fault, &healthy, progress),
            (Ended::Outside(why), None) => Ok(Answer::NotProvable(why.clone())),
            (Ended::Broken(breaking), None) => self.broken(breaking),
            (Ended::Whole, None) if self.tested => Ok(Answer::Proven),
            (Ended::Whole, None) => Ok(Answer::NeverExercised),
        };
        // Stopped from outside, it can be begun again.
        let stopped = matches!(healthy.ended, Ended::Stopped);
        self.healthy = (!stopped).then_some(healthy);
        answer
    }

    fn forget_struck(&mut self) {
        self.known[1].clear();
        self.found.truncate(self.known[0].len());
        self.quanta = self.healthy.as_ref().map_or(0, |healthy| healthy.layers);
    }

    fn without_fault(&mut self, progress: &mut dyn FnMut(Progress) -> bool) -> Ended {
        self.known[0].clear();
        self.found.clear();
        self.layers.clear();
        let start = self.start();
        self.add(start, 0, 0, 0);
        self.quanta = 0;
        let mut layer = 0..1usize;
        while !layer.is_empty() {
            self.layers.push(layer.clone());
            let mut best = None;
            if let Some(ended) = self.layer(layer.clone(), false, layer.end, &mut best, progress) {
                return ended;
            }
            self.quanta += 1;
            if let Some(breaking) = best {
                return Ended::Broken(breaking);
            }
            layer = layer.end..self.found.len();
        }
        Ended::Whole
    }

    /// Explores what follows on a strike of this fault, from every state without it.
    fn with_fault(
        &mut self,
        fault: (Fault, Rc<Design>),
        healthy: &Healthy,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Answer, Demoted> {
        self.plant.may_strike(fault);
        self.quanta = 0;
        let mut struck = self.found.len()..self.found.len();
        for depth in 0.. {
            let sound = self.layers.get(depth).cloned().unwrap_or_default();
            if sound.is_empty() && struck.is_empty() {
                return Ok(Answer::Proven);
            }
            let (mut best, end) = (None, self.found.len());
            for layer in [sound, struck] {
                match self.layer(layer, true, end, &mut best, progress) {
                    Some(Ended::Outside(why)) => return Ok(Answer::NotProvable(why)),
                    Some(Ended::Undecided) => return Ok(Answer::Undecided),
                    Some(Ended::Stopped) => return Ok(Answer::NotComputed),
                    Some(Ended::Demoted(demoted)) => return Err(demoted),
                    Some(Ended::Whole | Ended::Broken(_)) | None => {}
                }
            }
            self.quanta += 1;
            // At the last layer without a fault: what ended it.
            let last = depth + 1 == self.layers.len();
            match (&healthy.ended, best) {
                (Ended::Outside(why), None) if last => return Ok(Answer::NotProvable(why.clone())),
                (Ended::Broken(without), Some(with)) if last && without.actions <= with.actions => {
                    return self.broken(without);
                }
                (Ended::Broken(without), None) if last => return self.broken(without),
                (_, Some(with)) => return self.broken(&with),
                (_, None) => {}
            }
            struck = end..self.found.len();
        }
        unreachable!("a layer is empty at last, as there are no more states than fit in memory")
    }

    /// Plant, program and monitors when power comes on.
    fn start(&mut self) -> Key {
        let mut state = self.plant.design().initial_state();
        free_act(self.plant.design(), &mut state, &BenchAct::Power(true));
        (self.plant.number(&mut state, false), self.program.start(), self.judge.start(), 0)
    }

    /// Takes a state up, or a path with fewer acts to one that was found in this layer.
    fn add(&mut self, key: Key, by: u32, actions: u16, layer_end: usize) {
        let (plant, program, memory, asides) = key;
        let new = self.found.len() as u32;
        let index = *self.known[usize::from(struck(plant))].entry(key).or_insert(new);
        if index == new {
            self.found.push(Found { plant, program, memory, by, asides, actions });
            return;
        }
        let found = &mut self.found[index as usize];
        if index as usize >= layer_end && actions < found.actions {
            (found.by, found.actions) = (by, actions);
        }
    }

    /// Every state that follows those of a layer, found from `layer_end` on. Gives what ends the exploration.
    fn layer(
        &mut self,
        layer: Range<usize>,
        with_fault: bool,
        layer_end: usize,
        best: &mut Option<Breaking>,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Option<Ended> {
        for index in layer {
            if index.is_multiple_of(PROGRESS_STATES) {
                let (states, quanta) = (self.found.len() as u64, self.quanta);
                if !progress(Progress { states, done: index as u64, quanta }) {
                    return Some(Ended::Stopped);
                }
            }
            match self.expand(index, with_fault, layer_end, best) {
                Ok(None) => {}
                Ok(Some(outside)) => return Some(Ended::Outside(outside)),
                Err(demoted) => return Some(Ended::Demoted(demoted)),
            }
            if self.found.len() as u64 > self.max_states {
                return Some(Ended::Undecided);
            }
        }
        None
    }

    /// Every way in which a quantum can go from a state, into [`Exploration::steps`].
    fn list_steps(&mut self, found: &Found, with_fault: bool) -> Result<(), Demoted> {
        self.steps.clear();
        let edges = self.plant.edges(found.plant, self.program.image(found.program), with_fault)?;
        let mut lists: Vec<Rc<[AsideEdge]>> = Vec::new();
        let mut told = None;
        for &edge in edges.iter() {
            if self.plant.apart.is_empty() {
                let Edge { label, word, actions, .. } = edge;
                self.steps.push(Step { edge, by: 0, asides: 0, label, word, actions: actions.into() });
                continue;
            }
            if told != Some(edge.stream) {
                told = Some(edge.stream);
                lists.clear();
                for k in 0..self.plant.apart.len() {
                    let state = aside_number(found.asides, k);
                    lists.push(self.plant.aside_edges(k, state, edge.stream, with_fault));
                }
            }
            self.combine(edge, &lists);
        }
        Ok(())
    }

    /// An edge of the plant with every way in which the devices apart can go beside it.
    fn combine(&mut self, edge: Edge, lists: &[Rc<[AsideEdge]>]) {
        let word = self.plant.word(edge.word);
        let mut by = 0u64;
        loop {
            let (mut asides, mut sampled, mut actions) = (0, 0, u32::from(edge.actions));
            let mut all = word;
            for (k, list) in lists.iter().enumerate() {
                let aside = &list[usize::from(aside_number(by, k))];
                asides |= u64::from(aside.to) << (8 * k);
                sampled |= aside.sampled;
                actions += u32::from(aside.actions);
                all |= aside.word;
                if aside.sampled == 0 {
                    all &= !self.plant.apart[k].image;
                }
            }
            let label = self.plant.label_with(edge.label, sampled);
            let word = if all == word { edge.word } else { self.plant.word_number(all) };
            self.steps.push(Step { edge, by, asides, label, word, actions });
            // The next choice, as a number whose digits are as many as each list is long.
            let Some(k) = (0..lists.len()).find(|&k| usize::from(aside_number(by, k)) + 1 < lists[k].len())
            else {
                return;
            };
            by = ((by >> (8 * k)) + 1) << (8 * k);
        }
    }

    /// Every state that follows one. Gives what is outside the model if that is met.
    fn expand(
        &mut self,
        index: usize,
        with_fault: bool,
        layer_end: usize,
        best: &mut Option<Breaking>,
    ) -> Result<Option<String>, Demoted> {
        let found = self.found[index];
        self.list_steps(&found, with_fault)?;
        let steps = std::mem::take(&mut self.steps);
        let outside = steps.iter().find_map(|step| self.take(index as u32, &found, step, layer_end, best));
        self.steps = steps;
        Ok(outside)
    }

    /// Takes one step. Gives what is outside the model if that is met.
    fn take(
        &mut self,
        index: u32,
        found: &Found,
        step: &Step,
        layer_end: usize,
        best: &mut Option<Breaking>,
    ) -> Option<String> {
        let word = self.plant.word(step.word);
        let ticks = match step.edge.to {
            To::Plant(_) => self.plant.period,
            // The tick of the damage itself is not judged.
            To::End(_, tick) => u32::from(tick),
        };
        let total = u32::from(found.actions) + step.actions;
        let judged = self.judge.judge(found.memory, step.word, word, ticks);
        let what = match (judged, step.edge.to) {
            (Judged::Unassumed, _) => return None,
            (Judged::Broken(formula, tick), _) => What::Formula(formula, tick),
            (Judged::Kept(memory), To::Plant(to)) => {
                let label = self.plant.label(step.label);
                let program = self.program.follow(found.program, step.label, label);
                let actions = total.min(u16::MAX.into()) as u16;
                self.add((to, program, memory, step.asides), index, actions, layer_end);
                return None;
            }
            (Judged::Kept(_), To::End(end, tick)) => match self.plant.end(end) {
                End::Outside(why) => return Some(why.clone()),
                // Of a requirement with formulas the path ends here; what does harm is a question of its own.
                End::Harm(_) if self.judge.has_formulas() => return None,
                End::Harm(harm) => What::Harm(harm.clone(), tick),
            },
        };
        if best.as_ref().is_none_or(|best| total < best.actions) {
            *best = Some(Breaking { from: index, step: *step, actions: total, what });
        }
        None
    }

    fn broken(&mut self, breaking: &Breaking) -> Result<Answer, Demoted> {
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
            let step = self.step_between(&from, &to)?;
            ticks.extend(self.path(&from, &step)?);
            boundaries.push(self.plant.whole(to.plant, to.asides));
        }
        let from = self.found[breaking.from as usize];
        ticks.extend(self.path(&from, &breaking.step)?);
        let first = u64::from(self.plant.period) * boundaries.len() as u64;
        let path = Counterexample::new(&self.plant, ticks, boundaries, first, &breaking.what);
        Ok(Answer::Broken(Box::new(path)))
    }

    /// The ticks of a step.
    fn path(&mut self, from: &Found, step: &Step) -> Result<Vec<Moves>, Demoted> {
        let mut asides = Vec::new();
        for k in 0..self.plant.apart.len() {
            let state = aside_number(from.asides, k);
            let edges = self.plant.aside_edges(k, state, step.edge.stream, step.edge.struck);
            asides.push((state, edges[usize::from(aside_number(step.by, k))]));
        }
        self.plant.path(from.plant, self.program.image(from.program), &step.edge, &asides)
    }

    /// Every state that was met, as plant with devices apart and output image, whether it was looked at, and the steps from it then.
    pub fn each_met(&mut self, take: Met) {
        let looked_at = self.layers.last().map_or(0, |layer| layer.end);
        for index in 0..self.found.len() {
            let found = self.found[index];
            let at = (found.plant, found.asides, self.program.image(found.program));
            let known = index < looked_at && self.list_steps(&found, false).is_ok();
            take(&self.plant, at, known.then_some(&self.steps[..]));
        }
    }

    /// The step with the fewest acts from one state to another.
    fn step_between(&mut self, from: &Found, to: &Found) -> Result<Step, Demoted> {
        self.list_steps(from, struck(to.plant))?;
        let steps = std::mem::take(&mut self.steps);
        let mut best: Option<Step> = None;
        for step in steps.iter().filter(|s| s.edge.to == To::Plant(to.plant) && s.asides == to.asides) {
            let word = self.plant.word(step.word);
            let label = self.plant.label(step.label);
            let same = self.program.follow(from.program, step.label, label) == to.program
                && self.judge.judge(from.memory, step.word, word, self.plant.period)
                    == Judged::Kept(to.memory);
            if same && best.is_none_or(|best| step.actions < best.actions) {
                best = Some(*step);
            }
        }
        self.steps = steps;
        Ok(best.expect("a state follows the one it was reached by"))
    }
}
