//! What is marked beside the requirements: hints that cost, and craft.

use super::reader::{Reader, Table};
use super::requirement::{fresh_id, known_ids};
use super::{Prediction, Requirement};

/// Most hints of a scenario.
const MOST_HINTS: usize = 50;

/// Help that a learner may open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// `H1`.
    pub id: String,
    /// Ids of the requirements that it helps with, with blanks between; may be empty.
    pub requirements: String,
    /// Marks that it costs.
    pub costs: u32,
    /// What it says.
    pub text: String,
}

/// Marks beside the requirements, 0 where nothing is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Craft {
    /// Wiring: one is lost for each thing that a fitter would do again.
    pub wiring: u32,
    /// Program: one is lost for each remark of a teacher.
    pub program: u32,
    /// Time: all within the minutes of the scenario, none at twice that, straight between.
    pub time: u32,
    /// Safe work: two are lost for each unsafe act.
    pub safe_work: u32,
}

impl Craft {
    /// Marks of all lines.
    pub fn marks(&self) -> u32 {
        self.wiring + self.program + self.time + self.safe_work
    }
}

/// Reads all `[[hint]]` tables.
pub(super) fn hints<'t>(
    r: &mut Reader<'t>,
    top: &mut Table<'_, 't>,
    requirements: &[Requirement],
    predictions: &[Prediction],
) -> Vec<Hint> {
    let mut all: Vec<Hint> = Vec::new();
    for mut t in r.tables(top, "hint", MOST_HINTS) {
        let taken = |id: &str| {
            let asked = requirements.iter().any(|q| q.id == id) || predictions.iter().any(|p| p.id == id);
            asked || all.iter().any(|h| h.id == id)
        };
        let id = fresh_id(r, &mut t, "H1", &taken);
        let at = t.place("requirements");
        let helps = r.text_or_empty(&mut t, "requirements", 400);
        known_ids(r, &at, &helps, requirements);
        let costs = r.number(&mut t, "costs", 0..=1000) as u32;
        let text = r.text(&mut t, "text", 1000);
        r.finish(t);
        all.push(Hint { id, requirements: helps, costs, text });
    }
    all
}

/// Reads the table `[craft]`, which may be left out. A hard-wired job has no program that could be marked.
pub(super) fn craft<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>, hard_wired: bool) -> Craft {
    if top.take("craft").is_none() {
        return Craft::default();
    }
    let Some(mut t) = r.table(top, "craft") else { return Craft::default() };
    let mut marks = |key| r.number_or(&mut t, key, 0..=1000, 0) as u32;
    let (wiring, program) = (marks("wiring"), marks("program"));
    let (time, safe_work) = (marks("time"), marks("safe_work"));
    if hard_wired && program > 0 {
        let at = t.place("program");
        r.wrong(&at, "`program`: this job has no program; marks for it cannot be earned");
    }
    r.finish(t);
    Craft { wiring, program, time, safe_work }
}
