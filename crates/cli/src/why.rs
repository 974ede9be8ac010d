//! `--why SIGNAL@TICK`: the chain of causes of a signal at an instant of a run, or of the volts between two terminals.

use sealin_core::why::{Load, Subject, subject, why};
use sealin_core::{Bench, Design, Events, State, Terminal, Trace};
use sealin_proof::steps::Observer;
use std::rc::Rc;
use std::str::FromStr;

/// A signal, or two terminals as `KF1:I4,KF1:CI2`; and a tick, ms of bench time, without which the end of the run is
/// meant.
#[derive(Clone, Debug)]
pub struct Question {
    signal: String,
    tick: Option<u64>,
}

impl FromStr for Question {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let Some((signal, tick)) = text.split_once('@') else {
            return Ok(Question { signal: text.to_string(), tick: None });
        };
        let tick = tick.parse().map_err(|_| {
            format!("`{tick}`: whole milliseconds of bench time are expected after @, as in QA1.coil@2500")
        })?;
        Ok(Question { signal: signal.to_string(), tick: Some(tick) })
    }
}

impl Question {
    /// Whether a bench has such a signal; the error says so.
    pub fn check(&self, bench: &Bench) -> Result<(), String> {
        self.subject(&bench.design)
            .map(|_| ())
            .ok_or_else(|| format!("there is no signal and no pair of terminals `{}`", self.signal))
    }

    fn subject(&self, design: &Design) -> Option<Subject> {
        let Some((a, b)) = self.signal.split_once(',') else { return subject(design, &self.signal) };
        let terminal = |text| Terminal::parse(text).filter(|t| design.node(t).is_some());
        Some(Subject::Volts(Load::Meter(terminal(a)?, terminal(b)?)))
    }
}

/// Takes the trace, and keeps what the bench was at the instants that are asked about.
pub struct Asked<'a> {
    trace: &'a mut Trace,
    questions: &'a [Question],
    /// By question: what it was after its tick, or the last before it in which anything happened.
    seen: Vec<Option<(Rc<Design>, State)>>,
}

impl<'a> Asked<'a> {
    /// Questions to a run.
    pub fn new(trace: &'a mut Trace, questions: &'a [Question]) -> Self {
        Asked { trace, questions, seen: vec![None; questions.len()] }
    }

    /// The answers, one line each, of a run that ended at tick `end`.
    pub fn answers(&self, end: u64) -> Vec<String> {
        let answer = |(question, seen): (&Question, &Option<(Rc<Design>, State)>)| {
            let at = question.tick.map_or_else(String::new, |tick| format!(" at {tick} ms"));
            let chain = seen.as_ref().and_then(|(design, state)| {
                why(design, state, &question.subject(design)?).map(|chain| chain.to_string())
            });
            if question.tick.is_some_and(|tick| tick >= end) {
                return format!("{}{at}: the run ended at {end} ms", question.signal);
            }
            let chain = chain.unwrap_or_else(|| "nothing was computed before".to_string());
            format!("{}{at}: {chain}", question.signal)
        };
        self.questions.iter().zip(&self.seen).map(answer).collect()
    }
}

impl Observer for Asked<'_> {
    fn starts(&mut self, bench: &Bench) {
        self.trace.starts(bench);
    }

    fn ticked(&mut self, bench: &Bench, tick: u64, events: &Events) {
        self.trace.ticked(bench, tick, events);
        for (question, seen) in self.questions.iter().zip(&mut self.seen) {
            if question.tick.is_none_or(|asked| tick <= asked) {
                *seen = Some((Rc::clone(&bench.design), bench.state.clone()));
            }
        }
    }
}
