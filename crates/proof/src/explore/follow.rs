//! A run of the whole bench, followed quantum by quantum through the relation of an exploration. For tests.
//!
//! The bench is asked for its state, its images and what its monitors remember; nothing that the exploration computes goes into
//! the run. Of a device that is merged only what is sampled of it is compared: that each of its sequences of samples is caused by a
//! move at the one tick too is what the merging rests on, and so several states of it are followed at once.

use super::aside::AsideStates;
use super::control::Mover;
use super::judge::Judged;
use super::plant::{Cut, Edge, To, aside_number};
use super::presence::Presence;
use super::search::Exploration;
use super::states::{Next, lanes};
use super::step::Beside;
use super::trail::Spot;
use super::ways;
use crate::expr::Memory;
use rustc_hash::FxHashSet;
use sealin_core::discrete::Packed;
use sealin_core::state::ControllerState;
use sealin_core::step::End;
use sealin_core::{Bench, BenchAct};

/// A quantum of a run, as the bench has gone through it.
pub struct Quantum<'a> {
    /// The bench after its last tick.
    pub bench: &'a Bench,
    /// The signals of [`Follower::signals`] after each tick, one bit each from bit 0 on; of fewer ticks where the run ended.
    pub ticks: &'a [u64],
    /// The input image after its first tick, if the program was run in it.
    pub scanned: Option<u64>,
    /// What the monitors of the formulas, required and then assumed, remember after it.
    pub memories: &'a [Memory],
    /// The tick at which the bench first showed harm.
    pub harmed: Option<u32>,
}

/// What the exploration makes of a quantum.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Followed {
    /// It knows it, and the run goes on.
    On,
    /// A required formula, by its number, is broken at this tick of the quantum.
    Broken(usize, u32),
    /// What is assumed is not so: the run does not count any more.
    Unassumed,
    /// It ends in harm there, as the bench does.
    Harm,
    /// It reaches from here what is outside of the model: nothing is claimed.
    Outside(String),
    /// It would go by more ways from here than are followed: nothing is claimed.
    TooMany,
    /// This mover cannot be looked at apart: [`super::Explorer::deny`] it, and begin anew.
    Demoted(usize),
}

/// A state that was met at a grid instant: the discrete half of the bench, what the monitors remember, and whether the fault is there.
pub type Boundary = (Packed, Vec<Memory>, bool);

/// Where a run is in an exploration.
pub struct Follower<'e> {
    exploration: &'e mut Exploration,
    plant: u32,
    program: u32,
    memory: u32,
    asides: Vec<AsideStates>,
}

/// What follows, or what the exploration does not know.
type Known = Result<Result<Followed, String>, Cut>;

