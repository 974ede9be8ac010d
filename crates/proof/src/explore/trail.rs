//! The shortest path to a break, once a layer is known to have one.
//!
//! The search keeps of a state in which layer it was met, and nothing of how. From the last layer back those are found that lead to a
//! break, and from the start the paths among them alone: fewest acts, and of these the first in the order of the search.

use super::judge::Judged;
use super::plant::{Cut, Moves, To, aside_number, struck};
use super::replay::Counterexample;
use super::search::Exploration;
use super::states::{Next, lanes};
use super::step::Step;
use super::ways::Quantum;
use rustc_hash::FxHashMap;
use sealin_core::step::{End, Harm};

/// A state: plant, number of the states of devices apart, program, monitors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Spot {
    pub plant: u32,
    pub aside: u32,
    pub program: u32,
    pub memory: u32,
}

/// What breaks.
pub(super) enum What {
    /// Formula `.0` at tick `.1` of the last quantum.
    Formula(u8, u8),
    /// Something is damaged at that tick.
    Harm(Harm, u8),
}

/// The shortest path to a break.
pub(super) struct Breaking {
    /// Every state with the step from it.
    steps: Vec<(Spot, Step)>,
    /// Acts of all of them.
    pub actions: u32,
    what: What,
}

/// States by the memories and blocks of their entries, without the fault and with it.
type Wanted = [FxHashMap<(u32, u32, u32), u64>; 2];

/// A state on its way forward.
struct Found {
    spot: Spot,
    /// The one before, and the step from there.
    by: Option<(usize, Step)>,
    actions: u32,
}

/// What a step does to a state.
enum Led {
    To(Spot),
    Breaks(What),
    Nowhere,
}

impl Exploration {
    /// Finds the shortest path to a break, which is in the last layer.
    pub fn shortest(&mut self, with_fault: bool) -> Result<Breaking, Cut> {
        let last = self.layers[usize::from(with_fault)].len() - 1;
        let mut wanted: Vec<Wanted> = Vec::new();
        for depth in (0..=last).rev() {
            let deeper = wanted.pop();
            let here = self.leading(depth, with_fault, deeper.as_ref())?;
            wanted.extend(deeper);
            wanted.push(here);
        }
        wanted.reverse();
        let mut found: Vec<Found> = Vec::new();
        let start = self.start();
        let mut layer: [Vec<usize>; 2] = [vec![0], Vec::new()];
        found.push(Found { spot: start, by: None, actions: 0 });
        for next in &wanted[1..] {
            layer = self.forward(&layer, with_fault, next, &mut found)?;
        }
        self.best(&layer, with_fault, &found)
    }

