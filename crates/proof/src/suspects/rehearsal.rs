//! A rehearsal: the whole operation gone through on every bench of a design, with what each shows in every situation.

use super::outcome::{Outcome, Told as Shows};
use super::scene::Scene;
use super::tried::{SOUND, Showed, Tried};
use super::way::{Situation, Way};
use super::worth::Worth;
use super::{Finding, Progress, Suspects, Told, digest};
use sealin_core::{BuildError, Fault, Measurement, Plan};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// What an act counts beside the ticks of a measurement: ticks (own choice): little, as it takes no thought.
const ACT_TICKS: u64 = 25;

/// Readings that are expected to tell less than this are not worth taking, bits (own choice): where what is suspected overlaps, a little
/// is always expected.
pub(super) const LEAST_BITS: f64 = 0.05;

/// The operation on every bench, with nothing found: what can be told apart by it, and where.
#[derive(Clone, Debug)]
pub struct Rehearsal {
    pub(super) way: Way,
    /// As they are after the last situation.
    pub(super) suspects: Suspects,
    /// By situation.
    pub(super) scenes: Vec<Rc<Scene>>,
    /// Tick at the end of each situation.
    pub(super) ticks: Vec<u64>,
}

/// What to do next.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Advice {
    /// Number of the situation in which it is to be taken.
    pub situation: usize,
    /// Its number among those that are offered there.
    pub number: usize,
    /// The reading.
    pub reading: Measurement,
    /// What it is expected to tell, bits.
    pub bits: f64,
}

/// What is suspected of a machine on which nothing shows, and what readings tell of it that show what they do on a sound one.
#[derive(Clone, Debug)]
pub struct Silence {
    /// How many suspects are left once the operation has been gone through.
    pub left: usize,
    /// Which of these a reading rules out, of all readings in all situations; each set once.
    ruled_out: BTreeSet<Vec<usize>>,
}

impl Silence {
    /// How many of them all readings together rule out. The rest are told from a sound machine by none.
    pub fn by_all(&self) -> usize {
        self.ruled_out.iter().flatten().collect::<BTreeSet<_>>().len()
    }

    /// So many readings at least it takes to rule out all that can be: as many of them as no reading rules out two of, found one after another,
    /// those first that come with the fewest others.
    pub fn readings_at_least(&self) -> usize {
        let mut with: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        for set in &self.ruled_out {
            set.iter().for_each(|one| with.entry(*one).or_default().extend(set));
        }
        let mut order: Vec<(usize, usize)> = with.iter().map(|(&one, others)| (others.len(), one)).collect();
        order.sort_unstable();
        let mut apart: Vec<usize> = Vec::new();
        for (_, one) in order {
            if apart.iter().all(|other| !with[&one].contains(other)) {
                apart.push(one);
            }
        }
        apart.len()
    }
}

impl Rehearsal {
    /// Begins to rehearse an operation with these faults suspected.
    ///
    /// # Errors
    /// Why there is no such bench; a fault that does not fit.
    pub fn new(plan: &Plan, faults: &[Fault], way: Way) -> Result<Rehearsal, BuildError> {
        Ok(Rehearsal { way, suspects: Suspects::new(plan, faults)?, scenes: Vec::new(), ticks: Vec::new() })
    }

    /// Does so many pieces of work at most. It is through when nothing is behind.
    ///
    /// # Errors
    /// Why a bench cannot be built, or what the way names that is not there.
    pub fn advance(&mut self, pieces: usize) -> Result<Progress, String> {
        for _ in 0..pieces {
            if self.suspects.piece().map_err(|e| e.to_string())? {
                continue;
            }
            if self.scenes.len() < self.ticks.len() {
                self.scenes.push(Rc::new(self.suspects.look.scene()));
            }
            let Some(next) = self.way.situations.get(self.scenes.len()) else { break };
            let tick = do_all(&mut self.suspects, next, &mut |_, _| {})?;
            self.suspects.offer(next.offered.clone())?;
            self.ticks.push(tick);
        }
        Ok(self.progress())
    }

    /// How far it is: benches that are behind, those of situations to come with them.
    pub fn progress(&self) -> Progress {
        let Progress { benches, behind } = self.suspects.progress();
        let to_come = self.way.situations.len() - self.scenes.len();
        Progress { benches, behind: behind.max(benches * to_come) }
    }

    /// How many kinds of suspects there are that stay and that what can be seen and measured in the situations tells apart: two are of
    /// one kind if no meter tells any of their values apart anywhere.
    pub fn classes(&self) -> usize {
        let all: Vec<&Tried> = self.suspects.lasting().collect();
        let mut kinds: Vec<u64> = vec![0; all.len()];
        for scene in &self.scenes {
            for reading in 0..scene.offered.len() {
                for (kind, tried) in kinds.iter_mut().zip(&all) {
                    let kind_of = |&bench: &usize| scene.kind(self.suspects.stands[bench], reading);
                    let shown: Vec<usize> = tried.benches.iter().map(kind_of).collect();
                    *kind = digest(&(*kind, shown));
                }
            }
            for (signal, _) in self.sight().into_iter().filter(|(signal, _)| scene.varies(*signal)) {
                for (kind, tried) in kinds.iter_mut().zip(&all) {
                    let on = |&bench: &usize| scene.signal(self.suspects.stands[bench], signal);
                    let shown: Vec<bool> = tried.benches.iter().map(on).collect();
                    *kind = digest(&(*kind, shown));
                }
            }
        }
        kinds.sort_unstable();
        kinds.dedup();
        kinds.len()
    }

