//! Whether a fault is noticed in normal use: by the program, whose alarm rises, or by a person, who sees lamps and motors.
//!
//! The normal use of a requirement is what its trials do, on the whole bench with motor and heat: each is done on a bench without
//! the fault and on one that has it from before the first act, with the same acts at the same ticks, whatever the bench makes of
//! them. An expectation is no act; it takes all the time that it allows. Faults that a trial injects itself are left out, as one is
//! looked at at a time. What is damaged by the fault on the way belongs to the run.
//!
//! A fault is noticed where the two runs differ for [`NOTICED_MS`] without a break: by the program if an alarm that the scenario
//! declares is on with the fault and off without it; by a person if a lamp is lit in one run only, or a motor is under power, or
//! turns, or turns to one side, in one run only. That it is not noticed says that nothing differs in any of the trials; other use may
//! show it.

use crate::scenario::{Requirement, Scenario};
use sealin_core::design::{Design, SignalSource};
use sealin_core::part::Kind;
use sealin_core::{Bench, BenchAct, Fault, Plan};
use sealin_proof::steps::{Script, StepKind, When};
use std::collections::BTreeMap;

/// How long a difference lasts that is noticed, ms: a person needs about 200 ms to react to what is seen (simple reaction time,
/// textbook value). What is shorter may be seen, and is not counted on.
pub const NOTICED_MS: u64 = 200;

/// Where a fault shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sighting {
    /// The signal that differs: `PF1.lit`, `MA1.turning`, an alarm's name; or `MA1.fed`, that a motor is under power.
    pub signal: String,
    /// Whether it is on with the fault, and off without it; or the other way round.
    pub on: bool,
    /// Id of the requirement whose trial it is.
    pub requirement: String,
    /// Name of the trial.
    pub trial: String,
    /// First tick of the difference, ms from the start of the trial.
    pub tick: u64,
}

/// By whom a fault is noticed in the normal use of a requirement, and where first.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Noticed {
    /// By the program.
    pub by_program: Option<Sighting>,
    /// By a person.
    pub by_person: Option<Sighting>,
}

/// What is watched: first the alarms, then what a person sees; at most 64.
struct Watched {
    names: Vec<String>,
    alarms: usize,
}

/// Where on a bench something watched is read.
enum Place {
    Signal(usize),
    /// Whether the motor with this tag is under power.
    Fed(String),
    Nowhere,
}

impl Place {
    fn of(design: &Design, name: &str) -> Place {
        match (design.signal(name), name.strip_suffix(FED)) {
            (Some(signal), _) => Place::Signal(signal),
            (None, Some(tag)) => Place::Fed(tag.to_string()),
            (None, None) => Place::Nowhere,
        }
    }

    fn read(&self, bench: &Bench) -> bool {
        match self {
            Place::Signal(signal) => bench.state.signal(*signal),
            Place::Fed(tag) => bench.motor(tag).is_some_and(|motor| motor.is_fed()),
            Place::Nowhere => false,
        }
    }
}

/// End of the name under which it is told that a motor is under power.
const FED: &str = ".fed";

/// The watched signals from these ticks on, one bit each.
type Seen = Vec<(u64, u64)>;

/// One trial without its expectations, and what is seen of it without a fault.
struct Use {
    trial: String,
    acts: Vec<(u64, BenchAct)>,
    end: u64,
    sound: Seen,
}

/// A design and its scenario, and what was found out so far.
pub struct Noticing<'a> {
    scenario: &'a Scenario,
    plan: &'a Plan,
    watched: Watched,
    /// By number of the requirement.
    uses: BTreeMap<usize, Vec<Use>>,
    known: BTreeMap<(usize, Fault), Noticed>,
}

impl<'a> Noticing<'a> {
    /// Most signals that are watched.
    const MOST: usize = 64;

