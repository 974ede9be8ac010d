//! Marking an attempt again from its file: the same fold, the same marks, and what does not fit reported for what it is.

pub mod kept;
pub mod order;

use crate::attempt::{Act, Attempt, Break, Entry};
use crate::conduct::Conduct;
use crate::marking::{Marks, mark_proven};
use crate::project::Project;
use crate::proofs::{Decision, prove};
use crate::scenario::Scenario;
use crate::shipped;
use crate::unsafe_acts::{Recorded, all_lines};
use sealin_core::MODEL_REVISION;
use sealin_core::canon::{Hash, Writer};
use std::rc::Rc;

/// What became of an attempt.
#[derive(Clone, Debug)]
pub struct Report {
    /// Id of the scenario.
    pub scenario: String,
    /// Name on the file (unverified).
    pub author: String,
    /// Number of entries.
    pub entries: usize,
    /// Bench time of the last line, ms.
    pub bench_ms: u64,
    /// Every (tick, signal, value) of the last line.
    pub trace_hash: Hash,
    /// The same with all floating-point values at each 1,000th tick.
    pub exact_hash: Hash,
    /// Whether the file's chain fits its entries. It detects damage, not forgery.
    pub chain: Option<bool>,
    /// From where on it does not.
    pub chain_broken: Option<Break>,
    /// An entry that goes back without being a seek, where the log can be followed all the same.
    pub backwards: Option<order::Backwards>,
    /// A stretch of bench time that no page runs in its wall time.
    pub too_fast: Option<order::TooFast>,
    /// Whether the claimed trace hash is the one computed here.
    pub claim: Option<bool>,
    /// Model revision under which the file was made; the marks are under [`MODEL_REVISION`].
    pub made_under: u32,
    /// Hash of the acts alone: equal in two attempts that did the same at the same ticks.
    pub acts_hash: Hash,
    /// Number of acts: entries without those that only say how far the bench ran.
    pub acts: usize,
    /// Unsafe acts of all lines, in the order of the entries.
    pub unsafe_acts: Vec<Recorded>,
    /// The marks.
    pub marks: Marks,
}

/// Why an attempt cannot be marked.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct GradeError(pub String);

/// The scenario of an attempt, dealt out for its seed: embedded in it, or a shipped one whose meaning is the same.
pub fn scenario_of(attempt: &Attempt) -> Result<Rc<Scenario>, GradeError> {
    let id = &attempt.head.scenario;
    let text = match &attempt.head.embedded {
        Some(text) => text.as_str(),
        None => shipped::get(id).ok_or_else(|| {
            GradeError(format!("there is no scenario `{id}` here; give the folder it is in"))
        })?,
    };
    let scenario = Scenario::parse(text).map_err(|problems| {
        GradeError(problems.first().map_or_else(String::new, |p| format!("scenario `{id}`: {p}")))
    })?;
    fits(attempt, &scenario)?;
    Ok(Rc::new(scenario).dealt(attempt.head.seed))
}

/// Whether an attempt was made on this scenario.
pub fn fits(attempt: &Attempt, scenario: &Scenario) -> Result<(), GradeError> {
    if attempt.head.scenario != scenario.id || attempt.head.content_hash != scenario.content_hash() {
        return Err(GradeError(format!(
            "the attempt was made on another version of the scenario `{}`; the one here means something else",
            attempt.head.scenario
        )));
    }
    Ok(())
}

/// What decides about the marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judge {
    /// The trials of the scenario.
    Trials,
    /// Proofs, of up to so many states where a requirement gives no limit, and trials where a proof comes to nothing.
    Proofs(u64),
}

impl Judge {
    /// The marks of a work.
    pub fn marks(self, scenario: &Scenario, project: &Project) -> Marks {
        if scenario.fault_finding.is_some() {
            // The panel is as its reference has built it: what is marked is the search alone.
            return Marks::of_no_requirement();
        }
        // A program that cannot be read has no proofs; the marks say why.
        let proofs = match self {
            Judge::Trials => None,
            Judge::Proofs(most) => prove(scenario, project, Some(most), &mut |_, _| true).ok(),
        };
        mark_proven(scenario, project, proofs.as_ref(), &mut |_, _| true)
    }
}

