//! Suspects: the single faults of the catalogue that still explain everything that was found on a bench.
//!
//! Each suspect is tried: benches with the fault are worked as the real one is, act by act at the same ticks, and what is found there
//! is held against what was found. Nobody here sees the bench at fault; what comes in are the drawn design, acts, and findings.
//!
//! A suspect is a fault without its value ("QA1 13-14 dirty"): the catalogue has a few values of each, and what is really there may
//! lie between them. So a figure counts as explained anywhere between what neighbouring values show, and where these leave the bench in
//! different states up to [`RATIO`] times as much; anything else if one of them shows it. That can keep a suspect that is none.

mod outcome;
mod readings;

use outcome::{Outcome, Outcomes};
pub use readings::readings;
use sealin_core::fault::{Mode, Presence, Unit, Value};
use sealin_core::instruments::Shown;
use sealin_core::{Bench, BenchAct, BuildError, Fault, Measurement, Plan};

/// Neighbouring values of a suspect lie at most so far apart, one to the other: between those of the catalogue others are tried.
pub const RATIO: i32 = 10;

/// What can be found out about a bench at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// What an instrument shows.
    Reading(Measurement, Shown),
    /// What eyes, ears or an indicator light tell of a signal.
    Seen(String, bool),
}

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

/// One suspect with its benches.
#[derive(Clone, Debug)]
struct Tried {
    suspect: Suspect,
    /// One for each value that is tried, in their order.
    benches: Vec<Bench>,
    /// Between its values and none lie others.
    between: bool,
    /// Number of the finding that it does not explain.
    ruled_out: Option<usize>,
}

/// A drawn design with everything that is suspected in it.
#[derive(Clone, Debug)]
pub struct Suspects {
    sound: Bench,
    tried: Vec<Tried>,
    found: Vec<Finding>,
}

impl Suspects {
    /// Suspects these faults of a design that has been at rest so far, with its supply off; those that stay only.
    ///
    /// # Errors
    /// Why there is no bench with one of them.
    pub fn new(plan: &Plan, faults: &[Fault]) -> Result<Suspects, BuildError> {
        let mut all: Vec<(Suspect, &Fault)> = faults
            .iter()
            .filter(|fault| fault.presence == Presence::Stays)
            .map(|fault| (Suspect::of(fault), fault))
            .collect();
        all.sort();
        let mut tried: Vec<Tried> = Vec::new();
        for (suspect, fault) in denser(all) {
            let between = matches!(fault.value, Value::Number(_));
            let mut with = plan.clone();
            with.faults.insert(fault);
            let bench = Bench::new(with)?;
            match tried.last_mut() {
                Some(last) if last.suspect == suspect => last.benches.push(bench),
                _ => tried.push(Tried { suspect, benches: vec![bench], between, ruled_out: None }),
            }
        }
        Ok(Suspects { sound: Bench::new(plan.clone())?, tried, found: Vec::new() })
    }

    /// The benches of what is still suspected, and the sound one.
    fn benches(&mut self) -> impl Iterator<Item = &mut Bench> {
        let left = self.tried.iter_mut().filter(|tried| tried.ruled_out.is_none());
        left.flat_map(|tried| &mut tried.benches).chain([&mut self.sound])
    }

    /// Does on every bench what was done on the one at fault. A bench that refuses it, as a padlock does, goes on without.
    pub fn act(&mut self, act: &BenchAct) {
        self.benches().for_each(|bench| {
            let _ = bench.act(act.clone());
        });
    }

    /// Runs every bench to a tick. What is known of networks is forgotten afterwards: hundreds of benches would hold on to much.
    pub fn run_until(&mut self, tick: u64) {
        self.benches().for_each(|bench| {
            bench.run_until(tick, &mut |_, _, _| {});
            bench.empty_cache();
        });
    }

