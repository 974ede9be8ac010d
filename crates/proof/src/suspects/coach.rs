//! The coach: works through an operation and takes the readings that are worth most, until what is left cannot be told apart.
//!
//! It knows the drawn design and what is suspected, and asks the bench at fault through [`Answers`] only: by type it cannot see what is
//! wrong there.

use super::look::Look;
use super::rehearsal::{Rehearsal, do_all};
use super::scene::Scene;
use super::tried::SOUND;
use super::{Finding, Suspect, Suspects, Told};
use sealin_core::instruments::Shown;
use sealin_core::{Bench, BenchAct, Measurement};
use std::rc::Rc;

/// A bench at fault, as one who looks for the fault can work, read and see it.
pub trait Answers {
    /// Takes an act at the start of the next tick; what the bench refuses is left.
    fn act(&mut self, act: &BenchAct);
    /// Runs up to a tick.
    fn run_until(&mut self, tick: u64);
    /// What an instrument shows, and for how many ticks the bench has run meanwhile.
    ///
    /// # Errors
    /// A place that is not there.
    fn measure(&mut self, what: &Measurement) -> Result<(Shown, u64), String>;
    /// Whether a signal that is in sight is on.
    ///
    /// # Errors
    /// A signal that is not there.
    fn seen(&mut self, signal: &str) -> Result<bool, String>;
}

/// A bench with whatever is wrong in it: the coach is given no more of it than this.
impl Answers for Bench {
    fn act(&mut self, act: &BenchAct) {
        let _ = Bench::act(self, act.clone());
    }

    fn run_until(&mut self, tick: u64) {
        Bench::run_until(self, tick, &mut |_, _, _| {});
    }

    /// A bench stands still for a reading.
    fn measure(&mut self, what: &Measurement) -> Result<(Shown, u64), String> {
        Ok((self.take_reading(what)?.0.shown, 0))
    }

    fn seen(&mut self, signal: &str) -> Result<bool, String> {
        self.signal(signal).ok_or_else(|| format!("there is no signal `{signal}`"))
    }
}

/// One step of the coach.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Number of the situation.
    pub situation: usize,
    /// What was found.
    pub finding: Finding,
    /// What it was expected to tell, bits; 0 of what was seen, as that costs nothing.
    pub bits: f64,
    /// How many suspects that stay it has ruled out, and how many are left.
    pub out: usize,
    /// See [`Step::out`].
    pub left: usize,
}

/// The way of the coach to what is left.
#[derive(Clone, Debug)]
pub struct Path {
    /// What was seen and ruled something out, and every reading, in order.
    pub steps: Vec<Step>,
    /// What is left of faults that stay, each with how likely it is beside the others ([`Suspects::left_by_weight`]), the likeliest first.
    pub left: Vec<(Suspect, f64)>,
    /// Something was seen that is otherwise on a sound bench.
    pub shows: bool,
}

impl Path {
    /// How many whole suspects are left: each counts as it is likely.
    pub fn likely(&self) -> f64 {
        self.left.iter().map(|(_, weight)| weight).sum()
    }

    /// Readings that ruled something out.
    pub fn told(&self) -> usize {
        self.steps.iter().filter(|step| matches!(step.finding, Finding::Reading(..)) && step.out > 0).count()
    }

    /// Readings that were taken.
    pub fn readings(&self) -> usize {
        self.steps.iter().filter(|step| matches!(step.finding, Finding::Reading(..))).count()
    }
}

/// A moment at which what can be seen is known of all benches.
struct View<'a> {
    situation: usize,
    scene: &'a Scene,
    /// The bench of the scene that stands for each.
    stands: &'a [usize],
}

/// Most readings of a path: far beyond any that comes to its end.
const MOST_READINGS: usize = 60;

