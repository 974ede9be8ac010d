//! A job that ships with its reference, and whether another work loses marks that the reference earns.

use sealin_core::Bench;
use sealin_exercise::beside::Kind;
use sealin_exercise::conduct::Conduct;
use sealin_exercise::marking::{self, Marks, mark};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, Trial};
use sealin_exercise::shipped;
use sealin_ladder::Program;
use sealin_proof::steps::{Outcome, run};
use std::sync::Mutex;

/// A job with marks.
pub struct Job {
    /// The scenario.
    pub scenario: Scenario,
    /// Its reference's work.
    pub reference: Project,
    /// The reference's program; none in a hard-wired job.
    pub program: Option<Program>,
    /// All marks that the requirements give.
    marks: Marks,
    /// What the reference earns for craft.
    craft: Vec<i32>,
    /// For each trial, by number over all requirements, how many works broke it: the likely ones are tried first.
    broke: Mutex<Vec<usize>>,
}

/// What became of a work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Marked {
    /// No bench can be built of it, and why.
    Refused(String),
    /// Loses marks.
    Loses,
    /// Earns what the reference earns.
    Keeps,
}

impl Job {
    /// Ids of all jobs that have marks, in the order in which they ship.
    pub fn ids() -> impl Iterator<Item = &'static str> {
        shipped::all().map(|(id, _)| id).filter(|id| shipped::reference(id).is_some())
    }

    /// A job by id.
    ///
    /// # Errors
    /// That there is none, or why its reference does not fit.
    pub fn open(id: &str) -> Result<Job, String> {
        let text = shipped::get(id).ok_or_else(|| format!("there is no job `{id}`"))?;
        let scenario = Scenario::parse(text).map_err(|problems| format!("{id}: {problems:?}"))?;
        let shipped = shipped::reference(id).ok_or_else(|| format!("`{id}` has no marks"))?;
        let reference = shipped.work(&scenario).map_err(|why| format!("{id}: {why}"))?;
        let program = if scenario.is_hard_wired() {
            None
        } else {
            Some(sealin_ladder::parse(&reference.source).map_err(|all| format!("{id}: {all:?}"))?)
        };
        let mut marks = mark(&scenario, &reference, &mut |_, _| false);
        marks.lines.iter_mut().for_each(|line| line.earned = line.of);
        let trials = scenario.requirements.iter().map(|requirement| requirement.trials.len()).sum();
        let craft = craft(&scenario, &marks, &reference);
        Ok(Job { scenario, reference, program, marks, craft, broke: Mutex::new(vec![0; trials]) })
    }

    /// Whether a work loses marks. One broken trial loses some, whatever the others come to.
    pub fn marked(&self, work: &Project) -> Marked {
        let bench = match marking::bench(&self.scenario, work) {
            Ok(bench) => bench,
            Err(why) => return Marked::Refused(why),
        };
        let craft = craft(&self.scenario, &self.marks, work);
        if craft.iter().zip(&self.craft).any(|(earned, of)| earned < of) || self.breaks(&bench) {
            Marked::Loses
        } else {
            Marked::Keeps
        }
    }

    fn breaks(&self, bench: &Bench) -> bool {
        let lock = || self.broke.lock().expect("nobody fails while holding it");
        let broke = lock().clone();
        let requirements = self.scenario.requirements.iter();
        let trials = requirements.flat_map(|r| r.trials.iter().map(|trial| (r.marks > 0, trial)));
        let mut trials: Vec<(usize, (bool, &Trial))> = trials.enumerate().collect();
        trials.sort_by_key(|(n, _)| std::cmp::Reverse(broke[*n]));
        let broken = trials.into_iter().filter(|(_, (counts, _))| *counts).find(|(_, (_, trial))| {
            matches!(run(&trial.script, &mut bench.clone(), &mut ()), Outcome::Broken(_))
        });
        if let Some((n, _)) = broken {
            lock()[n] += 1;
        }
        broken.is_some()
    }
}

/// What a work earns for craft beside these marks of its requirements: of nobody in particular, so that only the design counts.
fn craft(scenario: &Scenario, marks: &Marks, work: &Project) -> Vec<i32> {
    let marks = marks.clone().with_conduct(scenario, work, &Conduct::default());
    let of_design = marks.beside.iter().filter(|line| matches!(line.kind, Kind::Wiring | Kind::Program));
    of_design.map(|line| line.earned).collect()
}