/// Marks an attempt: folds its last line and runs the checks on the design at its end.
pub fn grade(scenario: &Rc<Scenario>, attempt: &Attempt) -> Result<Report, GradeError> {
    grade_with(scenario, attempt, &mut |scenario, project| Judge::Trials.marks(scenario, project))
}

/// The same, with the design proven first; of a requirement that gives no limit of states, up to so many.
pub fn grade_proven(
    scenario: &Rc<Scenario>,
    attempt: &Attempt,
    max_states: u64,
) -> Result<Report, GradeError> {
    let judge = Judge::Proofs(max_states);
    grade_with(scenario, attempt, &mut |scenario, project| judge.marks(scenario, project))
}

/// The same, with the marks of the requirements by the work at its end from elsewhere: those of [`Judge::marks`], or the same kept from before.
pub fn grade_with(
    scenario: &Rc<Scenario>,
    attempt: &Attempt,
    marks_of: &mut dyn FnMut(&Scenario, &Project) -> Marks,
) -> Result<Report, GradeError> {
    fits(attempt, scenario)?;
    let scenario = &scenario.dealt(attempt.head.seed);
    let backwards = order::backwards(attempt);
    let (end, unsafe_acts) = all_lines(scenario, attempt).map_err(|e| {
        GradeError(match backwards {
            Some(found) if found.entry == e.entry => found.to_string(),
            _ => format!("the log cannot be followed: {e}"),
        })
    })?;
    let conduct = Conduct::to_mark(scenario, attempt, &end, &unsafe_acts, &mut |_, _| {})
        .map_err(|e| GradeError(e.to_string()))?;
    let trace_hash = end.trace.trace_hash();
    let chain_broken = attempt.chain_broken();
    Ok(Report {
        scenario: scenario.id.clone(),
        author: attempt.head.author.clone(),
        entries: attempt.entries.len(),
        bench_ms: end.bench.tick(),
        trace_hash,
        exact_hash: end.trace.exact_hash(),
        chain: attempt.chain_read.map(|_| chain_broken.is_none()),
        chain_broken,
        backwards,
        too_fast: order::too_fast(attempt),
        claim: attempt.claim.map(|claimed| claimed == trace_hash),
        made_under: attempt.head.model_revision,
        acts_hash: acts_hash(attempt),
        acts: acts(attempt).count(),
        unsafe_acts,
        marks: marks_of(scenario, &end.project).with_conduct(scenario, &end.project, &conduct),
    })
}

fn acts(attempt: &Attempt) -> impl Iterator<Item = &Entry> {
    attempt.entries.iter().filter(|entry| !matches!(entry.act, Act::Run { .. }))
}

/// Hash of the acts and their ticks, without head, wall time and open tail.
fn acts_hash(attempt: &Attempt) -> Hash {
    let mut w = Writer::new("sealin acts 1");
    let zero = [0u8; 32];
    for entry in acts(attempt) {
        w.bytes(&Entry { wall_ms: None, ..entry.clone() }.chained(&zero));
    }
    w.finish()
}

impl Report {
    /// What does not fit, in words, for a person who marks.
    pub fn remarks(&self) -> Vec<String> {
        let mut all = Vec::new();
        if let Some(broken) = self.chain_broken {
            all.push(broken.to_string());
        }
        all.extend(self.backwards.map(|found| found.to_string()));
        all.extend(self.too_fast.map(|found| found.to_string()));
        if self.claim == Some(false) && self.made_under == MODEL_REVISION {
            all.push("the claimed trace is not the one computed here".to_string());
        }
        if self.made_under != MODEL_REVISION {
            all.push(format!("made under {}, marked under {MODEL_REVISION}", self.made_under));
        }
        for line in &self.marks.lines {
            match (line.proof, line.decision()) {
                (Some(proof), Decision::Scripts) => {
                    all.push(format!("{}: {proof}; its trials decide", line.id))
                }
                (Some(proof), Decision::Open) => {
                    all.push(format!("{}: {proof}; its marks are open", line.id))
                }
                _ => {}
            }
        }
        if let Some(Recorded { tick, act: first, .. }) = self.unsafe_acts.first() {
            let more = match self.unsafe_acts.len() - 1 {
                0 => String::new(),
                more => format!(", and {more} more"),
            };
            let (seconds, tenths) = (tick / 1000, tick % 1000 / 100);
            all.push(format!("unsafe act at {seconds}.{tenths} s: {first}{more}"));
        }
        all
    }
}