    /// Quanta that go on from a state, in the last layer or before.
    fn quanta_from(half: usize, with_fault: bool, is_last: bool) -> &'static [Quantum] {
        match (half, with_fault, is_last) {
            (0, false, _) => &[Quantum::Sound],
            (0, true, true) => &[Quantum::Strikes],
            (0, true, false) => &[Quantum::Sound, Quantum::Strikes],
            (_, false, _) => &[],
            (_, true, _) => &[Quantum::Struck],
        }
    }

    /// The states of a layer that lead to the wanted ones of the next, or of the last layer to a break.
    fn leading(&mut self, depth: usize, with_fault: bool, deeper: Option<&Wanted>) -> Result<Wanted, Cut> {
        let mut wanted = Wanted::default();
        for (half, wanted) in wanted.iter_mut().enumerate() {
            if depth >= self.layers[half].len() {
                continue;
            }
            let layer = std::mem::take(&mut self.layers[half][depth]);
            let mut leads = || {
                for met in &layer {
                    let entry = *self.states[half].entry(met.entry);
                    for lane in lanes(met.bits()) {
                        let (plant, aside) = self.rigs.rig(half, entry.block, lane);
                        let spot = Spot { plant, aside, program: entry.program, memory: entry.memory };
                        if self.leads(&spot, with_fault, deeper)? {
                            *wanted.entry((entry.block, entry.program, entry.memory)).or_insert(0) |=
                                1 << lane;
                        }
                    }
                }
                Ok(())
            };
            let led = leads();
            self.layers[half][depth] = layer;
            led?;
        }
        Ok(wanted)
    }

    /// Whether a state leads to a wanted one, or to a break where none are given.
    fn leads(&mut self, spot: &Spot, with_fault: bool, deeper: Option<&Wanted>) -> Result<bool, Cut> {
        for &quantum in Self::quanta_from(usize::from(struck(spot.plant)), with_fault, deeper.is_none()) {
            let besides = self.follow(spot, quantum)?;
            let leads = deeper.map_or(besides.breaks, |deeper| {
                let wanted = |next: &Next| deeper[quantum.to()].get(&next.key);
                self.next.iter().any(|next| wanted(next).is_some_and(|bits| bits & next.bits != 0))
            });
            if leads {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// From states of a layer on to the wanted ones of the next, in the order of the search.
    fn forward(
        &mut self,
        layer: &[Vec<usize>; 2],
        with_fault: bool,
        wanted: &Wanted,
        found: &mut Vec<Found>,
    ) -> Result<[Vec<usize>; 2], Cut> {
        let mut next: [Vec<usize>; 2] = Default::default();
        let mut numbers: FxHashMap<Spot, usize> = FxHashMap::default();
        for (half, layer) in layer.iter().enumerate() {
            for &quantum in Self::quanta_from(half, with_fault, false) {
                for &from in layer {
                    let (spot, before) = (found[from].spot, found[from].actions);
                    for step in self.steps_from(&spot, quantum)? {
                        let Led::To(to) = self.led(&spot, &step) else { continue };
                        let half = usize::from(struck(to.plant));
                        let (block, bit) = self.rigs.lane(to.plant, to.aside);
                        let bits = wanted[half].get(&(block, to.program, to.memory));
                        if bits.is_none_or(|bits| bits & bit == 0) {
                            continue;
                        }
                        let one = Found { spot: to, by: Some((from, step)), actions: before + step.actions };
                        match numbers.get(&to) {
                            Some(&k) if found[k].actions <= one.actions => {}
                            Some(&k) => found[k] = one,
                            None => {
                                numbers.insert(to, found.len());
                                next[half].push(found.len());
                                found.push(one);
                            }
                        }
                    }
                }
            }
        }
        Ok(next)
    }

    /// The break with the fewest acts from states of the last layer.
    fn best(&mut self, layer: &[Vec<usize>; 2], with_fault: bool, found: &[Found]) -> Result<Breaking, Cut> {
        let mut best: Option<(usize, Step, u32, What)> = None;
        for (half, layer) in layer.iter().enumerate() {
            for &quantum in Self::quanta_from(half, with_fault, true) {
                for &from in layer {
                    let spot = found[from].spot;
                    for step in self.steps_from(&spot, quantum)? {
                        let actions = found[from].actions + step.actions;
                        if best.as_ref().is_some_and(|best| best.2 <= actions) {
                            continue;
                        }
                        if let Led::Breaks(what) = self.led(&spot, &step) {
                            best = Some((from, step, actions, what));
                        }
                    }
                }
            }
        }
        let (mut at, step, actions, what) = best.expect("something breaks in the last layer");
        let mut steps = vec![(found[at].spot, step)];
        while let Some((before, step)) = found[at].by {
            at = before;
            steps.push((found[at].spot, step));
        }
        steps.reverse();
        Ok(Breaking { steps, actions, what })
    }

    fn steps_from(&mut self, spot: &Spot, quantum: Quantum) -> Result<Vec<Step>, Cut> {
        let image = self.program.image(spot.program).1;
        self.plant.steps((spot.plant, self.rigs.asides(spot.aside)), image, quantum.is_struck())
    }

    /// What a step does to a state.
    fn led(&mut self, spot: &Spot, step: &Step) -> Led {
        let ticks = match step.edge.to {
            To::Plant(_) => self.plant.period,
            To::End(_, tick) => u32::from(tick),
        };
        let view = self.judge.view(step.word, ticks);
        match (self.judge.judge(spot.memory, view), step.edge.to) {
            (Judged::Unassumed, _) => Led::Nowhere,
            (Judged::Broken(formula, tick), _) => Led::Breaks(What::Formula(formula, tick)),
            (Judged::Kept(memory), To::Plant(to)) => {
                let aside = self.rigs.aside(step.beside.asides);
                let program = self.program.follow(spot.program, step.label, &self.plant);
                Led::To(Spot { plant: to, aside, program, memory })
            }
            (Judged::Kept(_), To::End(end, tick)) => match self.plant.end(end) {
                End::Harm(harm) if !self.judge.has_formulas() => Led::Breaks(What::Harm(harm.clone(), tick)),
                End::Harm(_) | End::Outside(_) => Led::Nowhere,
            },
        }
    }

    /// A path as acts and what the environment does.
    pub fn counterexample(&mut self, breaking: &Breaking) -> Result<Counterexample, Cut> {
        let mut ticks = Vec::new();
        let mut boundaries = Vec::new();
        for (k, (spot, step)) in breaking.steps.iter().enumerate() {
            if k > 0 {
                boundaries.push(self.plant.whole(spot.plant, self.rigs.asides(spot.aside)));
            }
            ticks.extend(self.ticks(spot, step)?);
        }
        let first = u64::from(self.plant.period) * boundaries.len() as u64;
        Ok(Counterexample::new(&self.plant, ticks, boundaries, first, &breaking.what))
    }

    /// The ticks of a step.
    fn ticks(&mut self, from: &Spot, step: &Step) -> Result<Vec<Moves>, Cut> {
        let asides = self.rigs.asides(from.aside);
        let mut apart = Vec::new();
        for k in 0..self.plant.apart.len() {
            let state = aside_number(asides, k);
            let edges = self.plant.aside_edges(k, state, step.edge.stream, step.edge.presence.is_there());
            apart.push((state, edges[usize::from(aside_number(step.beside.by, k))]));
        }
        self.plant.path(from.plant, self.program.image(from.program).1, &step.edge, &apart)
    }
}
