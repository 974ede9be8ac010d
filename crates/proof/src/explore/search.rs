//! Breadth-first search by quanta over plant, program and monitors.

use super::aside::AsideStates;
use super::interner::Interner;
use super::judge::{Judge, Judged};
use super::plant::{Cut, Plant};
use super::program::Program;
use super::question::{Answer, Progress, Report};
use super::rigs::{Rigs, product};
use super::states::{Gathered, Met, Next, States, lanes};
use super::step::Step;
use super::trail::Spot;
use super::ways::{Course, Edges, Quantum, Ways};
use rustc_hash::FxHashSet;
use sealin_core::step::{End, free_act};
use sealin_core::{BenchAct, Design, Fault};
use std::ops::Range;
use std::rc::Rc;

/// States between two calls of the progress function.
const PROGRESS_STATES: u64 = 4096;

/// What is shown of a state that was met.
pub(super) type Shown<'a> = &'a mut dyn FnMut(&Plant, (u32, AsideStates, u64), Option<&[Step]>);

/// How the exploration without a fault has ended, after so many quanta.
struct Healthy {
    ended: Ended,
    quanta: u32,
}

enum Ended {
    Whole,
    /// By this break, in so many acts.
    Broken(Answer, u32),
    Outside(String),
    Undecided,
    Stopped,
    /// This mover cannot be looked at apart.
    Demoted(usize),
}

/// How a layer has ended, if nothing ends the exploration.
enum Layer {
    Whole,
    /// Something breaks in it.
    Broken,
}

/// What follows from a state besides other states.
#[derive(Clone, Copy, Default)]
pub(super) struct Besides {
    /// Something breaks.
    pub breaks: bool,
    /// An end, by number, which is outside the model.
    pub leaves: Option<u32>,
}

/// A bench and a requirement, with all that has been found out about them. What is there without a fault is explored once, and is
/// where every fault strikes.
///
/// Of two, the first is without the fault and the second with it.
pub(super) struct Exploration {
    pub plant: Plant,
    pub program: Program,
    pub judge: Judge,
    pub rigs: Rigs,
    courses: Interner<Course>,
    /// By quantum.
    edges: [Edges; 3],
    /// While the fault is not there, and while it is.
    ways: [Ways; 2],
    pub states: [States; 2],
    /// The states of each layer that were looked at.
    pub layers: [Vec<Vec<Met>>; 2],
    /// Those of the next layer without a fault, which an end came before.
    ahead: Vec<Met>,
    /// What follows from the state that is looked at.
    pub next: Vec<Next>,
    /// Of that, what goes with one course of the plant: program, monitors, which states of devices apart, and lanes.
    beside: Vec<(u32, u32, u32, u64)>,
    gathered: Gathered,
    healthy: Option<Healthy>,
    tested: bool,
    quanta: u32,
    /// States looked at.
    done: u64,
    max_states: u64,
}

impl Exploration {
    pub fn new(plant: Plant, program: Program, judge: Judge, max_states: u64) -> Exploration {
        Exploration {
            rigs: Rigs::new(!plant.apart.is_empty()),
            plant,
            program,
            judge,
            courses: Interner::new(),
            edges: Default::default(),
            ways: Default::default(),
            states: [States::new(), States::new()],
            layers: Default::default(),
            ahead: Vec::new(),
            next: Vec::new(),
            beside: Vec::new(),
            gathered: Gathered::new(),
            healthy: None,
            tested: false,
            quanta: 0,
            done: 0,
            max_states,
        }
    }

    pub fn tell(&self, report: &mut Report) {
        let (plants, steps) = self.plant.size();
        report.states = self.count();
        report.plants = plants as u64;
        report.steps = steps as u64;
        report.bits = self.plant.design().discrete_bits() + self.program.bits() + self.judge.bits();
        report.bytes = (self.bytes() as u64).div_ceil(report.states.max(1)) as u32;
        report.quanta = self.quanta;
        report.free = self.plant.movers.iter().map(|m| m.name.clone()).collect();
        report.marginal = self.plant.marginals();
        let merged = self.plant.apart.iter().filter(|apart| apart.merged);
        report.merged = merged.map(|apart| self.plant.movers[apart.mover].name.clone()).collect();
    }

    /// States that were met.
    fn count(&self) -> u64 {
        self.states.iter().map(States::count).sum()
    }

