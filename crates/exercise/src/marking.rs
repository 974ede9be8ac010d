//! Marks: every trial of every requirement, run on a fresh bench with the learner's wiring and the program of the sheet.
//!
//! A requirement earns its marks when all its trials are kept, else nothing, or, where the scenario says `partial`, the share in
//! which they are kept; where a proof of exactly this work is at hand, it decides as [`ProofVerdict::decides`] says.

use crate::beside;
use crate::project::Project;
use crate::proofs::{Decision, ProofVerdict, Proofs};
use crate::scenario::{Requirement, Scenario};
use sealin_core::Bench;
use sealin_proof::steps::{Break, Observer, Outcome, Step, run};
use serde::{Deserialize, Serialize};

/// What a design has earned, with the evidence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marks {
    /// One line a requirement, in the order of the scenario.
    pub lines: Vec<MarkLine>,
    /// What was earned beside the requirements, of an attempt ([`Marks::with_conduct`]); nothing of a design alone.
    pub beside: Vec<beside::Line>,
    /// Marks earned, never less than none.
    pub earned: u32,
    /// Marks that can be earned without a bonus.
    pub of: u32,
    /// Of them, neither earned nor lost, as a proof that decides was not computed.
    pub open: u32,
    /// Enough marks, and every requirement kept that is a must.
    pub passed: bool,
    /// All trials were run; `false` when the caller stopped. What was not tried has earned nothing.
    pub complete: bool,
    /// Why no bench could be built, where that is so.
    pub unfit: Option<String>,
}

/// Marks of one requirement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MarkLine {
    /// Id of the requirement.
    pub id: String,
    /// What it says.
    pub text: String,
    /// Marks earned.
    pub earned: u32,
    /// Marks that can be earned.
    pub of: u32,
    /// Needed for a pass.
    pub must: bool,
    /// Its marks come on top.
    pub bonus: bool,
    /// What its proof came to, where there is one.
    pub proof: Option<ProofVerdict>,
    /// Its trials, as far as they were run.
    pub trials: Vec<TrialResult>,
}

/// How one trial went.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TrialResult {
    /// Name of the trial.
    pub name: String,
    /// Every expectation was kept.
    pub kept: bool,
    /// Where it broke.
    pub failure: Option<Failure>,
}

/// Where a trial broke.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Failure {
    /// Line in the trial's script, from 1; 0 when no script could be run.
    pub line: u32,
    /// The step, as text.
    pub step: String,
    /// What was expected.
    pub expected: String,
    /// What was seen.
    pub seen: String,
    /// At which tick of the trial, ms.
    pub tick: u64,
}

impl Marks {
    /// Of a job in which no requirement is marked.
    pub(crate) fn of_no_requirement() -> Marks {
        Marks {
            lines: Vec::new(),
            beside: Vec::new(),
            earned: 0,
            of: 0,
            open: 0,
            passed: false,
            complete: true,
            unfit: None,
        }
    }

    /// Marks earned by the requirements that are no bonus.
    pub fn required_earned(&self) -> u32 {
        self.lines.iter().filter(|l| !l.bonus).map(|l| l.earned).sum()
    }

    /// Whether every requirement that is a must has earned its marks.
    pub fn musts_are_kept(&self) -> bool {
        self.lines.iter().all(|l| !l.must || l.earned == l.of)
    }
}

impl MarkLine {
    /// Who decided about its marks.
    pub fn decision(&self) -> Decision {
        self.proof.map_or(Decision::Scripts, ProofVerdict::decides)
    }
}

/// Marks of a design without proofs, as [`mark_proven`] does.
pub fn mark(scenario: &Scenario, project: &Project, progress: &mut dyn FnMut(usize, usize) -> bool) -> Marks {
    mark_proven(scenario, project, None, progress)
}

