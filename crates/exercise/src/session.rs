//! An attempt in the making: the log, the bench as it is now, and what a screen may ask for. The host gives the time.

use crate::attempt::{Act, Attempt, Change, Entry, Head, MOST_ENTRIES, MOST_RECORD, MOST_TICKS};
use crate::conduct::Conduct;
use crate::fold::{Fold, FoldError, fold, fold_line};
use crate::hunt::Diagnosis;
use crate::project::Project;
use crate::scenario::{Scenario, Wires};
use crate::unsafe_acts::{self, Recorded};
use sealin_core::{
    Bench, BenchAct, BuildError, Conductor, MODEL_REVISION, Measured, Measurement, Repair, Trace,
};
use sealin_ladder::Diagnostic;
use std::rc::Rc;

/// A learner's attempt, open for work.
#[derive(Clone, Debug)]
pub struct Session {
    scenario: Rc<Scenario>,
    attempt: Attempt,
    fold: Fold,
    /// Folds before some entries, for going back quickly: a cache, at most [`MOST_SNAPSHOTS`].
    snapshots: Vec<(usize, Fold)>,
    /// Unsafe acts of all lines.
    unsafe_acts: Vec<Recorded>,
    /// Highest number given to a conductor on any line.
    conductors_made: u32,
    /// Ticks of lines that were left.
    ticks_left_behind: u64,
    /// Milliseconds of the host's clock since the last entry.
    wall_ms: u32,
}

/// Most folds kept for going back.
const MOST_SNAPSHOTS: usize = 24;

impl Session {
    /// A new attempt. `seed` is drawn by the host; the scenario is dealt out for it.
    pub fn new(scenario: Rc<Scenario>, seed: u64) -> Result<Session, BuildError> {
        let scenario = scenario.dealt(seed);
        let head = Head {
            scenario: scenario.id.clone(),
            content_hash: scenario.content_hash(),
            embedded: None,
            model_revision: MODEL_REVISION,
            seed,
            author: String::new(),
            started: String::new(),
        };
        let fold = Fold::new(Rc::clone(&scenario))?;
        Ok(Session {
            scenario,
            attempt: Attempt::new(head),
            fold,
            snapshots: Vec::new(),
            unsafe_acts: Vec::new(),
            conductors_made: 0,
            ticks_left_behind: 0,
            wall_ms: 0,
        })
    }

    /// Opens an attempt for more work; the error names the entry that cannot be followed.
    pub fn open(scenario: Rc<Scenario>, attempt: Attempt) -> Result<Session, FoldError> {
        let scenario = scenario.dealt(attempt.head.seed);
        let (state, unsafe_acts) = unsafe_acts::all_lines(&scenario, &attempt)?;
        let mut made = 0;
        for entry in &attempt.entries {
            if let Act::Design(Change::Add(c)) = &entry.act {
                made = made.max(number_of(&c.id));
            }
        }
        let ticks = unsafe_acts::ticks_left_behind(&attempt)?;
        Ok(Session {
            scenario,
            attempt: Attempt { claim: None, chain_read: None, links_read: None, ..attempt },
            fold: state,
            snapshots: Vec::new(),
            unsafe_acts,
            conductors_made: made,
            ticks_left_behind: ticks,
            wall_ms: 0,
        })
    }

    /// The scenario.
    pub fn scenario(&self) -> &Rc<Scenario> {
        &self.scenario
    }

    /// The bench now.
    pub fn bench(&self) -> &Bench {
        &self.fold.bench
    }

    /// The work now.
    pub fn project(&self) -> &Project {
        &self.fold.project
    }

    /// What happened on this line.
    pub fn trace(&self) -> &Trace {
        &self.fold.trace
    }

    /// Unsafe acts of all lines, in the order of the entries.
    pub fn unsafe_acts(&self) -> &[Recorded] {
        &self.unsafe_acts
    }

