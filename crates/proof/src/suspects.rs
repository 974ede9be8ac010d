//! Suspects: the single faults of the catalogue that still explain everything that was found on a bench.
//!
//! Each suspect is tried: benches with the fault are worked as the real one is, act by act at the same ticks, and what is found there
//! is held against what was found. Nobody here sees the bench at fault; what comes in are the drawn design, and a log of what was done
//! and found ([`Told`]). The benches work through it one after another in small pieces ([`Suspects::advance`]), so that a worker
//! can follow hundreds of them beside whatever else it does, and say how far it is.
//!
//! A suspect is a fault without its value ("QA1 13-14 dirty"): the catalogue has a few values of each, and what is really there may
//! lie between them. So a suspect stays as long as between two neighbouring values all that was found may be shown: any figure
//! between what the two show; and where these leave the bench in different states, up to [`RATIO`] times as much, and whatever any other
//! value shows. That can keep a suspect that is none. Beyond the last value that is tried lies the end of the scale: the sound bench where
//! the fault is none there, else a bench of that end.
//!
//! Of a fault that comes and goes nobody knows when it was there. As long as the signals of the sound bench and of one on which the
//! fault stays have done the same at every tick, its bench is in the state of either, and shows what the one or the other shows. Once
//! they have not, it may be in any state, and then it explains everything: such a suspect is ruled out early or not at all.

mod coach;
mod look;
mod outcome;
mod readings;
mod rehearsal;
mod scale;
mod scene;
mod told;
mod tried;
mod way;
mod work;
mod worth;

pub use coach::{Answers, Path, Step};
use look::Look;
pub use outcome::alike;
pub use readings::readings;
pub use rehearsal::{Rehearsal, Silence};
use scale::denser;
use sealin_core::fault::{Mode, Presence, Value};
use sealin_core::{BenchAct, BuildError, Design, Fault, Measurement, Plan};
use std::collections::BTreeMap;
use std::rc::Rc;
use told::{Drawn, Entry, Followed, digest};
pub use told::{Finding, Told};
use tried::{SOUND, Tried};
pub use way::{Situation, Way};
pub use work::Progress;

/// Ohms of a suspect lie at most so far apart, one to the other: between those of the catalogue others are tried, and on the way to none.
pub const RATIO: i32 = 10;

/// A single fault without its value.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Suspect {
    /// In which way.
    pub mode: Mode,
    /// Part or conductor.
    pub subject: String,
    /// Where on it.
    pub at: String,
    /// The other terminal, where the fault has one: with another it is another suspect.
    pub other: Option<String>,
}

impl Suspect {
    /// The suspect that a fault belongs to.
    pub fn of(fault: &Fault) -> Suspect {
        let other = match &fault.value {
            Value::Terminal(name) => Some(name.clone()),
            _ => None,
        };
        Suspect { mode: fault.mode, subject: fault.subject.clone(), at: fault.at.clone(), other }
    }
}

/// A drawn design with everything that is suspected in it.
#[derive(Clone, Debug)]
pub struct Suspects {
    drawn: Drawn,
    /// The sound bench, and one for each value that is tried.
    followed: Vec<Followed>,
    /// The bench that stands for each: itself, or one that does the same.
    stands: Vec<usize>,
    /// By the bucket of their designs, until a plan or repair may tell apart those that are the same.
    same: Option<BTreeMap<u64, Vec<usize>>>,
    tried: Vec<Tried>,
    log: Vec<Entry>,
    /// Tick of the log's end.
    tick: u64,
    /// For each entry what the signals of the sound bench have done by then.
    sound: Vec<u64>,
    found: Vec<Finding>,
    /// For each finding the entry behind it.
    ends: Vec<usize>,
    judged: usize,
    look: Look,
    /// So many benches are built, or others stand for them.
    built: usize,
    /// Numbers of the benches that are needed still, in order.
    wanted: Vec<usize>,
    /// Those of them that come before have nothing to do.
    next: usize,
}