    /// A bench with its program.
    ///
    /// # Errors
    /// Why no bench can be built of the plan.
    pub fn new(scenario: &'a Scenario, plan: &'a Plan) -> Result<Noticing<'a>, String> {
        let bench = Bench::new(plan.clone()).map_err(|e| e.to_string())?;
        let declared = scenario.alarms.iter().filter(|name| bench.design.signal(name).is_some());
        let mut names: Vec<String> = declared.cloned().collect();
        let alarms = names.len();
        let motors = plan.parts.iter().filter(|part| matches!(part.kind, Kind::Motor(_)));
        names.extend(motors.map(|part| format!("{}{FED}", part.tag)));
        let seen = bench.design.signals.iter().filter(|signal| is_seen(signal.source));
        names.extend(seen.map(|signal| signal.name.clone()));
        names.truncate(Self::MOST);
        let watched = Watched { names, alarms };
        Ok(Noticing { scenario, plan, watched, uses: BTreeMap::new(), known: BTreeMap::new() })
    }

    /// Whether any alarm is declared that this design has.
    pub fn has_alarms(&self) -> bool {
        self.watched.alarms > 0
    }

    /// By whom a fault is noticed in the normal use of the requirement with this id; where there is none, of all.
    ///
    /// # Errors
    /// Why there is no bench with this fault.
    pub fn of(&mut self, id: &str, fault: &Fault) -> Result<Noticed, String> {
        let own = self.scenario.requirements.iter().position(|requirement| requirement.id == id);
        let mut noticed = Noticed::default();
        for number in own.map_or(0..self.scenario.requirements.len(), |own| own..own + 1) {
            let found = self.of_requirement(number, fault)?;
            noticed.by_program = noticed.by_program.or(found.by_program);
            noticed.by_person = noticed.by_person.or(found.by_person);
            if self.is_all(&noticed) {
                break;
            }
        }
        Ok(noticed)
    }

    /// Whether nothing is left to be found out.
    fn is_all(&self, noticed: &Noticed) -> bool {
        noticed.by_person.is_some() && (noticed.by_program.is_some() || !self.has_alarms())
    }

    fn of_requirement(&mut self, number: usize, fault: &Fault) -> Result<Noticed, String> {
        let key = (number, fault.clone());
        if let Some(known) = self.known.get(&key) {
            return Ok(known.clone());
        }
        let requirement = &self.scenario.requirements[number];
        if !self.uses.contains_key(&number) {
            self.uses.insert(number, uses(requirement, self.plan, &self.watched)?);
        }
        let mut plan = self.plan.clone();
        plan.faults.insert(fault.clone());
        let mut noticed = Noticed::default();
        for one in &self.uses[&number] {
            let faulty = played(&plan, &one.acts, one.end, &self.watched)?;
            let sighting = |(place, on, tick): (usize, bool, u64)| Sighting {
                signal: self.watched.names[place].clone(),
                on,
                requirement: requirement.id.clone(),
                trial: one.trial.clone(),
                tick,
            };
            let alarms = (1u64 << self.watched.alarms) - 1;
            let first = |differs: fn(u64, u64) -> u64, mask: u64| {
                lasting(&one.sound, &faulty, one.end, &|sound, faulty| differs(sound, faulty) & mask)
            };
            let program = || first(|sound, faulty| faulty & !sound, alarms).map(sighting);
            let person = || first(|sound, faulty| faulty ^ sound, !alarms).map(sighting);
            noticed.by_program = noticed.by_program.or_else(program);
            noticed.by_person = noticed.by_person.or_else(person);
            if self.is_all(&noticed) {
                break;
            }
        }
        self.known.insert(key, noticed.clone());
        Ok(noticed)
    }
}

/// Whether a person at the machine sees it without opening anything.
fn is_seen(source: SignalSource) -> bool {
    matches!(
        source,
        SignalSource::Lit(_)
            | SignalSource::Turning(_)
            | SignalSource::Clockwise(_)
            | SignalSource::Counterclockwise(_)
    )
}

fn uses(requirement: &Requirement, plan: &Plan, watched: &Watched) -> Result<Vec<Use>, String> {
    let one = |trial: &crate::scenario::Trial| {
        let (acts, end) = acts(&trial.script);
        let sound = played(plan, &acts, end, watched)?;
        Ok(Use { trial: trial.name.clone(), acts, end, sound })
    };
    requirement.trials.iter().map(one).collect()
}

