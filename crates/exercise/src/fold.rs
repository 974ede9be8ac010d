//! The fold: from a log to the state of the bench, the work and the trace. The only way in which any of them changes.

use crate::attempt::{Act, Attempt, Change, Entry, MOST_TICKS};
use crate::flow::Flows;
use crate::hunt::{Hidden, Hunt};
use crate::project::Project;
use crate::scenario::{Scenario, Tool};
use crate::setting::Setting;
use sealin_core::instruments::Danger;
use sealin_core::step::Note;
use sealin_core::{Bench, BenchAct, BuildError, Fault, Live, Measured, Measurement, Repair, Restart, Trace};
use sealin_proof::Formula;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::rc::Rc;

/// Everything that a line of the log has brought about.
#[derive(Clone, Debug)]
pub struct Fold {
    scenario: Rc<Scenario>,
    /// The work.
    pub project: Project,
    /// The bench.
    pub bench: Bench,
    /// What happened on this line.
    pub trace: Trace,
    /// What a person was told on this line, with its tick.
    pub notes: Vec<(u64, Note)>,
    /// What flows through the overloads, and since when.
    pub flows: Flows,
    /// Readings taken on this line.
    pub readings: Vec<Taken>,
    /// What was recorded by hand on this line, by the name of the check, with its tick: the newest.
    pub records: BTreeMap<String, (u64, String)>,
    /// Unsafe acts on this line, with their ticks.
    pub unsafe_acts: Vec<(u64, UnsafeAct)>,
    /// Tick at which something was last switched on: what was proved dead before is so no longer.
    pub switched_on: u64,
    /// The search for a fault, in a job of fault finding.
    pub hunt: Hunt,
    /// What must be seen in such a job.
    conditions: Rc<[Formula]>,
    /// Faults on conductors and in rungs that have been taken out: they are there again when these are.
    out: BTreeSet<Fault>,
}

/// A reading that was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Tick at which the instrument showed it.
    pub tick: u64,
    /// What was measured and where.
    pub what: Measurement,
    /// What was shown.
    pub measured: Measured,
}

/// An act that could have hurt someone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum UnsafeAct {
    /// A conductor was made, moved or taken away while the supply was on.
    LiveChange {
        /// Id of the conductor.
        conductor: String,
    },
    /// A part was replaced while it was live.
    LiveReplace {
        /// Tag of the part.
        part: String,
        /// The voltage at it.
        live: Live,
    },
    /// A mechanical interlock was fitted or taken off while a contactor was live.
    LiveFit {
        /// Tag of the contactor.
        part: String,
        /// The voltage at it.
        live: Live,
    },
    /// Something was put right while it was live.
    LiveRepair {
        /// What was done.
        repair: Repair,
        /// The voltage there.
        live: Live,
    },
    /// A reading was taken where it must not be.
    Reading {
        /// What was measured and where.
        what: Measurement,
        /// Why it was unsafe.
        danger: Danger,
    },
}

impl fmt::Display for UnsafeAct {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            UnsafeAct::LiveChange { conductor } => {
                write!(f, "conductor {conductor} changed with the supply on")
            }
            UnsafeAct::LiveReplace { part, live } => write!(
                f,
                "{part} replaced while live: {live}. Isolate, lock off and prove dead before a hand goes in"
            ),
            UnsafeAct::LiveFit { part, live } => write!(
                f,
                "the mechanical interlock at {part} fitted or taken off while live: {live}. Isolate, lock off and prove dead \
                 before a hand goes in"
            ),
            UnsafeAct::LiveRepair { repair, live } => {
                write!(
                    f,
                    "{repair} while live: {live}. Isolate, lock off and prove dead before a hand goes in"
                )
            }
            UnsafeAct::Reading { what, danger } => write!(f, "{what}: {danger}"),
        }
    }
}

/// Why a log cannot be followed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("entry {entry}: {reason}")]
pub struct FoldError {
    /// Number of the entry.
    pub entry: usize,
    /// What is wrong with it.
    pub reason: String,
}

/// Most notes, readings, records and unsafe acts that are kept of each.
const MOST_NOTES: usize = 1_000;

impl Fold {
    /// The start of a line.
    pub fn new(scenario: Rc<Scenario>) -> Result<Fold, BuildError> {
        let hidden = Hidden::of(&scenario);
        Fold::with(scenario, hidden)
    }

    /// The same with something else hidden in the machine.
    pub(crate) fn with(scenario: Rc<Scenario>, hidden: Hidden) -> Result<Fold, BuildError> {
        let project = Project { hidden, ..Project::given(&scenario) };
        let mut bench = Bench::new(project.plan(&scenario))?;
        bench.hide(project.hidden.there().clone())?;
        let mut trace = Trace::default();
        trace.design_changed(&bench);
        Ok(Fold {
            project,
            trace,
            notes: Vec::new(),
            flows: Flows::default(),
            readings: Vec::new(),
            records: BTreeMap::new(),
            unsafe_acts: Vec::new(),
            switched_on: 0,
            hunt: Hunt::of(&scenario),
            conditions: conditions(&scenario, &bench),
            out: BTreeSet::new(),
            scenario,
            bench,
        })
    }

