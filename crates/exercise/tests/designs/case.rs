//! One design of tests/cases/designs: what its file says, and the work that it stands for.

use sealin_core::part::Kind;
use sealin_core::{Conductor, Terminal};
use sealin_exercise::attempt::Change;
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::setting::Setting;
use sealin_exercise::shipped::{self, Reference};
use std::collections::BTreeSet;
use std::path::Path;

/// A design's file.
#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    format: String,
    version: u32,
    /// Id of its scenario: the name of its folder.
    pub scenario: String,
    /// Where the expectation comes from.
    source: String,
    /// Which wires of the reference are made: `all`, `none`, or `all but L7 L8`.
    wires: String,
    /// Sum of what the requirements earn.
    pub marks: u32,
    /// Requirements that are not kept, in the order of the scenario.
    pub loses: Vec<String>,
    /// Replaces the given program.
    program: Option<String>,
    /// Old and new text in the reference program.
    edits: Option<Vec<(String, String)>>,
    /// Wires of the reference with other ends: id, from, to.
    #[serde(default)]
    rewired: Vec<(String, String, String)>,
    /// Given wires that the reference takes out, and this design does not.
    #[serde(default)]
    kept: Vec<String>,
    /// Dials that stand otherwise than in the reference: tag, mA.
    #[serde(default)]
    dials: Vec<(String, u32)>,
    /// Devices that are set otherwise than in the reference: tag, and the words of a file of wires.
    #[serde(default)]
    settings: Vec<(String, String)>,
    /// Wires that the reference has not: id, from, to, number.
    #[serde(default)]
    added: Vec<(String, String, String, String)>,
}

/// Reads a design's file.
pub fn read(path: &Path) -> Result<Case, String> {
    let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
    let case: Case = toml::from_str(&text).map_err(|e| e.to_string())?;
    if (case.format.as_str(), case.version) != ("sealin design case", 1) {
        return Err("format = \"sealin design case\" and version = 1 are expected".to_string());
    }
    if case.source.is_empty() {
        return Err("an expectation needs a source".to_string());
    }
    if path.parent().and_then(Path::file_name) != Some(case.scenario.as_ref()) {
        return Err(format!("designs of `{}` are kept in the folder of that name", case.scenario));
    }
    Ok(case)
}

/// Whether a scenario has a controller, and its designs a program.
pub fn has_controller(scenario: &Scenario) -> bool {
    scenario.parts.iter().any(|part| matches!(part.kind, Kind::Controller(_)))
}

impl Case {
    /// The work that the file stands for.
    pub fn work(&self, scenario: &Scenario) -> Result<Project, String> {
        let reference = shipped::reference(&self.scenario).ok_or("its scenario has no reference")?;
        let mut work = Project::given(scenario);
        work.source = self.program(scenario, &reference)?;
        // What is taken out and how dials stand goes with the wires.
        let mut wires = reference.wires(scenario)?;
        wires.made.clear();
        if self.wires == "none" {
            wires = Default::default();
        }
        wires.removed.retain(|id| !self.kept.contains(id));
        for (tag, ma) in &self.dials {
            wires.dials.retain(|(known, _)| known != tag);
            wires.dials.push((tag.clone(), *ma));
        }
        for (tag, word) in &self.settings {
            wires.settings.retain(|(known, _)| known != tag);
            wires.settings.push((tag.clone(), Setting::parse(word)?));
        }
        for change in wires.changes(scenario, &work)? {
            work.apply(scenario, &change)?;
        }
        for wire in self.wires(scenario, &reference)? {
            let told = format!("wire `{}`", wire.id);
            work.apply(scenario, &Change::Add(wire)).map_err(|why| format!("{told}: {why}"))?;
        }
        Ok(work)
    }

    fn program(&self, scenario: &Scenario, reference: &Reference) -> Result<String, String> {
        match (&self.program, &self.edits) {
            (None, None) => Ok(scenario.program.clone()),
            _ if !has_controller(scenario) => Err("a job without a controller has no program".to_string()),
            (Some(_), Some(_)) => Err("either `program` or `edits` is expected".to_string()),
            (Some(program), None) => Ok(program.clone()),
            (None, Some(edits)) => {
                let mut program = reference.program.to_string();
                for (old, new) in edits {
                    let times = program.matches(old.as_str()).count();
                    if times != 1 {
                        return Err(format!(
                            "`{old}` stands {times} times in the reference, once is expected"
                        ));
                    }
                    program = program.replace(old.as_str(), new);
                }
                Ok(program)
            }
        }
    }

    /// The reference's wires that are made, as this design has them, and its own.
    fn wires(&self, scenario: &Scenario, reference: &Reference) -> Result<Vec<Conductor>, String> {
        let all = parse_wires(reference.wires).map_err(|problems| format!("{problems:?}"))?;
        let left_out: BTreeSet<&str> = match self.wires.as_str() {
            "all" => BTreeSet::new(),
            "none" => all.iter().map(|wire| wire.id.as_str()).collect(),
            other => {
                let ids = other
                    .strip_prefix("all but ")
                    .ok_or("`wires`: all, none, or all but ID … is expected")?;
                ids.split_whitespace().collect()
            }
        };
        let rewired = self.rewired.iter().map(|(id, ..)| id.as_str());
        if let Some(id) =
            left_out.iter().copied().chain(rewired).find(|&id| all.iter().all(|wire| wire.id != id))
        {
            return Err(format!("the reference has no wire `{id}`"));
        }
        let mut wires = Vec::new();
        for mut wire in all.iter().filter(|wire| !left_out.contains(wire.id.as_str())).cloned() {
            for (_, from, to) in self.rewired.iter().filter(|(id, ..)| *id == wire.id) {
                (wire.from, wire.to) = (terminal(from)?, terminal(to)?);
            }
            wires.push(wire);
        }
        if let Some((id, ..)) = self.rewired.iter().find(|(id, ..)| left_out.contains(id.as_str())) {
            return Err(format!("wire `{id}` is rewired and left out"));
        }
        for (id, from, to, number) in &self.added {
            wires.push(Conductor {
                id: id.clone(),
                from: terminal(from)?,
                to: terminal(to)?,
                section_mm2_x100: scenario.new_conductor.section_mm2_x100,
                colour: scenario.new_conductor.colour,
                number: number.clone(),
            });
        }
        Ok(wires)
    }
}

fn terminal(text: &str) -> Result<Terminal, String> {
    Terminal::parse(text).ok_or_else(|| format!("`{text}`: a terminal such as QA1:14 is expected"))
}