/// Runs all trials. `proofs` that are of another work do not count. `progress` is told how many trials are done, of how many, and says whether to go on.
pub fn mark_proven(
    scenario: &Scenario,
    project: &Project,
    proofs: Option<&Proofs>,
    progress: &mut dyn FnMut(usize, usize) -> bool,
) -> Marks {
    let of: usize = scenario.requirements.iter().map(|r| r.trials.len()).sum();
    let bench = bench(scenario, project);
    let proofs = proofs.filter(|proofs| bench.is_ok() && proofs.are_of(scenario, project));
    let (mut done, mut complete) = (0, progress(0, of));
    let mut lines = Vec::new();
    for requirement in &scenario.requirements {
        let mut trials = Vec::new();
        for number in 0..requirement.trials.len() {
            if !complete {
                break;
            }
            trials.push(match &bench {
                Ok(bench) => trial(requirement, number, bench, &mut ()),
                Err(reason) => unfit(requirement, number, reason),
            });
            done += 1;
            complete = progress(done, of);
        }
        lines.push(line(requirement, trials, proofs.and_then(|proofs| proofs.of(&requirement.id))));
    }
    let earned = lines.iter().map(|l| l.earned).sum();
    let open = lines.iter().filter(|l| l.decision() == Decision::Open).map(|l| l.of).sum();
    let mut marks = Marks {
        lines,
        beside: Vec::new(),
        earned,
        of: scenario.required_marks(),
        open,
        passed: false,
        complete,
        unfit: bench.err(),
    };
    marks.passed = complete && marks.musts_are_kept() && earned >= scenario.pass_marks;
    marks
}

/// Runs one trial of one requirement, for a person who wants to watch it. `None` when there is no such trial.
pub fn run_trial(
    scenario: &Scenario,
    project: &Project,
    requirement: &str,
    trial_number: usize,
    trace: &mut dyn Observer,
) -> Option<TrialResult> {
    let requirement = scenario.requirements.iter().find(|r| r.id == requirement)?;
    requirement.trials.get(trial_number)?;
    Some(match bench(scenario, project) {
        Ok(bench) => trial(requirement, trial_number, &bench, trace),
        Err(reason) => unfit(requirement, trial_number, &reason),
    })
}

/// The bench on which a design is tried: the learner's wiring and the program of the sheet, supply off, with what is still wrong in
/// a job of fault finding. The error says why there is none.
pub fn bench(scenario: &Scenario, project: &Project) -> Result<Bench, String> {
    let plan = project.plan_of_sheet(scenario).map_err(|diagnostics| {
        let all: Vec<String> = diagnostics.iter().take(5).map(ToString::to_string).collect();
        format!("the program cannot be read: {}", all.join("; "))
    })?;
    let mut bench = Bench::new(plan).map_err(|e| e.to_string())?;
    bench.hide(project.hidden.there().clone()).map_err(|e| e.to_string())?;
    Ok(bench)
}

fn trial(requirement: &Requirement, number: usize, bench: &Bench, trace: &mut dyn Observer) -> TrialResult {
    let trial = &requirement.trials[number];
    let failure = match run(&trial.script, &mut bench.clone(), trace) {
        Outcome::Kept => None,
        Outcome::Broken(Break { line, step, expected, seen, tick, .. }) => {
            Some(Failure { line, step, expected, seen, tick })
        }
    };
    TrialResult { name: trial.name.clone(), kept: failure.is_none(), failure }
}

fn unfit(requirement: &Requirement, number: usize, reason: &str) -> TrialResult {
    let trial = &requirement.trials[number];
    let step = trial.script.steps.first().map(Step::to_string).unwrap_or_default();
    let expected = "a bench that can be built from this wiring and program".to_string();
    let failure = Failure { line: 0, step, expected, seen: reason.to_string(), tick: 0 };
    TrialResult { name: trial.name.clone(), kept: false, failure: Some(failure) }
}

fn line(requirement: &Requirement, trials: Vec<TrialResult>, proof: Option<ProofVerdict>) -> MarkLine {
    let kept = trials.iter().filter(|t| t.kept).count();
    let earned_by_trials = if requirement.partial || kept == requirement.trials.len() {
        share(requirement.marks, kept as u32, requirement.trials.len() as u32)
    } else {
        0
    };
    let mut line = MarkLine {
        id: requirement.id.clone(),
        text: requirement.text.clone(),
        earned: 0,
        of: requirement.marks,
        must: requirement.must,
        bonus: requirement.bonus,
        proof,
        trials,
    };
    line.earned = match line.decision() {
        Decision::Earned => line.of,
        Decision::Scripts => earned_by_trials,
        Decision::Lost | Decision::Open => 0,
    };
    line
}

/// So many parts of `marks` as `part` has of `whole`, rounded down; all of them where there is nothing to share by.
pub(crate) fn share(marks: u32, part: u32, whole: u32) -> u32 {
    if part >= whole { marks } else { (u64::from(marks) * u64::from(part) / u64::from(whole)) as u32 }
}
