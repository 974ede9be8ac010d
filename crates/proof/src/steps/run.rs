//! Runs a script on a bench, in slices if wanted, and says where it broke and what was seen.

use super::{Script, Step, StepError, StepKind, When};
use crate::expr::{Expr, Formula, Memory};
use sealin_core::{Bench, Events, Trace};

/// Sees what happens while a script runs.
pub trait Observer {
    /// The script begins on this bench.
    fn starts(&mut self, bench: &Bench) {
        let _ = bench;
    }

    /// A step begins; the next tick to be computed is `tick`.
    fn begins(&mut self, tick: u64, step: &Step) {
        let _ = (tick, step);
    }

    /// A tick has been computed; `events` holds every signal that changed. Ticks in which nothing can change are
    /// passed over and not reported.
    fn ticked(&mut self, bench: &Bench, tick: u64, events: &Events) {
        let _ = (bench, tick, events);
    }
}

/// Looks away.
impl Observer for () {}

impl Observer for Trace {
    fn starts(&mut self, bench: &Bench) {
        self.design_changed(bench);
    }

    fn ticked(&mut self, bench: &Bench, tick: u64, events: &Events) {
        self.take(bench, tick, events);
    }
}

/// How a script ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Every expectation was kept.
    Kept,
    /// One was not; the script stops there.
    Broken(Break),
}

impl Outcome {
    /// Whether all was kept.
    pub fn kept(&self) -> bool {
        *self == Outcome::Kept
    }
}

/// Where and how a script broke.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Break {
    /// Line of the step, from 1.
    pub line: u32,
    /// Column of the step, from 1.
    pub column: u32,
    /// The step, as text.
    pub step: String,
    /// What was expected, and when.
    pub expected: String,
    /// What was seen: the signals of the expectation, or why an act could not be done.
    pub seen: String,
    /// At which tick.
    pub tick: u64,
}

/// Runs a whole script on a bench, which is left as the script leaves it.
pub fn run(script: &Script, bench: &mut Bench, trace: &mut dyn Observer) -> Outcome {
    trace.starts(bench);
    let mut run = StepRun::new(script.clone(), bench.clone());
    let outcome = loop {
        if let Some(outcome) = run.advance(u64::MAX, trace) {
            break outcome.clone();
        }
    };
    *bench = run.bench;
    outcome
}

/// Every act and name of a script that does not fit a bench.
pub(super) fn check(script: &Script, bench: &Bench) -> Vec<StepError> {
    let wrong = |step: &Step| {
        let (column, message) = match &step.kind {
            StepKind::Act(act) => (step.column, bench.fits(act).err()?),
            StepKind::Expect(expr, _) => {
                let e = Formula::new(expr, &bench.design).err()?;
                (step.expr_column + e.column - 1, e.message)
            }
            StepKind::Wait(_) => return None,
        };
        Some(StepError { line: step.line, column, message })
    };
    script.steps.iter().filter_map(wrong).collect()
}

/// A script that is being run, and the bench it runs on.
pub struct StepRun {
    script: Script,
    bench: Bench,
    /// One for each step that is an expectation; the error for one whose names are not on this bench.
    judges: Vec<Option<Result<Judge, String>>>,
    next: usize,
    window: Option<u64>,
    /// An act waits for its tick.
    acted: bool,
    /// At least one tick has been computed.
    begun: bool,
    outcome: Option<Outcome>,
}

/// What judges one expectation.
struct Judge {
    formula: Formula,
    memory: Memory,
    /// After the last tick; of a formula that looks back only.
    value: bool,
}

impl StepRun {
    /// Prepares to run a script on a bench.
    pub fn new(script: Script, bench: Bench) -> StepRun {
        let judge = |step: &Step| match &step.kind {
            StepKind::Expect(expr, _) => Some(match Formula::new(expr, &bench.design) {
                Ok(formula) => Ok(Judge { memory: formula.memory(), formula, value: false }),
                Err(e) => Err(e.message),
            }),
            _ => None,
        };
        let judges = script.steps.iter().map(judge).collect();
        StepRun { script, bench, judges, next: 0, window: None, acted: false, begun: false, outcome: None }
    }

    /// The bench as it is now.
    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    /// The step that is being done.
    pub fn step(&self) -> Option<&Step> {
        self.script.steps.get(self.next)
    }

    /// Runs on for at most `ticks`; gives the outcome once there is one.
    pub fn advance(&mut self, ticks: u64, trace: &mut dyn Observer) -> Option<&Outcome> {
        let stop = self.bench.tick().saturating_add(ticks);
        while self.outcome.is_none() && self.bench.tick() < stop {
            self.advance_step(stop, trace);
        }
        self.outcome.as_ref()
    }