/// The acts of a script with their ticks, and the tick at which it ends.
fn acts(script: &Script) -> (Vec<(u64, BenchAct)>, u64) {
    let (mut acts, mut now) = (Vec::new(), 0);
    for step in &script.steps {
        match &step.kind {
            StepKind::Act(BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll) => {}
            StepKind::Act(act) => acts.push((now, act.clone())),
            StepKind::Wait(ms) | StepKind::Expect(_, When::Within(ms) | When::For(ms)) => now += ms,
            StepKind::Expect(_, When::Now) => now += 1,
        }
    }
    (acts, now)
}

/// What is seen while acts are done. What the bench refuses, as a padlock does, is not done.
fn played(plan: &Plan, acts: &[(u64, BenchAct)], end: u64, watched: &Watched) -> Result<Seen, String> {
    let mut bench = Bench::new(plan.clone()).map_err(|e| e.to_string())?;
    let places: Vec<Place> = watched.names.iter().map(|name| Place::of(&bench.design, name)).collect();
    let mut acts = acts.iter().peekable();
    let mut seen = Seen::new();
    while bench.tick() < end {
        let tick = bench.tick();
        while let Some((_, act)) = acts.next_if(|(at, _)| *at <= tick) {
            let _ = bench.act(act.clone());
        }
        let next = acts.peek().map_or(end, |(at, _)| (*at).min(end));
        if bench.skip_quiet(next) > 0 {
            continue;
        }
        bench.step();
        let word = places.iter().rev().fold(0, |word, place| word << 1 | u64::from(place.read(&bench)));
        if seen.last().is_none_or(|&(_, last)| last != word) {
            seen.push((tick, word));
        }
    }
    Ok(seen)
}

/// The first difference that lasts: place of the signal, whether it is on in the second run, and from which tick on.
fn lasting(
    one: &Seen,
    other: &Seen,
    end: u64,
    differs: &dyn Fn(u64, u64) -> u64,
) -> Option<(usize, bool, u64)> {
    let mut since = [None; u64::BITS as usize];
    let mut ticks: Vec<u64> = one.iter().chain(other).map(|(tick, _)| *tick).collect();
    ticks.push(end);
    ticks.sort_unstable();
    ticks.dedup();
    let at = |seen: &Seen, tick: u64| {
        let after = seen.partition_point(|(from, _)| *from <= tick);
        after.checked_sub(1).map_or(0, |last| seen[last].1)
    };
    for pair in ticks.windows(2) {
        let (sound, faulty) = (at(one, pair[0]), at(other, pair[0]));
        let now = differs(sound, faulty);
        for (place, since) in since.iter_mut().enumerate() {
            if now >> place & 1 == 0 {
                *since = None;
                continue;
            }
            let from = *since.get_or_insert(pair[0]);
            if pair[1] - from >= NOTICED_MS {
                return Some((place, faulty >> place & 1 != 0, from));
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: bit 0 differs from 100 to 299 and again from 400 on, bit 1 for one tick short of enough.
    #[test]
    fn a_difference_counts_when_it_lasts() {
        let sound: Seen = vec![(0, 0), (400, 0b10)];
        let other: Seen = vec![(0, 0), (100, 0b01), (299, 0), (400, 0b01), (599, 0b11)];
        let all = |a: u64, b: u64| a ^ b;
        assert_eq!(lasting(&sound, &other, 599, &all), None);
        assert_eq!(lasting(&sound, &other, 600, &all), Some((0, true, 400)));
        assert_eq!(lasting(&sound, &other, 600, &|a, b| a & !b), None);
        assert_eq!(lasting(&other, &sound, 600, &all), Some((0, false, 400)));
    }

    /// Acts keep their ticks; what a trial injects is no act, and an expectation takes the time that it allows.
    #[test]
    fn normal_use_is_a_trial_without_its_faults() {
        let script = Script::parse(
            "power on; wait 2s\npress SF2; expect QA1.closed within 100ms; inject conductor S04 open\nexpect QA1.coil; \
             clear all; release SF2; expect not QA1.closed for 1s",
        )
        .unwrap();
        let (acts, end) = acts(&script);
        let lines: Vec<String> = acts.iter().map(|(tick, act)| format!("{tick} {act}")).collect();
        assert_eq!(lines, ["0 power on", "2000 press SF2", "2101 release SF2"]);
        assert_eq!(end, 3101);
    }
}