    /// Bytes that all states take: themselves, in which layer they are, and what they are made of, by number.
    fn bytes(&self) -> usize {
        let layers = self.layers.iter().flatten().chain([&self.ahead]);
        let layers: usize = layers.map(|layer| layer.capacity() * size_of::<Met>()).sum();
        let states: usize = self.states.iter().map(States::bytes).sum();
        states + layers + self.rigs.bytes() + self.program.bytes() + self.judge.bytes()
    }

    /// Bytes that all that was found out takes, roughly.
    #[cfg(feature = "under-test")]
    pub fn footprint(&self) -> usize {
        let edges: usize = self.edges.iter().map(Edges::bytes).sum();
        let ways: usize = self.ways.iter().map(Ways::bytes).sum();
        let beside = self.program.footprint() + self.judge.footprint();
        self.plant.footprint() + self.bytes() + self.courses.bytes() + edges + ways + beside
    }

    /// The answer without a fault, or where this one may strike. The error is a mover that cannot be looked at apart.
    pub fn answer(
        &mut self,
        fault: Option<(Fault, Rc<Design>)>,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Answer, usize> {
        self.forget_struck();
        if self.healthy.is_none() {
            let ended = self.without_fault(progress).unwrap_or_else(|ended| ended);
            self.ahead = self.states[0].take_met();
            self.tested = self.judge.all_tested();
            self.healthy = Some(Healthy { ended, quanta: self.quanta });
        }
        let healthy = self.healthy.take().expect("explored above");
        self.quanta = healthy.quanta;
        let answer = match (&healthy.ended, fault) {
            (Ended::Demoted(mover), _) => Err(*mover),
            (Ended::Undecided, _) => Ok(Answer::Undecided),
            (Ended::Stopped, _) => Ok(Answer::NotComputed),
            (_, Some(fault)) => match self.with_fault(fault, &healthy.ended, progress) {
                Ok(answer) => Ok(answer),
                Err(Ended::Demoted(mover)) => Err(mover),
                Err(Ended::Outside(why)) => Ok(Answer::NotProvable(why)),
                Err(Ended::Undecided) => Ok(Answer::Undecided),
                Err(_) => Ok(Answer::NotComputed),
            },
            (Ended::Outside(why), None) => Ok(Answer::NotProvable(why.clone())),
            (Ended::Broken(answer, _), None) => Ok(answer.clone()),
            (Ended::Whole, None) if self.tested => Ok(Answer::Proven),
            (Ended::Whole, None) => Ok(Answer::NeverExercised),
        };
        // Stopped from outside, it can be begun again.
        let stopped = matches!(healthy.ended, Ended::Stopped);
        self.healthy = (!stopped).then_some(healthy);
        answer
    }

    /// Forgets what was found out where a fault has struck.
    pub fn forget_struck(&mut self) {
        self.rigs.forget_struck();
        self.states[1] = States::new();
        self.layers[1].clear();
        self.ways[1] = Ways::default();
        for quantum in [Quantum::Strikes, Quantum::Struck] {
            self.edges[quantum as usize] = Edges::default();
        }
    }

    /// Explores without a fault; how it ends comes out either way.
    fn without_fault(&mut self, progress: &mut dyn FnMut(Progress) -> bool) -> Result<Ended, Ended> {
        self.states[0] = States::new();
        self.layers[0].clear();
        (self.quanta, self.done) = (0, 0);
        let start = self.start();
        let (block, bit) = self.rigs.lane(start.plant, start.aside);
        self.states[0].add((block, start.program, start.memory), bit);
        loop {
            let layer = self.states[0].take_met();
            if layer.is_empty() {
                return Ok(Ended::Whole);
            }
            let ended = self.layer(&layer, Quantum::Sound, progress);
            self.layers[0].push(layer);
            let ended = ended?;
            self.quanta += 1;
            if let Layer::Broken = ended {
                let (answer, actions) = self.broken(false)?;
                return Ok(Ended::Broken(answer, actions));
            }
        }
    }

    /// Explores what follows on a strike of this fault, from every state without it.
    fn with_fault(
        &mut self,
        fault: (Fault, Rc<Design>),
        healthy: &Ended,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Answer, Ended> {
        self.plant.may_strike(fault);
        (self.quanta, self.done) = (0, 0);
        for depth in 0.. {
            let struck = self.states[1].take_met();
            if depth >= self.layers[0].len() && struck.is_empty() {
                return Ok(Answer::Proven);
            }
            let mut broken = false;
            if depth < self.layers[0].len() {
                let sound = std::mem::take(&mut self.layers[0][depth]);
                let ended = self.layer(&sound, Quantum::Strikes, progress);
                self.layers[0][depth] = sound;
                broken |= matches!(ended?, Layer::Broken);
            }
            let ended = self.layer(&struck, Quantum::Struck, progress);
            self.layers[1].push(struck);
            broken |= matches!(ended?, Layer::Broken);
            self.quanta += 1;
            let with = if broken { Some(self.broken(true)?) } else { None };
            // At the last layer without a fault: what ended it.
            let last = depth + 1 == self.layers[0].len();
            match (healthy, with) {
                (Ended::Outside(why), None) if last => return Ok(Answer::NotProvable(why.clone())),
                (Ended::Broken(answer, without), Some((_, with))) if last && *without <= with => {
                    return Ok(answer.clone());
                }
                (Ended::Broken(answer, _), None) if last => return Ok(answer.clone()),
                (_, Some((answer, _))) => return Ok(answer),
                (_, None) => {}
            }
        }
        unreachable!("a layer is empty at last, as there are no more states than fit in memory")
    }

    /// Bench, program and monitors when power comes on.
    pub fn start(&mut self) -> Spot {
        let mut state = self.plant.initial_state();
        free_act(self.plant.design(), &mut state, &BenchAct::Power(true));
        let asides = self.plant.asides(&state);
        let plant = self.plant.number(&mut state, false);
        let aside = self.rigs.aside(asides);
        Spot { plant, aside, program: self.program.start(), memory: self.judge.start() }
    }

    /// Takes up every state that follows those of a layer.
    fn layer(
        &mut self,
        layer: &[Met],
        quantum: Quantum,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Layer, Ended> {
        let mut broken = false;
        for met in layer {
            let before = self.done;
            self.done += u64::from(met.bits().count_ones());
            if before == 0 || before / PROGRESS_STATES != self.done / PROGRESS_STATES {
                let now = Progress { states: self.count(), done: before, quanta: self.quanta };
                if !progress(now) {
                    return Err(Ended::Stopped);
                }
            }
            broken |= self.expand(met, quantum)?;
            if self.count() > self.max_states {
                return Err(Ended::Undecided);
            }
        }
        Ok(if broken { Layer::Broken } else { Layer::Whole })
    }

    /// Takes up every state that follows some of one entry. Gives whether something breaks.
    fn expand(&mut self, met: &Met, quantum: Quantum) -> Result<bool, Ended> {
        let entry = *self.states[quantum.from()].entry(met.entry);
        let mut broken = Ok(false);
        for lane in lanes(met.bits()) {
            let (plant, aside) = self.rigs.rig(quantum.from(), entry.block, lane);
            let spot = Spot { plant, aside, program: entry.program, memory: entry.memory };
            let breaks = self.gather(&spot, quantum);
            broken = broken.and_then(|before| breaks.map(|breaks| before | breaks));
            if broken.is_err() {
                break;
            }
        }
        // However it ends, as what is gathered is of these states.
        self.gathered.empty(&mut self.states[quantum.to()]);
        broken
    }

    /// Gathers every state that follows one. Gives whether something breaks.
    fn gather(&mut self, spot: &Spot, quantum: Quantum) -> Result<bool, Ended> {
        let besides = self.follow(spot, quantum)?;
        for next in &self.next {
            self.gathered.put(next, &mut self.states[quantum.to()]);
        }
        match besides.leaves.map(|end| self.plant.end(end)) {
            Some(End::Outside(why)) => Err(Ended::Outside(why.clone())),
            _ => Ok(besides.breaks),
        }
    }

    /// Puts every state that follows one into [`Exploration::next`]. Gives what follows besides.
    pub fn follow(&mut self, spot: &Spot, quantum: Quantum) -> Result<Besides, Cut> {
        self.next.clear();
        let mut besides = Besides::default();
        for group in self.edges_from(spot, quantum)? {
            let group = self.edges[quantum as usize].group(group);
            self.beside.clear();
            for way in self.ways_of(group.course, spot.aside, group.there) {
                let way = self.ways[usize::from(group.there)].way(way);
                match (self.judge.judge(spot.memory, way.view), way.end) {
                    (Judged::Unassumed, _) => {}
                    (Judged::Broken(..), _) => besides.breaks = true,
                    (Judged::Kept(memory), None) => {
                        let program = self.program.follow(spot.program, way.label, &self.plant);
                        for &(asides, lanes) in self.ways[usize::from(group.there)].lanes(way.lanes) {
                            let same =
                                |b: &&mut (u32, u32, u32, u64)| (b.0, b.1, b.2) == (program, memory, asides);
                            match self.beside.iter_mut().rev().find(same) {
                                Some(beside) => beside.3 |= lanes,
                                None => self.beside.push((program, memory, asides, lanes)),
                            }
                        }
                    }
                    (Judged::Kept(_), Some(end)) => match self.plant.end(end) {
                        End::Outside(_) => besides.leaves = Some(end),
                        // Of a requirement with formulas the path ends here; what does harm is a question of its own.
                        End::Harm(_) => besides.breaks |= !self.judge.has_formulas(),
                    },
                }
            }
            for &(plants, bits) in self.edges[quantum as usize].plants(group.plants) {
                for &(program, memory, asides, lanes) in &self.beside {
                    let block = self.rigs.block(quantum.to(), plants, asides);
                    self.next.push(Next { key: (block, program, memory), bits: product(bits, lanes) });
                }
            }
        }
        Ok(besides)
    }

    /// The edges of the plant from a state, by course.
    #[inline]
    fn edges_from(&mut self, spot: &Spot, quantum: Quantum) -> Result<Range<u32>, Cut> {
        let (number, image) = self.program.image(spot.program);
        let edges = &mut self.edges[quantum as usize];
        match edges.known(spot.plant, number) {
            Some(groups) => Ok(groups),
            None => {
                let with = (&mut self.plant, &mut self.rigs);
                edges.find((spot.plant, number, image), quantum, &mut self.courses, with)
            }
        }
    }

    /// The ways of a course beside states of devices apart.
    #[inline]
    fn ways_of(&mut self, course: u32, aside: u32, there: bool) -> Range<u32> {
        let ways = &mut self.ways[usize::from(there)];
        match ways.known(course, aside) {
            Some(ways) => ways,
            None => {
                let value = *self.courses.value(course);
                let with = (&mut self.plant, &mut self.judge);
                ways.find((value, course), aside, there, &mut self.rigs, with)
            }
        }
    }

    /// The shortest path to a break in the last layer, with the number of its acts.
    fn broken(&mut self, with_fault: bool) -> Result<(Answer, u32), Cut> {
        let breaking = self.shortest(with_fault)?;
        let path = self.counterexample(&breaking)?;
        Ok((Answer::Broken(Box::new(path)), breaking.actions))
    }

    /// Every state of the bench with the output image that it was met with without a fault, once each, and the steps from it if it
    /// was looked at.
    pub fn each_met(&mut self, show: Shown) {
        let mut shown: FxHashSet<(u32, u32, u32)> = FxHashSet::default();
        let layers = std::mem::take(&mut self.layers[0]);
        let ahead = std::mem::take(&mut self.ahead);
        let looked_at = layers.iter().flatten().map(|met| (met, true));
        for (met, looked_at) in looked_at.chain(ahead.iter().map(|met| (met, false))) {
            let entry = *self.states[0].entry(met.entry);
            let (number, image) = self.program.image(entry.program);
            for lane in lanes(met.bits()) {
                let (plant, aside) = self.rigs.rig(0, entry.block, lane);
                if !shown.insert((plant, aside, number)) {
                    continue;
                }
                let asides = self.rigs.asides(aside);
                let steps =
                    if looked_at { self.plant.steps((plant, asides), image, false).ok() } else { None };
                show(&self.plant, (plant, asides, image), steps.as_deref());
            }
        }
        (self.layers[0], self.ahead) = (layers, ahead);
    }
}

impl From<Cut> for Ended {
    fn from(cut: Cut) -> Ended {
        match cut {
            Cut::Demoted(mover) => Ended::Demoted(mover),
            Cut::TooMany => Ended::Undecided,
        }
    }
}
