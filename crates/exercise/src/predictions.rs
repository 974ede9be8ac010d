//! What the answers of a prediction come to: each is run on the bench after the prediction's own steps.

use crate::marking;
use crate::project::Project;
use crate::scenario::{Answer, Prediction, Scenario, Tried};
use crate::shipped;
use sealin_core::Bench;
use sealin_core::canon::Hash;
use sealin_proof::Script;
use sealin_proof::steps::{Outcome, run};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// The number of a prediction's right answer, from 1; the error says why there is none.
pub type Right = Result<u32, String>;

/// The bench on which a prediction is tried, supply off.
///
/// # Errors
/// Why it cannot be built, or that no reference ships.
pub fn bench(scenario: &Scenario, tried: Tried) -> Result<Bench, String> {
    match tried {
        Tried::Given => marking::bench(scenario, &Project::given(scenario)),
        Tried::Reference => shipped::reference(&scenario.id)
            .ok_or_else(|| format!("no reference ships with `{}`", scenario.id))?
            .bench(scenario),
    }
}

/// The steps of a prediction, and after them those of one of its answers: one script, so that what looks back in time sees both.
pub fn script(prediction: &Prediction, answer: &Answer) -> Script {
    Script { steps: prediction.script.steps.iter().chain(&answer.script.steps).cloned().collect() }
}

/// For each answer, whether the bench keeps it.
///
/// # Errors
/// As [`bench()`].
pub fn kept(scenario: &Scenario, prediction: &Prediction) -> Result<Vec<bool>, String> {
    let bench = bench(scenario, prediction.of)?;
    let keeps = |answer: &Answer| {
        matches!(run(&script(prediction, answer), &mut bench.clone(), &mut ()), Outcome::Kept)
    };
    Ok(prediction.answers.iter().map(keeps).collect())
}

/// The answer that is right: the only one that the bench keeps.
///
/// # Errors
/// As [`bench()`], or how many are kept.
pub fn right(scenario: &Scenario, prediction: &Prediction) -> Right {
    let kept: Vec<usize> = kept(scenario, prediction)?
        .iter()
        .enumerate()
        .filter(|(_, kept)| **kept)
        .map(|(n, _)| n + 1)
        .collect();
    match kept[..] {
        [one] => Ok(one as u32),
        [] => Err("the bench keeps none of the answers; exactly one is expected".to_string()),
        _ => {
            let all: Vec<String> = kept.iter().map(ToString::to_string).collect();
            Err(format!("the bench keeps the answers {}; exactly one is expected", all.join(" and ")))
        }
    }
}

/// Most scenarios of which the right answers are kept.
const MOST_KEPT: usize = 64;

/// By content hash, which holds all that they depend on: they are run once, however many attempts are marked.
static KEPT: Mutex<BTreeMap<Hash, Arc<Vec<Right>>>> = Mutex::new(BTreeMap::new());

/// The right answers of all predictions of a scenario, in its order.
pub fn right_answers(scenario: &Scenario) -> Arc<Vec<Right>> {
    if scenario.predictions.is_empty() {
        return Arc::default();
    }
    let hash = scenario.content_hash();
    // Whatever thread failed while it held the lock, the map is whole.
    let lock = || KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = lock().get(&hash) {
        return Arc::clone(known);
    }
    let found: Arc<Vec<Right>> =
        Arc::new(scenario.predictions.iter().map(|prediction| right(scenario, prediction)).collect());
    let mut all = lock();
    if all.len() >= MOST_KEPT {
        all.clear();
    }
    all.insert(hash, Arc::clone(&found));
    found
}