impl<'e> Follower<'e> {
    pub(super) fn new(exploration: &'e mut Exploration) -> Follower<'e> {
        let Spot { plant, aside, program, memory } = exploration.start();
        let asides = vec![exploration.rigs.asides(aside)];
        Follower { exploration, plant, program, memory, asides }
    }

    /// Ticks of a quantum.
    pub fn period(&self) -> u32 {
        self.exploration.plant.period
    }

    /// Names of the signals of [`Quantum::ticks`], in their order.
    pub fn signals(&self) -> Vec<String> {
        let plant = &self.exploration.plant;
        plant.signals.iter().map(|&n| plant.design().signals[n].name.clone()).collect()
    }

    /// What moves: its name, and the act that brings it to each of its levels.
    pub fn movers(&self) -> Vec<(String, Vec<BenchAct>)> {
        let acts = |m: &Mover| (0..m.levels()).map(|k| m.act(k).clone()).collect();
        self.exploration.plant.movers.iter().map(|m| (m.name.clone(), acts(m))).collect()
    }

    /// Bytes that all that was found out takes, roughly.
    pub fn bytes(&self) -> usize {
        self.exploration.footprint()
    }

    /// Goes on by a quantum.
    ///
    /// # Errors
    /// What the bench has done that the exploration does not know.
    pub fn follow(&mut self, quantum: &Quantum) -> Result<Followed, String> {
        self.follow_on(quantum).unwrap_or_else(|cut| {
            Ok(match cut {
                Cut::Demoted(mover) => Followed::Demoted(mover),
                Cut::TooMany => Followed::TooMany,
            })
        })
    }

    fn follow_on(&mut self, quantum: &Quantum) -> Known {
        let image = self.exploration.program.image(self.program).1;
        let edges = self.exploration.plant.edges(self.plant, image, presence(quantum.bench))?;
        let outside = edges.iter().find_map(|edge| match edge.to {
            To::End(end, _) => match self.exploration.plant.end(end) {
                End::Outside(why) => Some(why.clone()),
                End::Harm(_) => None,
            },
            To::Plant(_) => None,
        });
        if let Some(why) = outside {
            return Ok(Ok(Followed::Outside(why)));
        }
        let (word, ticks) = (self.word(quantum.ticks), quantum.ticks.len() as u32);
        let view = self.exploration.judge.view(word, ticks);
        let ended = match self.exploration.judge.judge(self.memory, view) {
            Judged::Broken(formula, tick) => Some(Followed::Broken(formula.into(), tick.into())),
            Judged::Unassumed => Some(Followed::Unassumed),
            Judged::Kept(memory) => {
                let known = self.exploration.judge.memories(memory);
                if known != quantum.memories {
                    return Ok(Err(format!("the monitors remember {:?}, here {known:?}", quantum.memories)));
                }
                if quantum.harmed.is_none() {
                    return self.goes(quantum, &edges, Some(memory));
                }
                None
            }
        };
        let went = if quantum.harmed.is_some() {
            self.ends(quantum, &edges)
        } else {
            self.goes(quantum, &edges, None)?
        };
        Ok(went.map(|went| ended.unwrap_or(went)))
    }

    fn word(&self, ticks: &[u64]) -> u128 {
        let width = self.exploration.plant.signals.len();
        ticks.iter().enumerate().fold(0, |word, (tick, bits)| word | u128::from(*bits) << (tick * width))
    }

    /// A quantum that ends in harm: there is a way that ends so at the same tick, and looks the same until then.
    fn ends(&mut self, quantum: &Quantum, edges: &[Edge]) -> Result<Followed, String> {
        let (width, harmed) = (self.exploration.plant.signals.len(), quantum.harmed.unwrap_or(0));
        let seen = self.word(quantum.ticks);
        let mask = (1u128 << (harmed as usize * width)) - 1;
        let same =
            edges.iter().filter(|edge| matches!(edge.to, To::End(_, tick) if u32::from(tick) == harmed));
        for edge in same {
            let word = self.exploration.plant.word(edge.word);
            for &asides in &self.asides {
                let all = self.exploration.plant.besides(asides, edge.stream, edge.presence.is_there());
                if all.iter().any(|beside| beside.seen(word) & mask == seen) {
                    return Ok(Followed::Harm);
                }
            }
        }
        Err(format!("no way ends in harm at tick {harmed} of the quantum"))
    }

    /// A quantum at whose end the run goes on, if the monitors do.
    fn goes(&mut self, quantum: &Quantum, edges: &[Edge], memory: Option<u32>) -> Known {
        let (bench, word) = (quantum.bench, self.word(quantum.ticks));
        let mut state = bench.state.clone();
        let plant = &mut self.exploration.plant;
        let wanted = plant.asides(&state);
        plant.free_times(&mut state);
        plant.apart.iter().for_each(|apart| apart.aside.take_out(&mut state));
        let packed: Packed = bench.design.pack(&mut state);
        let leads =
            |edge: &&Edge| matches!(edge.to, To::Plant(to) if plant.packed_by(&bench.design, to) == packed);
        let leads: Vec<Edge> = edges.iter().filter(leads).copied().collect();
        // What was found of the bench on some way: its signals, its input image, its program's memory.
        let (mut to, mut seen) = (Vec::new(), [false; 3]);
        for (&asides, edge) in
            self.asides.iter().flat_map(|asides| leads.iter().map(move |edge| (asides, edge)))
        {
            let plant = &mut self.exploration.plant;
            for beside in plant.besides(asides, edge.stream, edge.presence.is_there()) {
                let merged = |k: usize| plant.apart[k].merged;
                let same = |k: usize| aside_number(beside.asides, k) == aside_number(wanted, k);
                if !(0..plant.apart.len()).all(|k| merged(k) || same(k)) {
                    continue;
                }
                let label = plant.label_with(edge.label, beside.sampled);
                let program = self.exploration.program.follow(self.program, label, plant);
                let known = |c: &ControllerState| self.exploration.program.is(program, &c.memory, c.result);
                let same = [
                    beside.seen(plant.word(edge.word)) == word,
                    plant.label(label).scanned == quantum.scanned,
                    bench.state.controllers.first().is_none_or(known),
                ];
                seen = [0, 1, 2].map(|k| seen[k] || same[k]);
                if same == [true; 3] {
                    to.push((asides, edge.to, program, beside));
                }
            }
        }
        let Some(&(_, To::Plant(plant), program, _)) = to.first() else {
            return Ok(Err(missing(edges.len(), leads.is_empty(), seen)));
        };
        let Some(memory) = memory else { return Ok(Ok(Followed::On)) };
        let ways: Vec<(AsideStates, Beside)> =
            to.into_iter().map(|(from, .., beside)| (from, beside)).collect();
        if !self.searched(quantum, (plant, program, memory), &ways)? {
            return Ok(Err("the search does not go on to this state".to_string()));
        }
        (self.plant, self.program, self.memory) = (plant, program, memory);
        self.asides = ways.into_iter().map(|(_, beside)| beside.asides).collect();
        self.asides.sort_unstable();
        self.asides.dedup();
        Ok(Ok(Followed::On))
    }

    /// Whether the search itself goes from where the run is to all of these.
    fn searched(
        &mut self,
        quantum: &Quantum,
        (plant, program, memory): (u32, u32, u32),
        ways: &[(AsideStates, Beside)],
    ) -> Result<bool, Cut> {
        let struck = |there: bool, before: bool| match (there, before) {
            (false, _) => ways::Quantum::Sound,
            (true, false) => ways::Quantum::Strikes,
            (true, true) => ways::Quantum::Struck,
        };
        let has_struck = presence(quantum.bench).has_struck();
        let how = struck(has_struck, super::plant::struck(self.plant));
        for &from in &self.asides {
            let aside = self.exploration.rigs.aside(from);
            let spot = Spot { plant: self.plant, aside, program: self.program, memory: self.memory };
            self.exploration.follow(&spot, how)?;
            let rigs = &self.exploration.rigs;
            let same = |next: &&Next| (next.key.1, next.key.2) == (program, memory);
            let rig = |next: &Next| {
                lanes(next.bits).map(|lane| rigs.rig(how.to(), next.key.0, lane)).collect::<Vec<_>>()
            };
            let next: FxHashSet<(u32, u32)> =
                self.exploration.next.iter().filter(same).flat_map(rig).collect();
            for (_, beside) in ways.iter().filter(|(before, _)| *before == from) {
                let aside = self.exploration.rigs.aside(beside.asides);
                if !next.contains(&(plant, aside)) {
                    return Ok(false);
                }
            }
        }
        Ok(true)
    }
}

/// Where the fault of a bench is in the quantum that it has just gone through.
fn presence(bench: &Bench) -> Presence {
    match (bench.plan().faults.is_empty(), bench.design.faults.is_empty()) {
        (true, _) => Presence::Before,
        (false, false) => Presence::There,
        (false, true) => Presence::Away,
    }
}

/// What none of the ways has.
fn missing(from: usize, nowhere: bool, seen: [bool; 3]) -> String {
    let missing = ["these signals", "this input image", "this memory of the program"];
    let missing: Vec<&str> =
        missing.into_iter().zip(seen).filter(|(_, seen)| !seen).map(|(what, _)| what).collect();
    match (nowhere, missing.is_empty()) {
        (true, _) => format!("none of {from} ways leads to this state of the plant"),
        (_, true) => format!("none of {from} ways has signals, input image and program as seen"),
        (_, false) => format!("none of {from} ways has {}", missing.join(" nor ")),
    }
}

impl Exploration {
    /// Every state that was looked at.
    pub(super) fn boundaries(&mut self) -> Vec<Boundary> {
        let mut all = Vec::new();
        for half in 0..2 {
            let layers = std::mem::take(&mut self.layers[half]);
            for met in layers.iter().flatten() {
                let entry = *self.states[half].entry(met.entry);
                for lane in lanes(met.bits()) {
                    let (plant, aside) = self.rigs.rig(half, entry.block, lane);
                    let packed = self.plant.whole(plant, self.rigs.asides(aside));
                    all.push((packed, self.judge.memories(entry.memory), half == 1));
                }
            }
            self.layers[half] = layers;
        }
        all
    }
}