impl Suspects {
    /// Suspects these faults of a design that has been at rest so far, with its supply off: those that stay, and those that come and go
    /// whenever they like. One that waits for an event is passed over.
    ///
    /// # Errors
    /// Why there is no such bench; a fault that does not fit.
    pub fn new(plan: &Plan, faults: &[Fault]) -> Result<Suspects, BuildError> {
        let design = Rc::new(Design::build(plan)?);
        let drawn = Drawn { plan: Rc::new(plan.clone()), design };
        let mut all: Vec<(bool, Suspect, Fault)> = Vec::new();
        for fault in faults {
            fault.fits(plan).map_err(|reason| BuildError::Fault { fault: fault.clone(), reason })?;
            match fault.presence {
                Presence::Stays => all.push((false, Suspect::of(fault), fault.clone())),
                Presence::ComesAndGoes(_) => all.push((true, Suspect::of(fault), fault.lasting())),
                Presence::Strikes(_) => {}
            }
        }
        all.sort();
        all.dedup();
        let mut followed = vec![Followed::new(None, &drawn)];
        let mut numbers: BTreeMap<Fault, usize> = BTreeMap::new();
        let mut number_of = |fault: &Fault| {
            *numbers.entry(fault.clone()).or_insert_with(|| {
                followed.push(Followed::new(Some(fault.clone()), &drawn));
                followed.len() - 1
            })
        };
        let mut tried: Vec<Tried> = Vec::new();
        for of_one in all.chunk_by(|a, b| (a.0, &a.1) == (b.0, &b.1)) {
            let (comes_and_goes, suspect, fault) = &of_one[0];
            let listed: Vec<Fault> = of_one.iter().map(|(_, _, fault)| fault.clone()).collect();
            let values = denser(listed);
            let benches: Vec<usize> = values.iter().map(&mut number_of).collect();
            let on_scale = match fault.scale(&plan.parts) {
                None => benches.clone(),
                Some(scale) => scale::points(&values, scale)
                    .iter()
                    .map(|point| point.as_ref().map_or(SOUND, &mut number_of))
                    .collect(),
            };
            tried.push(Tried::new(suspect.clone(), *comes_and_goes, benches, &on_scale));
        }
        let look = Look::default();
        let stands = (0..followed.len()).collect();
        let same = Some(BTreeMap::new());
        let (log, sound, found, ends) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let (tick, judged, built, next, wanted) = (0, 0, 0, 0, Vec::new());
        let mut all = Suspects {
            drawn,
            followed,
            stands,
            same,
            tried,
            log,
            tick,
            sound,
            found,
            ends,
            judged,
            look,
            built,
            wanted,
            next,
        };
        all.want();
        Ok(all)
    }

    /// Takes in what has happened. Nothing is worked yet.
    ///
    /// # Errors
    /// A terminal, conductor or signal that is not there, a tick before the last, or a plan that cannot be built; then nothing happens.
    pub fn tell(&mut self, told: Told) -> Result<(), String> {
        if let Told::Act(tick, _) | Told::Run(tick) = told {
            if tick < self.tick {
                return Err(format!("tick {tick} is past: {} was told of before", self.tick));
            }
            self.tick = tick;
        }
        let entry = match told {
            Told::Act(_, BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll) => return Ok(()),
            Told::Act(tick, act) => Entry::Act(tick, act),
            Told::Run(tick) => Entry::Run(tick),
            Told::Found(finding) => {
                let offered = match &finding {
                    Finding::Reading(what, _) => {
                        self.drawn.design.spot(what)?;
                        self.look.number(what)
                    }
                    Finding::Seen(name, _) => {
                        let known = self.drawn.design.signal(name).map(|_| None);
                        known.ok_or_else(|| format!("there is no signal `{name}`"))?
                    }
                };
                self.found.push(finding.clone());
                self.ends.push(self.log.len() + 1);
                Entry::Found(self.found.len() - 1, finding, offered)
            }
            Told::PutRight(repair) => {
                repair.fits(&self.drawn.plan.parts, &self.drawn.plan.conductors)?;
                self.part();
                Entry::PutRight(repair)
            }
            Told::Plan(plan) => {
                let design = Design::build(&plan).map_err(|e| e.to_string())?;
                self.drawn = Drawn { plan: Rc::new(*plan), design: Rc::new(design) };
                self.part();
                self.look = Look::default();
                Entry::Plan(self.drawn.clone())
            }
        };
        self.log.push(entry);
        self.next = 0;
        Ok(())
    }