    /// What is suspected of a machine that is like a sound one to the eye in every situation.
    pub fn silence(&self) -> Silence {
        let mut left = self.suspects.clone();
        for scene in &self.scenes {
            for signal in self.sight().into_iter().filter(|(signal, _)| scene.varies(*signal)) {
                let on = scene.signal(SOUND, signal.0);
                left.seen_in(scene, &self.suspects.stands, &signal, on);
            }
        }
        let mut ruled_out = BTreeSet::new();
        for scene in &self.scenes {
            ruled_out.extend(left.ruled_out_as_sound(scene, &self.suspects.stands));
        }
        Silence { left: left.left().count(), ruled_out }
    }

    /// Numbers and names of the signals in sight.
    pub(super) fn sight(&self) -> Vec<(usize, String)> {
        let design = &self.suspects.drawn.design;
        let number = |name: &str| Some((design.signal(name)?, name.to_string()));
        design.in_sight().filter_map(|signal| number(&signal.name)).collect()
    }

    /// The readings of each situation, by number.
    pub(super) fn all_open(&self) -> Vec<Vec<usize>> {
        self.scenes.iter().map(|scene| (0..scene.offered.len()).collect()).collect()
    }

    /// The reading that is worth most for its time, of all situations with their scenes: what each is expected to tell of the suspects
    /// that are left, by the ticks of the measurement and of the acts on the way there. `here` is the situation in which the bench is.
    /// `taken` has the readings that were taken, each by its situation and number: none that asks the same as one of these is taken,
    /// wherever it is. Nothing where none is worth taking. Where all that is left shows the same, fewer will too: such a reading
    /// is closed.
    pub(super) fn advice(
        &self,
        scenes: &[Rc<Scene>],
        left: &Suspects,
        here: Option<usize>,
        taken: &[(usize, usize)],
        open: &mut [Vec<usize>],
    ) -> Option<Advice> {
        // By situation, of those that are open; of those that were taken what they asked.
        let (mut all, mut asked) = (Vec::new(), Vec::new());
        for (situation, (scene, open)) in scenes.iter().zip(&*open).enumerate() {
            let own = taken.iter().filter(|(of, _)| *of == situation).map(|(_, number)| *number);
            let readings: Vec<usize> = open.iter().copied().chain(own).collect();
            let mut worths: Vec<Worth> = left.worths(scene, &self.suspects.stands, &readings);
            asked.extend(worths.drain(open.len()..).map(|worth| worth.question));
            all.push(worths);
        }
        let mut best: Option<(f64, Advice)> = None;
        for (situation, ((scene, open), worths)) in scenes.iter().zip(open).zip(all).enumerate() {
            let acts = if here == Some(situation) { 0 } else { self.acts_to(situation) };
            for (&number, &Worth { bits, question }) in open.iter().zip(&worths) {
                let reading = &scene.offered[number];
                let worth = bits / (reading.ticks() + acts * ACT_TICKS) as f64;
                if bits < LEAST_BITS || best.as_ref().is_some_and(|(most, _)| *most >= worth) {
                    continue;
                }
                if !asked.contains(&question) {
                    best = Some((worth, Advice { situation, number, reading: reading.clone(), bits }));
                }
            }
            let mut worths = worths.into_iter();
            open.retain(|_| worths.next().is_some_and(|worth| worth.bits > 0.0));
        }
        best.map(|(_, advice)| advice)
    }

    fn acts_to(&self, situation: usize) -> u64 {
        let count = |situation: &Situation| situation.acts.len() as u64;
        count(&self.way.home) + self.way.situations[..=situation].iter().map(count).sum::<u64>()
    }
}

/// Tells suspects of the acts of a situation and of its time; `also` is handed the same, an act or nothing and the tick. Returns the tick at
/// the end.
pub(super) fn do_all(
    suspects: &mut Suspects,
    situation: &Situation,
    also: &mut dyn FnMut(Option<&sealin_core::BenchAct>, u64),
) -> Result<u64, String> {
    let tick = suspects.tick;
    for act in &situation.acts {
        suspects.tell(Told::Act(tick, act.clone()))?;
        also(Some(act), tick);
    }
    suspects.tell(Told::Run(tick + situation.rest))?;
    also(None, tick + situation.rest);
    Ok(tick + situation.rest)
}

impl Suspects {
    /// Takes what was seen in a situation of which there is a scene, at the same tick: one that was rehearsed, or is now.
    pub(super) fn seen_in(
        &mut self,
        scene: &Scene,
        stands: &[usize],
        (signal, name): &(usize, String),
        on: bool,
    ) {
        let number = self.found.len();
        let Suspects { tried, followed, stands: own, .. } = self;
        let noted = |bench: usize| {
            let row = stands[bench];
            if !scene.has(row) {
                return None;
            }
            Some(Showed {
                outcome: Outcome::Other(Shows::Seen(scene.signal(row, *signal))),
                signals: scene.signals(row),
                turned: scene.turned(row, *signal),
                strayed: followed[own[bench]].strayed,
                // Nothing that comes and goes is rehearsed.
                drive: None,
            })
        };
        for tried in tried {
            tried.judge(number, &Outcome::Other(Shows::Seen(on)), &noted);
        }
        self.found.push(Finding::Seen(name.clone(), on));
        self.ends.push(self.log.len());
        self.judged += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of four suspects two are ruled out by one reading, and each by one of its own; the third by one of its own, the fourth by none.
    /// It takes two readings, as the first two may go together.
    #[test]
    fn so_many_readings_at_least() {
        let ruled_out = BTreeSet::from([vec![0, 1], vec![0], vec![1], vec![2], Vec::new()]);
        let silence = Silence { left: 4, ruled_out };
        assert_eq!((silence.by_all(), silence.readings_at_least()), (3, 2));
    }
}
