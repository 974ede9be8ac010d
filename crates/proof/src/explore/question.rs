//! What is asked of an exploration, and what it says.

use super::replay::{Counterexample, Replay, replay};
use crate::expr::Verdict;
use sealin_core::step::Marginal;
use sealin_core::{Fault, Plan};

/// Most states that are explored where a scenario says nothing else.
pub const DEFAULT_MAX_STATES: u64 = 20_000_000;

/// What is to be found out.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// The bench, with program.
    pub plan: &'a Plan,
    /// What must hold; empty: only that nothing is damaged.
    pub required: &'a [Verdict],
    /// What may be taken for granted of what moves.
    pub assumed: &'a [Verdict],
    /// What moves by itself; none: what [`super::default_free`] says.
    pub free: Option<&'a [String]>,
    /// What goes wrong, at any grid instant, that of power on included, or never: for good, or, if it is intermittent, in whatever
    /// quanta from then on.
    pub fault: Option<&'a Fault>,
    /// Most states.
    pub max_states: u64,
}

impl<'a> Question<'a> {
    /// Without a fault, nothing taken for granted, up to [`DEFAULT_MAX_STATES`]: what must hold while these move by themselves.
    pub fn new(plan: &'a Plan, required: &'a [Verdict], free: &'a [String]) -> Question<'a> {
        Question {
            plan,
            required,
            assumed: &[],
            free: Some(free),
            fault: None,
            max_states: DEFAULT_MAX_STATES,
        }
    }
}

/// How far an exploration has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// States found.
    pub states: u64,
    /// Of them, looked at.
    pub done: u64,
    /// Quanta from the start.
    pub quanta: u32,
}

/// What was found out.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// Every state was explored, and nothing is broken.
    Proven,
    /// As proven, but what it speaks of never came to be; without a fault only.
    NeverExercised,
    /// Broken, by this shortest path.
    Broken(Box<Counterexample>),
    /// The limit of states was reached; or there is more to try in one quantum than is tried in any.
    Undecided,
    /// Outside what is explored, and why.
    NotProvable(String),
    /// Stopped from outside.
    NotComputed,
}

/// An answer and what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// The answer.
    pub answer: Answer,
    /// States explored: of plant, program and monitors together.
    pub states: u64,
    /// States of the plant among them.
    pub plants: u64,
    /// Steps of the plant, kept once.
    pub steps: u64,
    /// Bits that a state needs.
    pub bits: u32,
    /// Bytes that all states took with what they are made of, one with another.
    pub bytes: u32,
    /// Quanta that the search went deep.
    pub quanta: u32,
    /// What moved.
    pub free: Vec<String>,
    /// Of it, what was moved once a quantum only, as it reaches nothing but an input channel of its own.
    pub merged: Vec<String>,
    /// Voltages that were met inside a tolerance band: what is found holds for the thresholds as given.
    pub marginal: Vec<Marginal>,
}

impl Report {
    /// What the whole bench makes of the path to a break of this question; none where nothing is broken.
    pub fn replay(&self, question: &Question) -> Option<Replay> {
        let Answer::Broken(path) = &self.answer else { return None };
        Some(replay(question, path))
    }

    /// An answer with nothing explored.
    pub(super) fn new(answer: Answer) -> Report {
        Report {
            answer,
            states: 0,
            plants: 0,
            steps: 0,
            bits: 0,
            bytes: 0,
            quanta: 0,
            free: Vec::new(),
            merged: Vec::new(),
            marginal: Vec::new(),
        }
    }
}