    /// Runs to tick `to` with nothing done.
    pub fn run_to(&mut self, to: u64) {
        let (trace, notes, flows) = (&mut self.trace, &mut self.notes, &mut self.flows);
        let (hunt, conditions) = (&mut self.hunt, &self.conditions);
        self.bench.run_until(to, &mut |bench, tick, events| {
            trace.take(bench, tick, &events);
            flows.take(bench, tick, &events);
            if !conditions.is_empty() && !events.changed.is_empty() {
                hunt.look(bench, tick, conditions);
            }
            for note in events.notes {
                if notes.len() < MOST_NOTES {
                    notes.push((tick, note));
                }
            }
        });
        hunt.settle(to);
    }

    /// Takes one entry of the log. A seek must have been resolved by the caller: it only runs to its tick.
    pub fn take(&mut self, entry: &Entry) -> Result<(), String> {
        let now = self.bench.tick();
        if entry.at < now {
            return Err(format!("tick {} lies before tick {now}, which has been computed", entry.at));
        }
        if entry.at > MOST_TICKS {
            return Err(format!("tick {} lies beyond the 24 h that an attempt may last", entry.at));
        }
        self.run_to(entry.at);
        self.is_open(&entry.act)?;
        match &entry.act {
            Act::Bench(act) => {
                let before = Rc::clone(&self.bench.design);
                // One that went with its conductor or rung does not come back with it.
                if !matches!(act, BenchAct::Clear(fault) if self.out.remove(fault)) {
                    self.bench.act(act.clone())?;
                }
                if let BenchAct::Replace(part) = act
                    && let Some(live) = self.bench.live(part)
                {
                    self.unsafe_act(UnsafeAct::LiveReplace { part: part.clone(), live });
                }
                // Only a fault builds the design anew.
                if !Rc::ptr_eq(&before, &self.bench.design) {
                    self.trace.design_changed(&self.bench);
                }
                if *act == BenchAct::ClearAll {
                    self.out.clear();
                }
                if matches!(act, BenchAct::Power(true) | BenchAct::Close(_)) {
                    self.switched_on = entry.at;
                }
            }
            Act::Design(change) | Act::Undo { change, .. } | Act::Redo { change, .. } => {
                self.change(change)?
            }
            Act::Transfer { cold } => self.transfer(*cold)?,
            Act::Reading(r) => {
                let (from, to) = (r.from.clone(), r.to.clone());
                // Version 1 took readings without asking whether the terminals were there.
                let _ = self.measure(&Measurement::Between { function: r.function, from, to });
            }
            Act::Measure(what) => {
                self.measure(what)?;
            }
            Act::Repair(repair) => self.repair(repair)?,
            Act::Diagnose(diagnosis) => {
                let plan = self.bench.plan();
                diagnosis.fault.fits(plan)?;
                self.hunt.diagnose(entry.at, diagnosis)?;
            }
            // Nothing happens on the bench; it counts over all lines ([`crate::conduct`]).
            Act::Look => {}
            Act::HandIn => self.hand_in()?,
            Act::Record { check, text } => {
                if self.records.len() < MOST_NOTES || self.records.contains_key(check) {
                    self.records.insert(check.clone(), (entry.at, text.clone()));
                }
            }
            // Nothing happens on the bench; they count over all lines ([`crate::conduct`]).
            Act::Predict { prediction, answer } => {
                self.scenario.answer(prediction, *answer)?;
            }
            Act::Hint { hint } => {
                self.scenario.hint(hint).ok_or_else(|| format!("there is no hint `{hint}`"))?;
            }
            Act::Seek { tick, .. } => {
                if *tick > MOST_TICKS {
                    return Err(format!("tick {tick} lies beyond the 24 h that an attempt may last"));
                }
                self.run_to(*tick);
            }
            Act::Run { to } => {
                if *to < entry.at || *to > MOST_TICKS {
                    return Err(format!("a run to tick {to} cannot start at tick {}", entry.at));
                }
                self.run_to(*to);
            }
        }
        self.run_to(entry.at.saturating_add(entry.act.ticks()).min(MOST_TICKS));
        Ok(())
    }