    /// Begins or goes on with the step at hand.
    fn advance_step(&mut self, stop: u64, trace: &mut dyn Observer) {
        let Some(step) = self.script.steps.get(self.next).cloned() else {
            // Acts at the very end still get their tick, so that the bench is left as the script says.
            if self.acted {
                self.tick(trace);
            }
            self.outcome = Some(Outcome::Kept);
            return;
        };
        let begins = self.window.is_none();
        if begins {
            trace.begins(self.bench.tick(), &step);
        }
        match &step.kind {
            StepKind::Act(act) => {
                if let Err(reason) = self.bench.act(act.clone()) {
                    return self.broken(&step, "the act can be done".to_string(), reason);
                }
                self.acted = true;
                self.done();
            }
            StepKind::Wait(ms) => {
                let end = *self.window.get_or_insert(self.bench.tick() + *ms);
                self.pass(end.min(stop), trace);
                if self.bench.tick() >= end {
                    self.done();
                }
            }
            StepKind::Expect(expr, when) => self.expect(&step, expr, *when, begins, stop, trace),
        }
    }

    fn expect(
        &mut self,
        step: &Step,
        expr: &Expr,
        when: When,
        begins: bool,
        stop: u64,
        trace: &mut dyn Observer,
    ) {
        if let Some(Some(Err(reason))) = self.judges.get(self.next) {
            let reason = reason.clone();
            return self.broken(step, expr.to_string(), reason);
        }
        if begins && when == When::Now && (self.acted || !self.begun) {
            self.tick(trace);
        }
        let expected = || match when {
            When::Now => expr.to_string(),
            When::Within(ms) => format!("{expr} at some tick within {}", crate::print_duration(ms)),
            When::For(ms) => format!("{expr} at every tick for {}", crate::print_duration(ms)),
        };
        match when {
            When::Now if self.value() => self.done(),
            When::Now => self.broken(step, expected(), self.seen(expr)),
            When::Within(ms) => {
                if begins && !self.acted && self.begun && self.value() {
                    return self.done();
                }
                let end = *self.window.get_or_insert(self.bench.tick() + ms);
                while self.bench.tick() < end.min(stop) {
                    self.tick(trace);
                    if self.value() {
                        return self.done();
                    }
                }
                if self.bench.tick() >= end {
                    self.broken(step, expected(), self.seen(expr));
                }
            }
            When::For(ms) => {
                let end = *self.window.get_or_insert(self.bench.tick() + ms);
                while self.bench.tick() < end.min(stop) {
                    self.tick(trace);
                    if !self.value() {
                        return self.broken(step, expected(), self.seen(expr));
                    }
                }
                if self.bench.tick() >= end {
                    self.done();
                }
            }
        }
    }

    fn done(&mut self) {
        self.next += 1;
        self.window = None;
    }

    fn broken(&mut self, step: &Step, expected: String, seen: String) {
        self.outcome = Some(Outcome::Broken(Break {
            line: step.line,
            column: step.column,
            step: step.to_string(),
            expected,
            seen,
            tick: self.bench.tick().saturating_sub(1),
        }));
    }

    /// Value of the expectation at hand after the last tick.
    fn value(&self) -> bool {
        let Some(Some(Ok(judge))) = self.judges.get(self.next) else { return false };
        if !judge.formula.is_present() {
            return judge.value;
        }
        let tick = self.bench.tick().saturating_sub(1);
        judge.formula.step(&mut judge.formula.memory(), tick, &|n| self.bench.state.signal(n))
    }

    /// The signals of an expectation as they are.
    fn seen(&self, expr: &Expr) -> String {
        let mut all: Vec<String> = Vec::new();
        for name in expr.names() {
            let value = self.bench.signal(&name.text).unwrap_or(false);
            let text = format!("{} = {}", name.text, u8::from(value));
            if !all.contains(&text) {
                all.push(text);
            }
        }
        all.join(", ")
    }

    /// Computes one tick.
    fn tick(&mut self, trace: &mut dyn Observer) {
        let tick = self.bench.tick();
        let events = self.bench.step();
        self.acted = false;
        self.begun = true;
        trace.ticked(&self.bench, tick, &events);
        self.judge(tick);
    }

    /// Lets time pass up to tick `end`; quiet ticks are passed over on the bench, never in what looks back.
    fn pass(&mut self, end: u64, trace: &mut dyn Observer) {
        while self.bench.tick() < end {
            let from = self.bench.tick();
            if self.bench.skip_quiet(end) == 0 {
                self.tick(trace);
                continue;
            }
            if self.judges.iter().flatten().flatten().any(|j| !j.formula.is_present()) {
                for tick in from..self.bench.tick() {
                    self.judge(tick);
                }
            }
        }
    }

    fn judge(&mut self, tick: u64) {
        let state = &self.bench.state;
        // What looks back must see every tick from the start; the rest is judged when its step is at hand.
        for judge in self.judges.iter_mut().flatten().flatten().filter(|j| !j.formula.is_present()) {
            judge.value = judge.formula.step(&mut judge.memory, tick, &|n| state.signal(n));
        }
    }
}
