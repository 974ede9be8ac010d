//! The plant alone, quantum by quantum and by number: what an outside model checker is given of the bench. Neither program nor
//! monitors are asked. Devices that the search keeps beside the plant are part of it here.

use super::aside::AsideStates;
use super::interner::Interner;
use super::plant::{Plant, To};
use super::question::{Progress, Question, Report};
use super::search::Exploration;
use super::step::Step;
use super::table::Explorer;
use rustc_hash::FxHashMap;
use sealin_core::Design;
use sealin_core::step::End;
use std::rc::Rc;

/// Where a quantum ends.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Next {
    /// In the plant's state of this number.
    State(u32),
    /// In harm, at this tick of the quantum, which is not judged any more.
    Harm(String, u8),
    /// Outside the model, and why.
    Outside(String),
}

/// One way in which a quantum can go.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Way {
    /// Where it ends.
    pub next: Next,
    /// The input image with which the program was run at its first tick; none if it was not run.
    pub scanned: Option<u64>,
    /// Whether the controller lost its supply after that, so that the program starts anew.
    pub restarted: bool,
    /// The signals of each tick, one bit each, by [`Relation::bit`].
    pub ticks: Vec<u64>,
}

/// The plant of a question, as far as its exploration asked for it.
pub struct Relation {
    /// What the exploration found.
    pub report: Report,
    period: u32,
    design: Rc<Design>,
    signals: Vec<usize>,
    met: Vec<(u32, u64)>,
    ways: FxHashMap<(u32, u64), Box<[Short]>>,
    ends: Interner<Next>,
    courses: Interner<Course>,
}

/// A way, by number: there are hundreds of millions in a large one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Short {
    /// Of [`Relation::ends`].
    next: u32,
    /// Of [`Relation::courses`].
    course: u32,
}

/// What is seen of a quantum: the last three of a [`Way`].
type Course = (Option<u64>, bool, Vec<u64>);

impl Relation {
    /// Explores. `progress` is called as by [`super::explore`].
    ///
    /// # Errors
    /// Why the question is outside what is explored.
    pub fn explored(
        question: &Question,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Relation, String> {
        let mut explorer = Explorer::new(question);
        let (report, exploration) = explorer.explored(None, progress)?;
        Ok(Relation::of(report, exploration))
    }

    fn of(report: Report, exploration: &mut Exploration) -> Relation {
        let plant = &exploration.plant;
        let mut relation = Relation {
            report,
            period: plant.period,
            design: Rc::clone(plant.design()),
            signals: plant.signals.clone(),
            met: Vec::new(),
            ways: FxHashMap::default(),
            ends: Interner::new(),
            courses: Interner::new(),
        };
        let mut numbers: FxHashMap<(u32, AsideStates), u32> = FxHashMap::default();
        exploration.each_met(&mut |plant, (state, asides, image), steps| {
            let mut number = |place: (u32, AsideStates)| {
                let next = numbers.len() as u32;
                *numbers.entry(place).or_insert(next)
            };
            let at = (number((state, asides)), image);
            relation.met.push(at);
            let Some(steps) = steps.filter(|_| !relation.ways.contains_key(&at)) else { return };
            let mut short = |step: &Step| {
                let Way { next, scanned, restarted, ticks } = way(plant, step, &mut number);
                let course = relation.courses.number((scanned, restarted, ticks));
                Short { next: relation.ends.number(next), course }
            };
            let mut ways: Vec<Short> = steps.iter().map(&mut short).collect();
            ways.sort_unstable();
            ways.dedup();
            relation.ways.insert(at, ways.into());
        });
        relation
    }

    /// Which bit of [`Way::ticks`] a signal is, if the formulas speak of it.
    pub fn bit(&self, signal: &str) -> Option<usize> {
        let number = self.design.signal(signal)?;
        self.signals.iter().position(|&n| n == number)
    }

    /// Ticks of a quantum: the scan period, ms.
    pub fn period(&self) -> u32 {
        self.period
    }

    /// Every state of the plant with the output image that it was met with, in the order of meeting. The first is that when power
    /// comes on.
    pub fn met(&self) -> impl Iterator<Item = (u32, u64)> {
        self.met.iter().copied()
    }

    /// Every way in which a quantum can go from a state with an output image, each once; none where that was not asked for, as
    /// the exploration ended before.
    pub fn ways(&self, state: u32, image: u64) -> Option<Vec<Way>> {
        let way = |short: &Short| {
            let (scanned, restarted, ticks) = self.courses.value(short.course).clone();
            Way { next: self.ends.value(short.next).clone(), scanned, restarted, ticks }
        };
        Some(self.ways.get(&(state, image))?.iter().map(way).collect())
    }
}

fn way(plant: &Plant, step: &Step, number: &mut impl FnMut((u32, AsideStates)) -> u32) -> Way {
    let width = plant.signals.len();
    let (next, ticks) = match step.edge.to {
        To::Plant(to) => (Next::State(number((to, step.beside.asides))), plant.period),
        To::End(end, tick) => match plant.end(end) {
            End::Harm(harm) => (Next::Harm(harm.to_string(), tick), u32::from(tick)),
            End::Outside(why) => (Next::Outside(why.clone()), u32::from(tick)),
        },
    };
    let (label, word) = (plant.label(step.label), step.word);
    let mask = (1u128 << width) - 1;
    let ticks = (0..ticks).map(|tick| (word >> (tick as usize * width) & mask) as u64).collect();
    Way { next, scanned: label.scanned, restarted: label.restarted, ticks }
}