    /// The whole fold: notes and readings besides.
    pub fn fold(&self) -> &Fold {
        &self.fold
    }

    /// Next tick to be computed.
    pub fn tick(&self) -> u64 {
        self.fold.bench.tick()
    }

    /// Number of entries, the open tail aside.
    pub fn acts(&self) -> usize {
        self.attempt.entries.len()
    }

    /// Entries made from number `from` on, the open tail aside: for storage.
    pub fn entries_from(&self, from: usize) -> &[Entry] {
        self.attempt.entries.get(from..).unwrap_or(&[])
    }

    /// The name of the person, as written on the file.
    pub fn set_author(&mut self, author: &str) {
        self.attempt.head.author = author.chars().take(100).collect();
    }

    /// Carries the scenario's file in the attempt: for one that is not shipped, so that whoever marks it has it.
    pub fn embed(&mut self, text: &str) {
        self.attempt.head.embedded = Some(text.to_string());
    }

    /// When the attempt was begun, as the host's clock says.
    pub fn set_started(&mut self, started: &str) {
        self.attempt.head.started = started.chars().take(100).collect();
    }

    /// The host's clock went on by so many milliseconds.
    pub fn pass_wall(&mut self, ms: u32) {
        self.wall_ms = self.wall_ms.saturating_add(ms);
    }

    /// Head of the attempt.
    pub fn head(&self) -> &Head {
        &self.attempt.head
    }

    /// The attempt as it stands, with the open tail.
    pub fn attempt(&self) -> Attempt {
        let mut attempt = self.attempt.clone();
        let last = self.line_end();
        if self.tick() > last && attempt.entries.len() < MOST_ENTRIES {
            attempt.entries.push(Entry {
                at: last,
                wall_ms: (self.wall_ms > 0).then_some(self.wall_ms),
                act: Act::Run { to: self.tick() },
            });
        }
        attempt
    }

    /// The attempt for a file: folded afresh, and refused when that gives another trace than the screen showed.
    pub fn export(&self) -> Result<Attempt, String> {
        let mut attempt = self.attempt();
        let again = fold(&self.scenario, &attempt).map_err(|e| e.to_string())?;
        if again.trace.exact_hash() != self.fold.trace.exact_hash() {
            return Err(
                "computing the log again gives another trace than the one shown; this is our fault, \
                        please keep the file and report it"
                    .to_string(),
            );
        }
        attempt.claim = Some(again.trace.trace_hash());
        Ok(attempt)
    }

    /// Tick up to which the entries of this line say what happened.
    fn line_end(&self) -> u64 {
        self.attempt.entries.len().checked_sub(1).map_or(0, |last| self.tick_after(last as u32))
    }

    /// Lets the bench run by so many ticks. At the bound of 24 h it stands still; returns the ticks that it ran.
    pub fn advance(&mut self, ticks: u64) -> u64 {
        let now = self.tick();
        let most = MOST_TICKS.saturating_sub(self.ticks_left_behind);
        let to = now.saturating_add(ticks).min(most);
        self.fold.run_to(to);
        self.tick() - now
    }

    /// Something is done on the bench, at the next tick.
    pub fn bench_act(&mut self, act: BenchAct) -> Result<(), String> {
        self.push(Act::Bench(act))
    }

    /// A change of the design.
    pub fn change(&mut self, change: Change) -> Result<(), String> {
        let made = match &change {
            Change::Add(c) => number_of(&c.id),
            _ => 0,
        };
        self.snapshot();
        self.push(Act::Design(change))?;
        self.conductors_made = self.conductors_made.max(made);
        Ok(())
    }

    /// An id for the next conductor, never used before on any line.
    pub fn next_conductor_id(&self) -> String {
        format!("L{}", self.conductors_made + 1)
    }

    /// A program text for the sheet, as the smallest patch; nothing when it is the same.
    pub fn set_source(&mut self, source: &str) -> Result<(), String> {
        match Change::program(&self.fold.project.source, source) {
            Some(change) => self.change(change),
            None => Ok(()),
        }
    }