    /// Whether an act is one for this job as it stands: what would tell of a hidden fault, or take it away unseen, is not.
    pub(crate) fn is_open(&self, act: &Act) -> Result<(), String> {
        let Some(finding) = &self.scenario.fault_finding else {
            return match act {
                Act::Repair(_) | Act::Diagnose(_) | Act::Look | Act::HandIn => {
                    Err("this is no job of fault finding".to_string())
                }
                _ => Ok(()),
            };
        };
        let needs = |tool: Tool| match finding.allows(tool) {
            true => Ok(()),
            false => Err(format!("this job is done without `{}`", tool.word())),
        };
        let refused = |why: &str| Err(format!("in a job of fault finding {why}"));
        if matches!(act, Act::Seek { .. }) {
            return refused("there is no going back");
        }
        if self.hunt.handed_in.is_some() {
            return match act {
                Act::Repair(_) | Act::Diagnose(_) | Act::Look | Act::HandIn => {
                    Err("the work has been handed in".to_string())
                }
                _ => Ok(()),
            };
        }
        match act {
            Act::Design(_) | Act::Undo { .. } | Act::Redo { .. } => {
                refused("the drawing stays as it is; a fault is put right on the machine")
            }
            Act::Transfer { .. } => refused("the drawn program is loaded as a repair"),
            Act::Bench(BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll) => {
                refused("no other fault is set before the work is handed in")
            }
            Act::Bench(BenchAct::Replace(_)) => refused("a part is swapped as a repair"),
            Act::Measure(what) => Tool::of_reading(what).map_or(Ok(()), needs),
            Act::Repair(repair) => needs(Tool::of_repair(repair)),
            Act::Look if finding.look_costs.is_none() => {
                Err("this job is done without a look at what is still suspected".to_string())
            }
            _ => Ok(()),
        }
    }

    fn repair(&mut self, repair: &Repair) -> Result<(), String> {
        let tick = self.bench.tick();
        let plan = self.bench.plan();
        repair.fits(&plan.parts, &plan.conductors)?;
        let drawn = plan.conductors.clone();
        let mut live = repair.touches(&drawn).into_iter().filter_map(|part| self.bench.live(&part));
        if let Some(live) = live.next() {
            self.unsafe_act(UnsafeAct::LiveRepair { repair: repair.clone(), live });
        }
        self.hunt.repair(tick, repair, &drawn, &mut self.project.hidden)?;
        self.bench.hide(self.project.hidden.there().clone()).map_err(|e| e.to_string())?;
        match repair {
            // A new part has no damage; one that cannot be damaged has none to lose.
            Repair::Swap(tag) if self.bench.fits(&BenchAct::Replace(tag.clone())).is_ok() => {
                self.bench.act(BenchAct::Replace(tag.clone()))?;
            }
            Repair::Reload(tag) => self.bench.act(BenchAct::Restart(tag.clone(), Restart::Cold))?,
            _ => {}
        }
        self.conditions = conditions(&self.scenario, &self.bench);
        self.trace.design_changed(&self.bench);
        Ok(())
    }

    /// What is still hidden becomes a fault like any other, to be seen on every sheet.
    fn hand_in(&mut self) -> Result<(), String> {
        let hidden = std::mem::take(&mut self.project.hidden);
        let mut plan = self.bench.plan().clone();
        plan.faults.extend(hidden.there().iter().cloned());
        self.bench.hide(BTreeSet::new()).map_err(|e| e.to_string())?;
        self.bench.replan(plan).map_err(|e| e.to_string())?;
        self.hunt.hand_in(self.bench.tick(), hidden);
        self.trace.design_changed(&self.bench);
        Ok(())
    }

    fn change(&mut self, change: &Change) -> Result<(), String> {
        let mut project = self.project.clone();
        project.apply(&self.scenario, change)?;
        self.replan(project)?;
        let touched = match change {
            Change::Add(c) | Change::Remove(c) | Change::Alter { after: c, .. } => std::slice::from_ref(c),
            Change::Mount(mounted) | Change::Unmount(mounted) => mounted.conductors.as_slice(),
            Change::Program { .. } | Change::Dial { .. } | Change::Set { .. } | Change::Move { .. } => &[],
        };
        if self.bench.state.supplies.iter().any(|&on| on) {
            for c in touched {
                self.unsafe_act(UnsafeAct::LiveChange { conductor: c.id.clone() });
            }
        }
        // A reset is chosen from the front of the relay; between two contactors a hand goes in.
        if let Change::Set { part, after: Setting::Interlock(_), .. } = change
            && let Some(live) = self.bench.live(part)
        {
            self.unsafe_act(UnsafeAct::LiveFit { part: part.clone(), live });
        }
        Ok(())
    }

    fn unsafe_act(&mut self, act: UnsafeAct) {
        if self.unsafe_acts.len() < MOST_NOTES {
            self.unsafe_acts.push((self.bench.tick(), act));
        }
    }

