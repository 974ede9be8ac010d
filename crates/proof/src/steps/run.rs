//! Runs a script on a bench, in slices if wanted, and says where it broke and what was seen.

use super::{Script, Step, StepError, What, When};
use crate::expr::{Expr, Formula, Memory};
use sealin_core::{Bench, Events};

/// Sees what happens while a script runs.
pub trait Observer {
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

/// Runs a whole script on a bench.
pub fn run(script: &Script, bench: Bench, trace: &mut dyn Observer) -> Outcome {
    let mut run = StepRun::new(script.clone(), bench);
    loop {
        if let Some(outcome) = run.advance(u64::MAX, trace) {
            return outcome.clone();
        }
    }
}

/// Whether every act and name of a script fits a bench.
pub fn check(script: &Script, bench: &Bench) -> Result<(), Vec<StepError>> {
    let mut errors = Vec::new();
    for step in &script.steps {
        let mut wrong = |column: u32, message: String| {
            errors.push(StepError { line: step.line, column, message });
        };
        match &step.what {
            What::Acts(acts) => {
                for message in acts.iter().filter_map(|act| bench.fits(act).err()) {
                    wrong(step.column, message);
                }
            }
            What::Expect(expr, _) => {
                if let Err(e) = Formula::new(expr, &bench.design) {
                    wrong(step.expr_column + e.column - 1, e.message);
                }
            }
            What::Wait(_) => {}
        }
    }
    if errors.is_empty() { Ok(()) } else { Err(errors) }
}

/// A script that is being run, and the bench it runs on.
pub struct StepRun {
    script: Script,
    bench: Bench,
    /// Formula and memory of each expectation; the error for one whose names are not on this bench.
    formulas: Vec<Option<Result<(Formula, Memory, bool), String>>>,
    next: usize,
    window: Option<u64>,
    /// An act waits for its tick.
    acted: bool,
    /// At least one tick has been computed.
    begun: bool,
    outcome: Option<Outcome>,
}

impl StepRun {
    /// Prepares to run a script on a bench.
    pub fn new(script: Script, bench: Bench) -> StepRun {
        let formulas = script
            .steps
            .iter()
            .map(|step| match &step.what {
                What::Expect(expr, _) => Some(match Formula::new(expr, &bench.design) {
                    Ok(formula) => {
                        let memory = formula.memory();
                        Ok((formula, memory, false))
                    }
                    Err(e) => Err(e.message),
                }),
                _ => None,
            })
            .collect();
        StepRun { script, bench, formulas, next: 0, window: None, acted: false, begun: false, outcome: None }
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
        match &step.what {
            What::Acts(acts) => {
                for act in acts {
                    if let Err(reason) = self.bench.act(act.clone()) {
                        return self.broken(&step, "the act can be done".to_string(), reason);
                    }
                }
                self.acted = true;
                self.done();
            }
            What::Wait(ms) => {
                let end = *self.window.get_or_insert(self.bench.tick() + u64::from(*ms));
                self.pass(end.min(stop), trace);
                if self.bench.tick() >= end {
                    self.done();
                }
            }
            What::Expect(expr, when) => self.expect(&step, expr, *when, begins, stop, trace),
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
        if let Some(Some(Err(reason))) = self.formulas.get(self.next) {
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
                let end = *self.window.get_or_insert(self.bench.tick() + u64::from(ms));
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
                let end = *self.window.get_or_insert(self.bench.tick() + u64::from(ms));
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
        matches!(self.formulas.get(self.next), Some(Some(Ok((_, _, true)))))
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
            if self.formulas.iter().flatten().flatten().any(|(f, ..)| !f.is_present()) {
                for tick in from..self.bench.tick() {
                    self.judge(tick);
                }
            }
        }
    }

    fn judge(&mut self, tick: u64) {
        let state = &self.bench.state;
        for (i, formula) in self.formulas.iter_mut().enumerate() {
            // What looks back must see every tick from the start; the rest only counts while its step is at hand.
            if let Some(Ok((formula, memory, value))) = formula
                && (i == self.next || !formula.is_present())
            {
                *value = formula.step(memory, tick, &|n| state.signal(n));
            }
        }
    }
}
