//! The plant alone, quantum by quantum and by number: what an outside model checker is given of the bench. Neither program nor
//! monitors are asked.

use super::plant::{Edge, To};
use super::search::{Exploration, Progress, Question, Report};
use sealin_core::step::End;

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
    exploration: Exploration,
}

impl Relation {
    /// Explores. `progress` is called as by [`super::explore`].
    ///
    /// # Errors
    /// Why the question is outside what is explored.
    pub fn explored(
        question: &Question,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<Relation, String> {
        let mut exploration = Exploration::new(question)?;
        let mut report = Report::new(exploration.answer(question, progress));
        exploration.tell(&mut report);
        Ok(Relation { report, exploration })
    }

    /// Which bit of [`Way::ticks`] a signal is, if the formulas speak of it.
    pub fn bit(&self, signal: &str) -> Option<usize> {
        let plant = &self.exploration.plant;
        let number = plant.design.signal(signal)?;
        plant.signals.iter().position(|&n| n == number)
    }

    /// Ticks of a quantum: the scan period, ms.
    pub fn period(&self) -> u32 {
        self.exploration.plant.period
    }

    /// Every state of the plant with the output image that it was met with, in the order of meeting, some more than once. The
    /// first is that when power comes on.
    pub fn met(&self) -> impl Iterator<Item = (u32, u64)> {
        let Exploration { program, found, .. } = &self.exploration;
        found.iter().map(|found| (found.plant, program.image(found.program)))
    }

    /// Every way in which a quantum can go from a state with an output image, each once; none where that was not asked for, as
    /// the exploration ended before.
    pub fn ways(&self, state: u32, image: u64) -> Option<Vec<Way>> {
        let plant = &self.exploration.plant;
        let width = plant.signals.len();
        let way = |edge: &Edge| {
            let (next, ticks) = match edge.to {
                To::Plant(to) => (Next::State(to), plant.period),
                To::End(end, tick) => match plant.end(end) {
                    End::Harm(harm) => (Next::Harm(harm.to_string(), tick), u32::from(tick)),
                    End::Outside(why) => (Next::Outside(why.clone()), u32::from(tick)),
                },
            };
            let (label, word) = (plant.label(edge.label), plant.word(edge.word));
            let mask = (1u128 << width) - 1;
            let ticks = (0..ticks).map(|tick| (word >> (tick as usize * width) & mask) as u64).collect();
            Way { next, scanned: label.scanned, restarted: label.restarted, ticks }
        };
        Some(plant.known(state, image)?.iter().map(way).collect())
    }
}
