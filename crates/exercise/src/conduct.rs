//! How a person worked, over all lines of a log: going back erases nothing.

use crate::attempt::{Act, Attempt};
use crate::fold::{Fold, FoldError};
use crate::hunt::{Hunt, Narrowed, Said, readings};
use crate::scenario::Scenario;
use crate::unsafe_acts::{Recorded, ticks_left_behind};
use std::rc::Rc;

/// What counts over all lines.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Conduct {
    /// The first answer to each prediction, in the order of the entries.
    pub answers: Vec<Answered>,
    /// The hints that were opened, each once, in the order of the entries.
    pub hints: Vec<Opened>,
    /// Unsafe acts, in the order of the entries.
    pub unsafe_acts: Vec<Recorded>,
    /// Bench time, ms.
    pub bench_ms: u64,
    /// The search for a fault, on the last line: there is no going back in a job of fault finding.
    pub hunt: Hunt,
    /// Looks at what was still suspected: entry and bench time, ms.
    pub looks: Vec<(u32, u64)>,
    /// Number of the entry in which the work was handed in.
    pub handed_in: Option<u32>,
    /// What the readings up to then say, once it has been; of [`Conduct::to_mark`] only.
    pub readings: Vec<Said>,
    /// How far they narrowed down what can be wrong, where that is marked; of [`Conduct::to_mark`] only. The error says why it is not known.
    pub narrowed: Option<Result<Narrowed, String>>,
}

/// An answer that was given to a prediction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answered {
    /// Id of the prediction.
    pub prediction: String,
    /// Number of the answer, from 1.
    pub answer: u32,
    /// Number of the entry.
    pub entry: u32,
    /// Bench time, ms.
    pub tick: u64,
}

/// A hint that was opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opened {
    /// Id of the hint.
    pub hint: String,
    /// Number of the entry.
    pub entry: u32,
    /// Bench time, ms.
    pub tick: u64,
}

impl Conduct {
    /// Of an attempt whose last line ends in `end`, with the unsafe acts of all lines. The error names the entry with which all lines
    /// together last longer than 24 h.
    pub fn of(attempt: &Attempt, end: &Fold, unsafe_acts: &[Recorded]) -> Result<Conduct, FoldError> {
        let mut conduct = Conduct {
            unsafe_acts: unsafe_acts.to_vec(),
            bench_ms: end.bench.tick().saturating_add(ticks_left_behind(attempt)?),
            hunt: end.hunt.clone(),
            ..Conduct::default()
        };
        for (number, entry) in attempt.entries.iter().enumerate() {
            let (number, tick) = (number as u32, entry.at);
            match &entry.act {
                Act::Predict { prediction, answer } if conduct.answer(prediction).is_none() => {
                    let prediction = prediction.clone();
                    conduct.answers.push(Answered { prediction, answer: *answer, entry: number, tick });
                }
                Act::Hint { hint } if conduct.opened(hint).is_none() => {
                    conduct.hints.push(Opened { hint: hint.clone(), entry: number, tick });
                }
                Act::Look => conduct.looks.push((number, tick)),
                Act::HandIn => conduct.handed_in = Some(number),
                _ => {}
            }
        }
        Ok(conduct)
    }

    /// The same for the marks, with what the readings of a search that was handed in say: for that the log is followed once more, and where
    /// their worth is marked everything that can be wrong is worked beside it. `progress` is told how many benches are through, of how many.
    ///
    /// # Errors
    /// As [`Conduct::of`].
    pub fn to_mark(
        scenario: &Rc<Scenario>,
        attempt: &Attempt,
        end: &Fold,
        unsafe_acts: &[Recorded],
        progress: &mut dyn FnMut(usize, usize),
    ) -> Result<Conduct, FoldError> {
        let mut conduct = Conduct::of(attempt, end, unsafe_acts)?;
        if conduct.handed_in.is_some() {
            conduct.readings = readings(scenario, attempt, end);
            let is_marked = scenario.fault_finding.as_ref().is_some_and(|finding| finding.marks.worth > 0);
            conduct.narrowed = is_marked.then(|| Narrowed::of(scenario, attempt, progress));
        }
        Ok(conduct)
    }

    /// What was answered to a prediction.
    pub fn answer(&self, prediction: &str) -> Option<&Answered> {
        self.answers.iter().find(|a| a.prediction == prediction)
    }

    /// Where a hint was opened.
    pub fn opened(&self, hint: &str) -> Option<&Opened> {
        self.hints.iter().find(|h| h.hint == hint)
    }
}
