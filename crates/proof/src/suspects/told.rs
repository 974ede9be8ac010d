//! What is told of a bench at fault, and how a bench that is followed works through it.

use super::outcome::Outcome;
use super::tried::Showed;
use sealin_core::fault::Fault;
use sealin_core::instruments::Shown;
use sealin_core::{Bench, BenchAct, BuildError, Design, Measurement, Plan, Repair};
use std::hash::{Hash, Hasher};
use std::rc::Rc;

/// What can be found out about a bench at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// What an instrument shows.
    Reading(Measurement, Shown),
    /// What eyes, ears or an indicator light tell of a signal.
    Seen(String, bool),
}

/// One thing that has happened to a bench at fault, in the order of a log. Ticks never go back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// An act was taken at the start of this tick. One that sets or clears a fault is passed over.
    Act(u64, BenchAct),
    /// The bench has run up to this tick.
    Run(u64),
    /// Something was found out.
    Found(Finding),
    /// Something was put right.
    PutRight(Repair),
    /// The bench was built anew from another plan, faults aside.
    Plan(Box<Plan>),
}

/// The same, ready to be worked through.
#[derive(Clone, Debug)]
pub(super) enum Entry {
    Act(u64, BenchAct),
    Run(u64),
    /// With its number, and that of the reading among those that are offered.
    Found(usize, Finding, Option<usize>),
    PutRight(Repair),
    Plan(Drawn),
}

/// What a bench showed at a finding, by its number.
#[derive(Clone, Debug)]
pub(super) struct Noted {
    pub finding: usize,
    pub showed: Showed,
}

/// Currents of each motor, mA, and its speed, thousandths.
fn drive(bench: &Bench) -> Rc<[i64]> {
    let thousandths = |value: f64| (value * 1000.0) as i64;
    let mut all = Vec::new();
    for motor in &bench.state.motors {
        all.extend(motor.current.map(|current| thousandths(current.abs())));
        all.push(thousandths(motor.stamped));
    }
    all.into()
}

/// A bench that is worked as the one at fault.
#[derive(Clone, Debug)]
pub(super) struct Followed {
    /// What is wrong with it; nothing with the sound one.
    pub fault: Option<Fault>,
    drawn: Drawn,
    /// None before it is built.
    pub bench: Option<Bench>,
    /// Entries of the log that it has worked through.
    pub done: usize,
    /// What it showed, of findings that are not judged yet.
    pub noted: Vec<Noted>,
    /// Digest of all its signals have done so far.
    trace: u64,
    /// They have at some tick not done what those of the sound bench did.
    pub strayed: bool,
    /// Signals that have changed, one bit each.
    pub turned: Vec<u64>,
}

/// Most ticks of one piece of work.
const MOST_TICKS: u64 = 2_000;

impl Followed {
    pub fn new(fault: Option<Fault>, drawn: &Drawn) -> Followed {
        let (drawn, noted, turned) = (drawn.clone(), Vec::new(), Vec::new());
        Followed { fault, drawn, bench: None, done: 0, noted, trace: 0, strayed: false, turned }
    }

    /// The same bench with another fault, which has done the same so far.
    pub fn of_another(&self, fault: Option<Fault>) -> Followed {
        Followed { fault, ..self.clone() }
    }

    /// Builds its design as it was drawn at the start.
    ///
    /// # Errors
    /// Why it cannot be built with the fault.
    pub fn build(&self) -> Result<Rc<Design>, BuildError> {
        match &self.fault {
            None => Ok(Rc::clone(&self.drawn.design)),
            fault => self.drawn.build(&with(&self.drawn.plan, fault.as_ref())),
        }
    }

    /// Puts a design on its bench, at rest.
    pub fn begin(&mut self, design: Rc<Design>) {
        self.bench = Some(Bench::of(design, Rc::clone(&self.drawn.plan)));
    }