    /// Does work that was done elsewhere: wires, under numbers of this session, and the program, written and transferred.
    ///
    /// # Errors
    /// Which part of it does not fit; what came before is done.
    pub fn do_work(&mut self, wires: &Wires, program: Option<&str>) -> Result<(), String> {
        for change in wires.changes(&self.scenario, self.project())? {
            self.change(match change {
                Change::Add(wire) => Change::Add(Conductor { id: self.next_conductor_id(), ..wire }),
                other => other,
            })?;
        }
        if let Some(program) = program {
            self.set_source(program)?;
            self.transfer(true).map_err(|e| e.first().map(ToString::to_string).unwrap_or_default())?;
        }
        Ok(())
    }

    /// The program of the sheet into the controller.
    pub fn transfer(&mut self, cold: bool) -> Result<(), Vec<Diagnostic>> {
        if !self.scenario.is_hard_wired() {
            sealin_ladder::parse(&self.fold.project.source)?;
        }
        self.push(Act::Transfer { cold }).map_err(|message| {
            vec![Diagnostic {
                line: 1,
                column: 1,
                message,
                hint: None,
                severity: sealin_ladder::Severity::Error,
            }]
        })
    }

    /// Takes a reading: what the instrument shows now. Then the bench runs for the time that it costs.
    pub fn measure(&mut self, what: Measurement) -> Result<Measured, String> {
        let before = self.fold.readings.len();
        let measured = self.bench().measure(&what)?;
        self.push_timed(Act::Measure(what))?;
        Ok(self.fold.readings.get(before).map_or(measured, |taken| taken.measured.clone()))
    }

    /// Records by hand what no instrument of the bench shows.
    pub fn record(&mut self, check: &str, text: &str) -> Result<(), String> {
        let text = text.chars().take(MOST_RECORD).collect();
        self.push(Act::Record { check: check.to_string(), text })
    }

    /// Answers a prediction; whether it was written: a second answer is not.
    ///
    /// # Errors
    /// That there is no such prediction or answer, or why nothing can be written any more.
    pub fn predict(&mut self, prediction: &str, answer: u32) -> Result<bool, String> {
        self.scenario.answer(prediction, answer)?;
        let given = |e: &Entry| matches!(&e.act, Act::Predict { prediction: p, .. } if p == prediction);
        if self.attempt.entries.iter().any(given) {
            return Ok(false);
        }
        self.push(Act::Predict { prediction: prediction.to_string(), answer }).map(|()| true)
    }

    /// Opens a hint; whether it was written: one that is open already is not.
    ///
    /// # Errors
    /// That there is no such hint, or why nothing can be written any more.
    pub fn open_hint(&mut self, hint: &str) -> Result<bool, String> {
        let opened = |e: &Entry| matches!(&e.act, Act::Hint { hint: h } if h == hint);
        if self.attempt.entries.iter().any(opened) {
            return Ok(false);
        }
        self.push(Act::Hint { hint: hint.to_string() }).map(|()| true)
    }

    /// Puts something right in a job of fault finding. Then the bench runs for the time that it costs.
    ///
    /// # Errors
    /// That it is not there or not for this job, or why nothing can be written any more.
    pub fn repair(&mut self, repair: Repair) -> Result<(), String> {
        self.push_timed(Act::Repair(repair))
    }

    /// Writes down what is taken to be wrong.
    ///
    /// # Errors
    /// As [`Session::repair`].
    pub fn diagnose(&mut self, diagnosis: Diagnosis) -> Result<(), String> {
        self.push_timed(Act::Diagnose(diagnosis))
    }

    /// Looks at what is still suspected.
    ///
    /// # Errors
    /// That this job is done without.
    pub fn look(&mut self) -> Result<(), String> {
        self.push(Act::Look)
    }