    /// Takes a reading now, with what it does to the bench.
    fn measure(&mut self, what: &Measurement) -> Result<(), String> {
        let tick = self.bench.tick();
        let (measured, notes) = self.bench.take_reading(what)?;
        if let Some(danger) = &measured.danger {
            self.unsafe_act(UnsafeAct::Reading { what: what.clone(), danger: danger.clone() });
        }
        let room = MOST_NOTES.saturating_sub(self.notes.len());
        self.notes.extend(notes.into_iter().take(room).map(|note| (tick, note)));
        if self.readings.len() < MOST_NOTES {
            self.readings.push(Taken { tick, what: what.clone(), measured });
        }
        Ok(())
    }

    /// The program of the sheet into the controller.
    fn transfer(&mut self, cold: bool) -> Result<(), String> {
        if self.scenario.is_hard_wired() {
            return Err("this job has no controller, and so no program".to_string());
        }
        if let Err(errors) = sealin_ladder::parse(&self.project.source) {
            let first = errors.first().map(ToString::to_string).unwrap_or_default();
            return Err(format!("the program on the sheet has errors: {first}"));
        }
        let mut project = self.project.clone();
        project.transferred.clone_from(&project.source);
        self.replan(project)?;
        if cold {
            self.bench.cold_restart();
        }
        Ok(())
    }

    fn replan(&mut self, project: Project) -> Result<(), String> {
        let mut plan = project.plan(&self.scenario);
        // Faults stay as they are; one on a conductor that is out goes with it, and so does one in a rung.
        let all = self.bench.plan().faults.union(&self.out).cloned();
        let (there, out): (BTreeSet<_>, BTreeSet<_>) = all.partition(|f| f.fits(&plan).is_ok());
        plan.faults = there;
        self.bench.replan(plan).map_err(|e| e.to_string())?;
        (self.project, self.out) = (project, out);
        self.trace.design_changed(&self.bench);
        Ok(())
    }
}

/// The conditions of a job of fault finding, for the bench as it is.
fn conditions(scenario: &Scenario, bench: &Bench) -> Rc<[Formula]> {
    let all = scenario.fault_finding.iter().flat_map(|finding| &finding.shown);
    // A scenario whose conditions do not fit its bench is not read.
    all.filter_map(|shown| Formula::new(&shown.when, &bench.design).ok()).collect()
}

/// Follows the line that ends with the last entry of an attempt. The error names the entry.
pub fn fold(scenario: &Rc<Scenario>, attempt: &Attempt) -> Result<Fold, FoldError> {
    fold_line(scenario, attempt, attempt.entries.len())
}

/// Follows the line that ends before entry `end`.
pub fn fold_line(scenario: &Rc<Scenario>, attempt: &Attempt, end: usize) -> Result<Fold, FoldError> {
    let mut state = Fold::new(scenario.dealt(attempt.head.seed))
        .map_err(|e| FoldError { entry: 0, reason: e.to_string() })?;
    for k in attempt.line_to(end) {
        follow(&mut state, attempt, k as usize)?;
    }
    Ok(state)
}

/// Takes an entry of an attempt, after the one that it follows on its line.
pub(crate) fn follow(state: &mut Fold, attempt: &Attempt, entry: usize) -> Result<(), FoldError> {
    let act = &attempt.entries[entry].act;
    state
        .is_open(act)
        .and_then(|()| check_seek(attempt, entry))
        .map_err(|reason| FoldError { entry, reason })?;
    let taken = match &attempt.entries[entry].act {
        Act::Seek { tick, .. } if state.bench.tick() > *tick => {
            Err(format!("a seek to tick {tick} lies before tick {}", state.bench.tick()))
        }
        Act::Seek { tick, .. } => {
            state.run_to((*tick).min(MOST_TICKS));
            Ok(())
        }
        _ => state.take(&attempt.entries[entry]),
    };
    taken.map_err(|reason| FoldError { entry, reason })
}

/// A seek goes to an earlier entry, and to a tick between that entry and the next one of its line; undo and redo name
/// an entry that carries the inverse of what they do.
fn check_seek(attempt: &Attempt, number: usize) -> Result<(), String> {
    match &attempt.entries[number].act {
        Act::Seek { entry, .. } if *entry as usize >= number => {
            Err(format!("a seek to entry {entry}, which is not before it"))
        }
        Act::Undo { of, change } | Act::Redo { of, change } => {
            let undone = (*of as usize) < number;
            let inverse = match attempt.entries.get(*of as usize).map(|e| &e.act) {
                Some(Act::Design(c) | Act::Undo { change: c, .. } | Act::Redo { change: c, .. }) => {
                    c.inverse() == *change
                }
                _ => false,
            };
            if undone && inverse {
                Ok(())
            } else {
                Err(format!("it takes back entry {of}, which did not do the opposite"))
            }
        }
        _ => Ok(()),
    }
}
