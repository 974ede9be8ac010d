//! Mutants that keep all marks though they are not the reference, each with the reason: `tests/cases/mutants/ID.toml`.
//!
//! ```toml
//! format  = "sealin mutants"
//! version = 1
//!
//! [[allowed]]                            # the brief allows it
//! sentence = "A button that is let go before has asked for nothing."   # as it stands there
//! mutants  = ["rung 2, idle: preset T#50ms"]
//!
//! [[unobservable]]                       # nothing in the declared environment can show it
//! reason  = "…"
//! mutants = ["L2: at XD4:9 for XD4:8"]
//! ```

use super::Mutants;
use super::job::Job;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

#[derive(serde::Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct File {
    format: String,
    version: u32,
    #[serde(default)]
    allowed: Vec<Allowed>,
    #[serde(default)]
    unobservable: Vec<Unobservable>,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Allowed {
    sentence: String,
    mutants: Vec<String>,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Unobservable {
    reason: String,
    mutants: Vec<String>,
}

/// Why a mutant may keep its marks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Listed {
    /// The brief allows it, by this sentence.
    Allowed(String),
    /// It cannot be observed in the declared environment, for this reason.
    Unobservable(String),
}

/// The mutants of a job that are listed, by name; none where the job has no file.
///
/// # Errors
/// What is wrong with the file: its form, a mutant in two places, a reason without words.
pub fn read(id: &str) -> Result<BTreeMap<String, Listed>, String> {
    let path = path(id);
    if !path.exists() {
        return Ok(BTreeMap::new());
    }
    let text = std::fs::read_to_string(&path).map_err(|why| format!("{id}: {why}"))?;
    parse(&text).map_err(|why| format!("tests/cases/mutants/{id}.toml: {why}"))
}

fn path(id: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/mutants").join(format!("{id}.toml"))
}

fn parse(text: &str) -> Result<BTreeMap<String, Listed>, String> {
    let file: File = toml::from_str(text).map_err(|why| why.to_string())?;
    if (file.format.as_str(), file.version) != ("sealin mutants", 1) {
        return Err("format = \"sealin mutants\" and version = 1 are expected".to_string());
    }
    let allowed = file.allowed.into_iter().map(|a| (Listed::Allowed(a.sentence), a.mutants));
    let unseen = file.unobservable.into_iter().map(|u| (Listed::Unobservable(u.reason), u.mutants));
    let mut all = BTreeMap::new();
    for (why, mutants) in allowed.chain(unseen) {
        let (Listed::Allowed(words) | Listed::Unobservable(words)) = &why;
        if words.trim().is_empty() {
            return Err(format!("{mutants:?}: a reason is expected"));
        }
        for name in mutants {
            if all.insert(name.clone(), why.clone()).is_some() {
                return Err(format!("`{name}` stands in two places"));
            }
        }
    }
    Ok(all)
}

/// What is wrong with a job's list: mutants that there are not, and sentences that do not stand in the brief.
pub fn check(job: &Job, mutants: &Mutants, listed: &BTreeMap<String, Listed>) -> Vec<String> {
    let id = &job.scenario.id;
    let brief = one_line(&job.scenario.brief_markdown);
    let mut wrong = Vec::new();
    for (name, why) in listed {
        if mutants.all.iter().all(|mutant| mutant.name != *name) {
            wrong.push(format!("{id}: there is no mutant `{name}`"));
        }
        if let Listed::Allowed(sentence) = why
            && !brief.contains(&one_line(sentence))
        {
            wrong.push(format!("{id}: `{name}`: the brief does not say “{sentence}”"));
        }
    }
    wrong
}

/// Words with one blank between, wherever lines end.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "format = \"sealin mutants\"\nversion = 1\n";

    #[test]
    fn a_mutant_stands_in_one_place_with_a_reason() {
        let of = |text: &str| parse(&format!("{HEAD}{text}"));
        let one = "[[allowed]]\nsentence = \"Say so.\"\nmutants = [\"L1: missing\"]\n";
        let other = "[[unobservable]]\nreason = \"Nobody looks.\"\nmutants = [\"L1: missing\"]\n";
        assert_eq!(of(one).unwrap()["L1: missing"], Listed::Allowed("Say so.".to_string()));
        assert!(of(&format!("{one}{other}")).unwrap_err().contains("stands in two places"));
        assert!(of(&one.replace("Say so.", " ")).unwrap_err().contains("a reason is expected"));
        assert!(parse(one).is_err());
    }
}