    /// Hands the work in.
    ///
    /// # Errors
    /// That it has been handed in, or is no job of fault finding.
    pub fn hand_in(&mut self) -> Result<(), String> {
        self.push(Act::HandIn)
    }

    /// Whether something may be wrong that nobody is to be told yet.
    pub fn is_sealed(&self) -> bool {
        self.fold.hunt.goes_on(&self.scenario)
    }

    /// Takes an act that costs time, where there is time left for it.
    fn push_timed(&mut self, act: Act) -> Result<(), String> {
        if self.tick() + act.ticks() > MOST_TICKS.saturating_sub(self.ticks_left_behind) {
            return Err("the 24 h that an attempt may last are over".to_string());
        }
        self.push(act)
    }

    /// How the person has worked so far, over all lines: answers, hints, unsafe acts, time.
    pub fn conduct(&self) -> Conduct {
        Conduct::of(&self.attempt, &self.fold, &self.unsafe_acts).unwrap_or_default()
    }

    /// Number of the entry that an undo would take back.
    pub fn undoable(&self) -> Option<u32> {
        self.undo_stacks().0.last().copied()
    }

    /// Number of the entry that a redo would do again.
    pub fn redoable(&self) -> Option<u32> {
        self.undo_stacks().1.last().copied()
    }

    /// Takes the last change of the design back.
    pub fn undo(&mut self) -> Result<(), String> {
        let of = self.undoable().ok_or("there is nothing to undo")?;
        self.push(Act::Undo { of, change: self.change_at(of)?.inverse() })
    }

    /// Does the change that was undone last again.
    pub fn redo(&mut self) -> Result<(), String> {
        let of = self.redoable().ok_or("there is nothing to redo")?;
        self.push(Act::Redo { of, change: self.change_at(of)?.inverse() })
    }

    fn change_at(&self, number: u32) -> Result<&Change, String> {
        match self.attempt.entries.get(number as usize).map(|e| &e.act) {
            Some(Act::Design(c) | Act::Undo { change: c, .. } | Act::Redo { change: c, .. }) => Ok(c),
            _ => Err(format!("entry {number} is no change of the design")),
        }
    }

    /// Entries that can be undone and redone on this line, the next one last.
    fn undo_stacks(&self) -> (Vec<u32>, Vec<u32>) {
        let (mut done, mut undone) = (Vec::new(), Vec::new());
        for k in self.attempt.line() {
            match &self.attempt.entries[k as usize].act {
                Act::Design(_) => {
                    done.push(k);
                    undone.clear();
                }
                Act::Undo { .. } => {
                    done.pop();
                    undone.push(k);
                }
                Act::Redo { .. } => {
                    undone.pop();
                    done.push(k);
                }
                _ => {}
            }
        }
        (done, undone)
    }

    /// Goes back to the state after entry `entry`, run to tick `tick`, and goes on from there on a new line. Nothing is
    /// erased.
    pub fn seek(&mut self, entry: u32, tick: u64) -> Result<(), String> {
        let number = entry as usize;
        if number >= self.attempt.entries.len() {
            return Err(format!("there is no entry {entry}"));
        }
        let (at, next) = (self.tick_after(entry), self.tick_before_next(entry));
        if tick < at || tick > next {
            return Err(format!("after entry {entry} the bench can be run from tick {at} to tick {next}"));
        }
        self.fold.is_open(&Act::Seek { entry, tick })?;
        let left = self.tick();
        // What ran with nothing done on the line that is left belongs to it.
        self.attempt = self.attempt();
        let mut state = self.fold_after(number)?;
        if state.bench.tick() > tick {
            return Err(format!("the bench stands at tick {} there", state.bench.tick()));
        }
        state.run_to(tick);
        let wall_ms = self.take_wall();
        self.attempt.entries.push(Entry { at: left, wall_ms, act: Act::Seek { entry, tick } });
        self.ticks_left_behind = self.ticks_left_behind.saturating_add(left.saturating_sub(tick));
        self.fold = state;
        Ok(())
    }