impl Rehearsal {
    /// Goes through the operation on a bench at fault that has been at rest so far, sees what can be seen, and takes readings until none is
    /// worth taking.
    ///
    /// # Errors
    /// What the bench does not have.
    ///
    /// # Panics
    /// If the rehearsal is not through.
    pub fn path(&self, bench: &mut dyn Answers) -> Result<Path, String> {
        assert_eq!(self.progress().behind, 0, "a rehearsal that is not through knows too little");
        let mut left = self.suspects.clone();
        left.look = Look::default();
        let (mut steps, shows) = self.eyes(&mut left, bench)?;
        left.want();
        let (mut scenes, mut open) = (self.scenes.clone(), self.all_open());
        let mut taken: Vec<(usize, usize)> = Vec::new();
        let mut here = self.scenes.len().checked_sub(1);
        // Ways made since the last reading.
        let mut ways = 0;
        while taken.len() < MOST_READINGS && left.left().count() > 1 && ways <= self.scenes.len() {
            let Some(advice) = self.advice(&scenes, &left, here, &taken, &mut open) else { break };
            let situation = advice.situation;
            if here != Some(situation) {
                // A fuse may have melted since the rehearsal was there: what is left is looked at anew before anything is read, and so is
                // the machine.
                self.go(&mut left, bench, situation)?;
                scenes[situation] = Rc::new(left.look.scene());
                let stands = left.stands.clone();
                let view = View { situation, scene: &scenes[situation], stands: &stands };
                self.look_round(&view, &mut left, bench, &mut steps)?;
                left.want();
                open[situation] = (0..scenes[situation].offered.len()).collect();
                here = Some(situation);
                ways += 1;
                continue;
            }
            ways = 0;
            taken.push((situation, advice.number));
            let before = left.left().count();
            let (shown, ticks) = bench.measure(&advice.reading)?;
            let finding = Finding::Reading(advice.reading.clone(), shown);
            left.tell(Told::Found(finding.clone()))?;
            if ticks > 0 {
                left.tell(Told::Run(left.tick + ticks))?;
            }
            left.catch_up().map_err(|e| e.to_string())?;
            let now = left.left().count();
            let bits = advice.bits;
            steps.push(Step { situation, finding, bits, out: before - now, left: now });
        }
        let left = left.left_by_weight().into_iter().map(|(one, weight)| (one.clone(), weight)).collect();
        Ok(Path { steps, left, shows })
    }

    /// Whether something is seen in the operation on a bench at fault that is otherwise on a sound one.
    ///
    /// # Errors
    /// What the bench does not have.
    pub fn shows(&self, bench: &mut dyn Answers) -> Result<bool, String> {
        for (situation, scene) in self.scenes.iter().enumerate() {
            self.go_on(bench, situation);
            for (signal, name) in self.sight() {
                if bench.seen(&name)? != scene.signal(SOUND, signal) {
                    return Ok(true);
                }
            }
        }
        Ok(false)
    }

    /// Brings a bench from the situation before into this one.
    fn go_on(&self, bench: &mut dyn Answers, situation: usize) {
        self.way.situations[situation].acts.iter().for_each(|act| bench.act(act));
        bench.run_until(self.ticks[situation]);
    }

    /// The whole operation with eyes only. Tells too whether anything is otherwise than on a sound bench.
    fn eyes(&self, left: &mut Suspects, bench: &mut dyn Answers) -> Result<(Vec<Step>, bool), String> {
        let (mut steps, mut shows) = (Vec::new(), false);
        for (situation, scene) in self.scenes.iter().enumerate() {
            self.go_on(bench, situation);
            let view = View { situation, scene, stands: &self.suspects.stands };
            shows |= self.look_round(&view, left, bench, &mut steps)?;
        }
        Ok((steps, shows))
    }

    /// Sees all that can be seen at a moment, and adds a step for what rules something out. Tells whether anything is otherwise than on a
    /// sound bench.
    fn look_round(
        &self,
        view: &View,
        left: &mut Suspects,
        bench: &mut dyn Answers,
        steps: &mut Vec<Step>,
    ) -> Result<bool, String> {
        let mut shows = false;
        for signal in self.sight() {
            let on = bench.seen(&signal.1)?;
            shows |= on != view.scene.signal(SOUND, signal.0);
            // Where all show the same nothing is told apart.
            if !view.scene.varies(signal.0) {
                continue;
            }
            let before = left.left().count();
            left.seen_in(view.scene, view.stands, &signal, on);
            let now = left.left().count();
            if now < before {
                let (situation, finding) = (view.situation, Finding::Seen(signal.1, on));
                steps.push(Step { situation, finding, bits: 0.0, out: before - now, left: now });
            }
        }
        Ok(shows)
    }

    /// Brings a bench and what is suspected of it from anywhere into a situation.
    fn go(&self, left: &mut Suspects, bench: &mut dyn Answers, situation: usize) -> Result<(), String> {
        left.look = Look::default();
        for what in [&self.way.home].into_iter().chain(&self.way.situations[..=situation]) {
            do_all(left, what, &mut |act, tick| match act {
                Some(act) => bench.act(act),
                None => bench.run_until(tick),
            })?;
        }
        left.offer(self.way.situations[situation].offered.clone())?;
        left.catch_up().map_err(|e| e.to_string())
    }
}
