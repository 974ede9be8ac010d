//! Predictions: questions before a test, each with answers of which the bench keeps exactly one.

use super::Requirement;
use super::reader::{Reader, Table};
use super::requirement::{MOST_TRIAL_MS, fresh_id, script};
use sealin_core::Bench;
use sealin_proof::Script;
use sealin_proof::steps::StepKind;

/// Most predictions of a scenario.
const MOST_PREDICTIONS: usize = 50;

/// Fewest and most answers of a prediction.
const ANSWERS: std::ops::RangeInclusive<usize> = 2..=6;

/// A question before a test, answered by the bench.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prediction {
    /// `P1`.
    pub id: String,
    /// Marks for the right answer.
    pub marks: u32,
    /// What is asked.
    pub question: String,
    /// On which design it is tried.
    pub of: Tried,
    /// What is run first, from power off.
    pub script: Script,
    /// The same as it was written.
    pub source: String,
    /// Why it is so; shown after the answer.
    pub why: String,
    /// What can be answered.
    pub answers: Vec<Answer>,
}

/// What can be answered to a prediction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// What it says.
    pub text: String,
    /// What is kept after the prediction's script if it is right.
    pub script: Script,
    /// The same as it was written.
    pub source: String,
}

/// The design on which a prediction is tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tried {
    /// The untouched start.
    Given,
    /// The shipped one that earns full marks.
    Reference,
}

impl Tried {
    /// All of them.
    pub const ALL: [Tried; 2] = [Tried::Given, Tried::Reference];

    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Tried::Given => "given",
            Tried::Reference => "reference",
        }
    }
}

/// Reads all `[[prediction]]` tables. `bench` gives the bench of a design, none where it is not to be had; nothing is run.
pub(super) fn predictions<'t>(
    r: &mut Reader<'t>,
    top: &mut Table<'_, 't>,
    requirements: &[Requirement],
    bench: &dyn Fn(Tried) -> Result<Option<Bench>, String>,
) -> Vec<Prediction> {
    let mut all: Vec<Prediction> = Vec::new();
    for mut t in r.tables(top, "prediction", MOST_PREDICTIONS) {
        let taken = |id: &str| requirements.iter().any(|q| q.id == id) || all.iter().any(|p| p.id == id);
        let id = fresh_id(r, &mut t, "P1", &taken);
        let marks = r.number(&mut t, "marks", 0..=1000) as u32;
        let question = r.text(&mut t, "question", 1000);
        let of_at = t.place("of");
        let of = Tried::ALL[r.word(&mut t, "of", &Tried::ALL.map(Tried::word))];
        let bench = bench(of).unwrap_or_else(|message| {
            r.wrong(&of_at, message);
            None
        });
        let (first, source) = script(r, &mut t, bench.as_ref());
        let why = r.text(&mut t, "why", 2000);
        let answers = answers(r, &mut t, bench.as_ref());
        r.finish(t);
        all.push(Prediction { id, marks, question, of, script: first, source, why, answers });
    }
    let run = |p: &Prediction| -> u64 {
        p.answers.iter().map(|a| p.script.longest_ms() + a.script.longest_ms()).sum()
    };
    let total: u64 = all.iter().map(run).sum();
    if total > MOST_TRIAL_MS {
        let at = top.place("prediction");
        let message = format!("all answers of all predictions take {} s of bench time", total.div_ceil(1000));
        r.wrong(&at, format!("{message}; at most {} s are expected", MOST_TRIAL_MS / 1000));
    }
    all
}

fn answers<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, bench: Option<&Bench>) -> Vec<Answer> {
    let at = t.at.clone();
    let mut all: Vec<Answer> = Vec::new();
    for mut answer in r.tables(t, "answer", *ANSWERS.end()) {
        let text_at = answer.place("text");
        let text = r.text(&mut answer, "text", 400);
        if all.iter().any(|other| other.text == text) {
            r.wrong(&text_at, "a text that no other answer here has is expected");
        }
        let steps_at = answer.place("steps");
        let (script, source) = script(r, &mut answer, bench);
        if !source.is_empty() && !script.steps.iter().any(|s| matches!(s.kind, StepKind::Expect(..))) {
            r.wrong(&steps_at, "an answer without an `expect` is always kept; what it says is expected here");
        }
        r.finish(answer);
        all.push(Answer { text, script, source });
    }
    if !ANSWERS.contains(&all.len()) && !r.has_problems() {
        r.wrong(&at, format!("{} to {} [[prediction.answer]] are expected", ANSWERS.start(), ANSWERS.end()));
    }
    all
}