    /// Takes a finding, and gives how many suspects it has ruled out. An instrument that does harm does it on every bench.
    ///
    /// # Errors
    /// A terminal, conductor or signal that is not there; then nothing happens.
    pub fn find(&mut self, finding: Finding) -> Result<usize, String> {
        let shown = Outcome::of(&finding);
        let sound = Outcome::on(&self.sound, &finding)?;
        let number = self.found.len();
        let mut out = 0;
        for tried in self.tried.iter_mut().filter(|tried| tried.ruled_out.is_none()) {
            if !tried.outcomes(&finding, &sound, &self.sound)?.explain(&shown) {
                tried.ruled_out = Some(number);
                out += 1;
            }
        }
        if let Finding::Reading(measurement, _) = &finding {
            self.benches().for_each(|bench| {
                let _ = bench.take_reading(measurement);
            });
        }
        self.found.push(finding);
        Ok(out)
    }

    /// What is still suspected, in the order of the suspects.
    pub fn left(&self) -> impl Iterator<Item = &Suspect> {
        self.tried.iter().filter(|tried| tried.ruled_out.is_none()).map(|tried| &tried.suspect)
    }

    /// What was found, and what each finding has ruled out.
    pub fn found(&self) -> impl Iterator<Item = (&Finding, Vec<&Suspect>)> {
        let by = |number: usize| {
            let out = self.tried.iter().filter(move |tried| tried.ruled_out == Some(number));
            out.map(|tried| &tried.suspect).collect()
        };
        self.found.iter().enumerate().map(move |(number, finding)| (finding, by(number)))
    }

    /// What an instrument is expected to tell of the suspects, bits: how much narrower the choice becomes on average, if each is as
    /// likely as any other. 0 if all show the same.
    ///
    /// # Errors
    /// A terminal or conductor that is not there.
    pub fn worth(&self, measurement: &Measurement) -> Result<f64, String> {
        // What is shown does not matter for what is expected.
        let asked = Finding::Reading(measurement.clone(), Shown::Refused);
        let sound = Outcome::on(&self.sound, &asked)?;
        let left = self.tried.iter().filter(|tried| tried.ruled_out.is_none());
        let all =
            left.map(|tried| tried.outcomes(&asked, &sound, &self.sound)).collect::<Result<Vec<_>, _>>()?;
        Ok(Outcomes::worth(&all))
    }

    /// The readings that are worth most, the best first, at most so many; none of those that are worth nothing.
    pub fn best(&self, offered: &[Measurement], most: usize) -> Vec<(Measurement, f64)> {
        let mut all: Vec<(Measurement, f64)> = offered
            .iter()
            .filter_map(|measurement| Some((measurement.clone(), self.worth(measurement).ok()?)))
            .filter(|(_, bits)| *bits > 0.0)
            .collect();
        all.sort_by(|(_, a), (_, b)| b.total_cmp(a));
        all.truncate(most);
        all
    }
}

impl Tried {
    /// Everything that this suspect can show there.
    fn outcomes(&self, finding: &Finding, sound: &Outcome, sound_bench: &Bench) -> Result<Outcomes, String> {
        let own = self.benches.iter().map(|bench| Outcome::on(bench, finding));
        let mut all = own.collect::<Result<Vec<_>, _>>()?;
        if !self.between {
            return Ok(Outcomes { all, between: Vec::new() });
        }
        // Of some faults the lowest value is next to none, of others the highest.
        let states: Vec<&Bench> =
            [sound_bench].into_iter().chain(&self.benches).chain([sound_bench]).collect();
        all.insert(0, *sound);
        all.push(*sound);
        let same = |pair: &[&Bench]| pair[0].state.signals == pair[1].state.signals;
        Ok(Outcomes { all, between: states.windows(2).map(same).collect() })
    }
}

/// Puts values between those of a suspect that lie far apart.
fn denser(all: Vec<(Suspect, &Fault)>) -> Vec<(Suspect, Fault)> {
    let mut dense: Vec<(Suspect, Fault)> = Vec::new();
    for (suspect, fault) in all {
        if let (Some((last, before)), Unit::Ohm) = (dense.last().cloned(), fault.mode.unit())
            && last == suspect
            && let (Value::Number(low), Value::Number(high)) = (before.value, &fault.value)
        {
            let mut between = low.saturating_mul(RATIO);
            while between < *high {
                dense.push((suspect.clone(), Fault { value: Value::Number(between), ..fault.clone() }));
                between = between.saturating_mul(RATIO);
            }
        }
        dense.push((suspect, fault.clone()));
    }
    dense
}