    /// Where to go back to for what a diagram shows at tick `tick` of this line: the entry before, and the tick. Within
    /// the time that a reading takes there is no going back; then it is the tick at which it was begun.
    pub fn place(&self, tick: u64) -> Option<(u32, u64)> {
        let entry = self.attempt.line().into_iter().rev().find(|&k| self.tick_after(k) <= tick)?;
        let last = entry as usize + 1 == self.attempt.entries.len();
        Some((entry, if last { tick } else { tick.min(self.tick_before_next(entry)) }))
    }

    /// The bench as it stood when the ticks before `tick` of this line had run, computed anew from the log; the work in
    /// progress stays as it is. Within the time that a reading takes, as it stood when that was begun. None after now.
    pub fn bench_at(&self, tick: u64) -> Option<Bench> {
        if tick > self.tick() {
            return None;
        }
        let (mut state, tick) = match self.place(tick) {
            Some((entry, tick)) => (self.fold_after(entry as usize).ok()?, tick),
            // Before anything was done.
            None => (Fold::new(Rc::clone(&self.scenario)).ok()?, tick),
        };
        state.run_to(tick);
        Some(state.bench)
    }

    /// Latest tick to which one can go back after entry `entry`.
    fn tick_before_next(&self, entry: u32) -> u64 {
        match self.attempt.entries.get(entry as usize + 1) {
            Some(Entry { act: Act::Run { to }, .. }) => *to,
            Some(entry) => entry.at,
            None => self.tick(),
        }
    }

    /// Earliest tick to which one can go back after entry `entry`.
    pub fn tick_after(&self, entry: u32) -> u64 {
        match self.attempt.entries.get(entry as usize) {
            Some(Entry { act: Act::Run { to }, .. }) => *to,
            Some(Entry { act: Act::Seek { tick, .. }, .. }) => *tick,
            Some(Entry { act, at, .. }) => at.saturating_add(act.ticks()).min(MOST_TICKS),
            None => 0,
        }
    }

    fn fold_after(&self, number: usize) -> Result<Fold, String> {
        if let Some((_, kept)) = self.snapshots.iter().find(|(k, _)| *k == number + 1) {
            return Ok(kept.clone());
        }
        fold_line(&self.scenario, &self.attempt, number + 1).map_err(|e| e.to_string())
    }

    fn snapshot(&mut self) {
        let number = self.attempt.entries.len();
        // Only where the fold stands right after its last entry is it the state "after entry k".
        if self.tick() != self.line_end() {
            return;
        }
        if self.snapshots.len() >= MOST_SNAPSHOTS {
            self.snapshots.remove(0);
        }
        self.snapshots.push((number, self.fold.clone()));
    }

    fn take_wall(&mut self) -> Option<u32> {
        let wall = std::mem::take(&mut self.wall_ms);
        (wall > 0).then_some(wall)
    }

    /// Takes an act now. On an error nothing is written.
    fn push(&mut self, act: Act) -> Result<(), String> {
        if self.attempt.entries.len() + 1 >= MOST_ENTRIES {
            return Err(format!(
                "the log is full: {MOST_ENTRIES} entries; save the attempt and start a new one"
            ));
        }
        let entry = Entry { at: self.tick(), wall_ms: None, act };
        let before = self.fold.unsafe_acts.len();
        self.fold.take(&entry)?;
        let number = self.attempt.entries.len() as u32;
        self.unsafe_acts.extend(unsafe_acts::added(&self.fold, before, number));
        let wall_ms = self.take_wall();
        self.attempt.entries.push(Entry { wall_ms, ..entry });
        Ok(())
    }
}

/// 12 of `L12`; 0 for other ids.
fn number_of(id: &str) -> u32 {
    id.strip_prefix('L').and_then(|n| n.parse().ok()).unwrap_or(0)
}