    /// Works on through the log, at most so far. After each entry `after` is told its number and the digest of all that the signals have
    /// done; it tells whether that has strayed from what those of the sound bench did. Returns whether it is through.
    ///
    /// # Errors
    /// Why a plan cannot be built with the fault.
    pub fn work(
        &mut self,
        log: &[Entry],
        until: usize,
        known: &dyn Fn(usize, &Bench) -> Option<Outcome>,
        after: &mut dyn FnMut(usize, u64) -> bool,
    ) -> Result<bool, BuildError> {
        let mut ticks = MOST_TICKS;
        while self.done < until {
            let entry = &log[self.done];
            let to = match entry {
                Entry::Act(tick, _) | Entry::Run(tick) => *tick,
                _ => 0,
            };
            ticks -= self.run(to, ticks);
            if self.bench.as_ref().is_some_and(|bench| bench.tick() < to) {
                break;
            }
            self.take(entry, known)?;
            self.strayed |= after(self.done, self.trace);
            self.done += 1;
        }
        let through = self.done == until;
        if through {
            // What is known of networks is forgotten: hundreds of benches would hold on to much. Until then it is worked on alone.
            self.bench.iter_mut().for_each(Bench::empty_cache);
        }
        Ok(through)
    }

    /// Runs on to a tick, by so many at most. Returns by how many.
    fn run(&mut self, to: u64, most: u64) -> u64 {
        let Some(bench) = &mut self.bench else { return 0 };
        let from = bench.tick();
        let (trace, turned) = (&mut self.trace, &mut self.turned);
        turned.resize(bench.state.signals.len(), 0);
        bench.run_until(to.min(from + most), &mut |_, tick, events| {
            if !events.changed.is_empty() {
                *trace = digest(&(*trace, tick, &events.changed));
            }
            events.changed.iter().for_each(|(signal, _)| turned[signal / 64] |= 1 << (signal % 64));
        });
        bench.tick() - from
    }

    fn take(
        &mut self,
        entry: &Entry,
        known: &dyn Fn(usize, &Bench) -> Option<Outcome>,
    ) -> Result<(), BuildError> {
        let Some(bench) = &mut self.bench else { return Ok(()) };
        match entry {
            // A bench that refuses it, as a padlock does, goes on without.
            Entry::Act(_, act) => drop(bench.act(act.clone())),
            Entry::Run(_) => {}
            Entry::Found(number, finding, offered) => {
                let outcome = offered.and_then(|offered| known(offered, bench));
                // Where a place is not there any more nothing is said against the suspect.
                if let Some(outcome) = outcome.or_else(|| Outcome::take(bench, finding).ok()) {
                    let turned = match finding {
                        Finding::Seen(name, _) => {
                            bench.design.signal(name).is_some_and(|signal| has(&self.turned, signal))
                        }
                        Finding::Reading(..) => false,
                    };
                    let showed = Showed {
                        outcome,
                        signals: digest(&bench.state.signals),
                        turned,
                        strayed: self.strayed,
                        drive: Some(drive(bench)),
                    };
                    self.noted.push(Noted { finding: *number, showed });
                }
            }
            Entry::PutRight(repair) => {
                let cures = |fault: &Fault| repair.cures(fault, &self.drawn.plan.conductors);
                if self.fault.as_ref().is_some_and(cures) {
                    self.fault = None;
                    bench.go_on_with(Rc::clone(&self.drawn.design), Rc::clone(&self.drawn.plan));
                }
            }
            Entry::Plan(drawn) => {
                let design = match self.fault {
                    None => Rc::clone(&drawn.design),
                    Some(_) => drawn.build(&with(&drawn.plan, self.fault.as_ref()))?,
                };
                bench.go_on_with(design, Rc::clone(&drawn.plan));
                self.drawn = drawn.clone();
                // Signals have other numbers from now on.
                self.turned.clear();
            }
        }
        Ok(())
    }
}

/// Whether the bit of a signal is set.
pub(super) fn has(bits: &[u64], signal: usize) -> bool {
    bits.get(signal / 64).is_some_and(|word| word >> (signal % 64) & 1 != 0)
}

/// A plan with a fault, if that fits.
pub(super) fn with(drawn: &Plan, fault: Option<&Fault>) -> Plan {
    let mut plan = drawn.clone();
    plan.faults.extend(fault.filter(|fault| fault.fits(drawn).is_ok()).cloned());
    plan
}

/// The plan as it is drawn, and its design.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    pub plan: Rc<Plan>,
    pub design: Rc<Design>,
}

impl Drawn {
    /// Builds a plan that differs in a fault, sharing what is equal.
    pub fn build(&self, plan: &Plan) -> Result<Rc<Design>, BuildError> {
        let mut design = Design::build(plan)?;
        design.share(&self.design);
        Ok(Rc::new(design))
    }
}

/// A digest of anything: for comparing only, never saved.
pub(super) fn digest(of: &impl Hash) -> u64 {
    let mut hash = rustc_hash::FxHasher::default();
    of.hash(&mut hash);
    hash.finish()
}
