//! Marks of the requirements by a work, as they are kept between attempts: by what they depend on, and without what the scenario says
//! anyway. What depends on the log besides is not among them.

use super::Judge;
use crate::attempt::write_conductor;
use crate::marking::{Failure, MarkLine, Marks, TrialResult};
use crate::project::Project;
use crate::proofs::ProofVerdict;
use crate::scenario::Scenario;
use sealin_core::MODEL_REVISION;
use sealin_core::canon::{Hash, Writer};
use serde::{Deserialize, Serialize};

/// Form and meaning of what is kept. Raised whenever marks of the same work can come out differently under the same model
/// revision: another way of marking, or other words in a failure.
const FORM: u64 = 1;

/// What the marks of a work depend on: the design and the content of its scenario (which [`Project::design_hash`] holds), the model
/// revision, and who decides. Conductors count without their ids, but for those of given ones, which trials can name.
pub fn key(scenario: &Scenario, project: &Project, judge: Judge) -> Hash {
    let mut w = Writer::new("sealin kept marks");
    w.u64(FORM).bytes(&project.design_hash(scenario)).bytes(&scenario.content_hash());
    w.u64(u64::from(MODEL_REVISION));
    for given in &scenario.given {
        let now = project.conductors.get(&given.id);
        w.bool(now.is_some());
        if let Some(now) = now {
            write_conductor(&mut w, now);
        }
    }
    match judge {
        Judge::Trials => w.bool(false),
        Judge::Proofs(most) => {
            w.bool(true).u64(most);
            // One that is embedded may be bounded otherwise than its content says.
            scenario.requirements.iter().fold(&mut w, |w, r| w.u64(r.proof.max_states))
        }
    };
    w.finish()
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct KeptDoc {
    earned: u32,
    open: u32,
    passed: bool,
    lines: Vec<LineDoc>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct LineDoc {
    earned: u32,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    proof: Option<ProofVerdict>,
    /// By trial: where it broke.
    trials: Vec<Option<Failure>>,
}

/// The text that is kept. None for marks that depend on more than the key: where no bench could be built the reason has places in
/// the program's text, and what was not run to its end is no verdict.
pub fn write(marks: &Marks) -> Option<String> {
    if marks.unfit.is_some() || !marks.complete {
        return None;
    }
    let line = |l: &MarkLine| LineDoc {
        earned: l.earned,
        proof: l.proof,
        trials: l.trials.iter().map(|t| t.failure.clone()).collect(),
    };
    let Marks { earned, open, passed, .. } = *marks;
    serde_json::to_string(&KeptDoc { earned, open, passed, lines: marks.lines.iter().map(line).collect() })
        .ok()
}

/// The marks of which [`write()`] kept this text, on the same scenario; none where it does not fit.
pub fn read(scenario: &Scenario, text: &str) -> Option<Marks> {
    let doc: KeptDoc = serde_json::from_str(text).ok()?;
    if doc.lines.len() != scenario.requirements.len() {
        return None;
    }
    let mut lines = Vec::new();
    for (requirement, kept) in scenario.requirements.iter().zip(doc.lines) {
        if kept.trials.len() != requirement.trials.len() || kept.earned > requirement.marks {
            return None;
        }
        let trials = requirement.trials.iter().zip(kept.trials).map(|(trial, failure)| TrialResult {
            name: trial.name.clone(),
            kept: failure.is_none(),
            failure,
        });
        lines.push(MarkLine {
            id: requirement.id.clone(),
            text: requirement.text.clone(),
            earned: kept.earned,
            of: requirement.marks,
            must: requirement.must,
            bonus: requirement.bonus,
            proof: kept.proof,
            trials: trials.collect(),
        });
    }
    let KeptDoc { earned, open, passed, .. } = doc;
    Some(Marks {
        lines,
        beside: Vec::new(),
        earned,
        of: scenario.required_marks(),
        open,
        passed,
        complete: true,
        unfit: None,
    })
}
