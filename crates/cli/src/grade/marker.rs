//! One attempt from its bytes to its report, on one thread.

use super::source::Item;
use super::told::Told;
use super::verdicts::Verdicts;
use crate::input;
use sealin_core::canon::Hash;
use sealin_exercise::attempt::Attempt;
use sealin_exercise::grade::{Judge, Report, fits, grade_with, scenario_of};
use sealin_exercise::scenario::Scenario;
use sha2::{Digest, Sha256};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::rc::Rc;

/// Scenarios that a thread keeps ready.
const MOST_SCENARIOS: usize = 16;

/// What every thread marks by.
pub struct Rules<'a> {
    /// Who decides about marks.
    pub judge: Judge,
    /// Folder with scenarios of one's own.
    pub scenarios: Option<&'a Path>,
    /// Kept marks.
    pub verdicts: &'a Verdicts,
}

/// A thread's workplace.
pub struct Marker<'a> {
    rules: &'a Rules<'a>,
    /// The last one first.
    scenarios: Vec<Known>,
}

/// A scenario as attempts name it.
struct Known {
    id: String,
    content_hash: Hash,
    embedded: Option<String>,
    scenario: Rc<Scenario>,
}

impl<'a> Marker<'a> {
    /// With nothing ready.
    pub fn new(rules: &'a Rules<'a>) -> Marker<'a> {
        Marker { rules, scenarios: Vec::new() }
    }

    /// Marks one. Whatever it is, it is told, and the next one can follow.
    pub fn mark(&mut self, item: Item) -> Told {
        let Item { name, source, body } = item;
        let bytes = body.bytes();
        let sum = bytes.as_ref().ok().map(|bytes| Sha256::digest(bytes).into());
        let report = bytes.and_then(|bytes| {
            let text = String::from_utf8(bytes).map_err(|e| {
                format!("byte {} is not UTF-8; a text file is expected", e.utf8_error().valid_up_to())
            })?;
            catch_unwind(AssertUnwindSafe(|| self.report(&text))).unwrap_or_else(|_| {
                // What was ready may be half changed.
                self.scenarios.clear();
                Err("marking it broke off; this is our fault, please keep the file and report it".to_string())
            })
        });
        Told::new(name, source, sum, report)
    }

    fn report(&mut self, text: &str) -> Result<(Rc<Scenario>, Report), String> {
        if text.trim().is_empty() {
            return Err("line 1, column 1: there is nothing; an attempt is expected".to_string());
        }
        let attempt = Attempt::parse(text).map_err(|e| e.to_string())?;
        let scenario = self.scenario(&attempt)?;
        let (judge, verdicts) = (self.rules.judge, self.rules.verdicts);
        let report = grade_with(&scenario, &attempt, &mut |scenario, project| match judge {
            // Whoever wrote the attempt wrote the scenario: its limits are not to be trusted.
            Judge::Proofs(most) if attempt.head.embedded.is_some() => {
                let mut bounded = scenario.clone();
                for requirement in &mut bounded.requirements {
                    requirement.proof.max_states = requirement.proof.max_states.min(most);
                }
                verdicts.marks(&bounded, project, judge)
            }
            _ => verdicts.marks(scenario, project, judge),
        });
        Ok((scenario, report.map_err(|e| e.to_string())?))
    }

    /// The scenario of an attempt: of the folder, embedded, or a shipped one.
    fn scenario(&mut self, attempt: &Attempt) -> Result<Rc<Scenario>, String> {
        let head = &attempt.head;
        let same = |known: &Known| {
            known.id == head.scenario
                && known.content_hash == head.content_hash
                && known.embedded == head.embedded
        };
        let known = match self.scenarios.iter().position(same) {
            Some(at) => self.scenarios.remove(at),
            None => Known {
                id: head.scenario.clone(),
                content_hash: head.content_hash,
                embedded: head.embedded.clone(),
                scenario: self.read(attempt)?,
            },
        };
        let scenario = known.scenario.dealt(head.seed);
        self.scenarios.insert(0, known);
        self.scenarios.truncate(MOST_SCENARIOS);
        Ok(scenario)
    }

    fn read(&self, attempt: &Attempt) -> Result<Rc<Scenario>, String> {
        let id = &attempt.head.scenario;
        let plain = id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
        if let Some(dir) = self.rules.scenarios
            && plain
            && dir.join(id).join("scenario.toml").is_file()
        {
            let scenario = input::scenario(&dir.join(id).display().to_string())?;
            fits(attempt, &scenario).map_err(|e| e.to_string())?;
            return Ok(scenario);
        }
        scenario_of(attempt).map_err(|e| e.to_string())
    }
}