    /// Benches that stood for others stand for themselves from now on: what comes may tell them apart.
    fn part(&mut self) {
        self.same = None;
        for number in 0..self.followed.len() {
            let by = std::mem::replace(&mut self.stands[number], number);
            if by != number {
                let fault = self.followed[number].fault.take();
                self.followed[number] = self.followed[by].of_another(fault);
                self.look.forget(number);
            }
        }
        self.want();
    }

    /// Offers these readings from now on: what each bench shows of them is looked at as soon as all are as far as what was told.
    ///
    /// # Errors
    /// A terminal or conductor that is not there.
    pub fn offer(&mut self, readings: Vec<Measurement>) -> Result<(), String> {
        if self.look.is_off() || *self.look.offered != readings {
            self.look = Look::new(readings, &self.drawn.design, self.followed.len())?;
            self.next = 0;
        }
        Ok(())
    }

    /// What is still suspected of faults that stay, in the order of the suspects.
    pub fn left(&self) -> impl Iterator<Item = &Suspect> {
        self.lasting().map(|tried| &tried.suspect)
    }

    /// The same with how likely each is beside the others, by the part of its values that have themselves shown all that was found; the
    /// likeliest first.
    pub fn left_by_weight(&self) -> Vec<(&Suspect, f64)> {
        let mut all: Vec<_> = self.lasting().map(|tried| (&tried.suspect, tried.weight())).collect();
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        all
    }

    fn lasting(&self) -> impl Iterator<Item = &Tried> {
        self.tried.iter().filter(|tried| tried.is_left() && !tried.comes_and_goes)
    }

    /// The same of faults that come and go.
    pub fn left_coming_and_going(&self) -> impl Iterator<Item = &Suspect> {
        self.tried.iter().filter(|tried| tried.is_left() && tried.comes_and_goes).map(|tried| &tried.suspect)
    }

    /// What was found and is judged, and what each finding has ruled out: a suspect, and whether as one that comes and goes.
    pub fn found(&self) -> impl Iterator<Item = (&Finding, Vec<(&Suspect, bool)>)> {
        let by = |number: usize| {
            let out = self.tried.iter().filter(move |tried| tried.ruled_out == Some(number));
            out.map(|tried| (&tried.suspect, tried.comes_and_goes)).collect()
        };
        self.found[..self.judged].iter().enumerate().map(move |(number, finding)| (finding, by(number)))
    }

    /// What was found and is judged, with how many of the faults that stay it has ruled out, and how many it left.
    pub fn narrowing(&self) -> Vec<(&Finding, usize, usize)> {
        let stay = |(finding, out): (_, Vec<(&Suspect, bool)>)| {
            (finding, out.iter().filter(|(_, comes_and_goes)| !comes_and_goes).count(), 0)
        };
        let mut all: Vec<_> = self.found().map(stay).collect();
        let mut left = self.left().count();
        for (_, out, left_then) in all.iter_mut().rev() {
            *left_then = left;
            left += *out;
        }
        all
    }

    /// The offered readings that are expected to tell most of the suspects that stay, at most so many, with what each tells, bits: how much
    /// narrower the choice becomes on average, if each is as likely as any other. The best first; none that tells little more than one
    /// before it. Empty before everything is known.
    pub fn best(&self, most: usize) -> Vec<(&Measurement, f64)> {
        if self.progress().behind > 0 {
            return Vec::new();
        }
        let best = self.best_of(&self.look.scene(), &self.stands, most);
        best.into_iter().map(|(reading, bits)| (&self.look.offered[reading], bits)).collect()
    }
}
