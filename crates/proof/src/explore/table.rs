//! A question asked for one fault after another, with all that does not depend on the fault found out once.

use super::control::default_free;
use super::judge::Judge;
use super::plant::{Demoted, Plant};
use super::program::Program;
use super::question::{Answer, Progress, Question, Report};
use super::replay::{Replay, replay};
use super::search::Exploration;
use crate::expr::grid_ms;
use sealin_core::step::{design_outside, outside};
use sealin_core::{Design, Fault, Plan};
use std::rc::Rc;

/// Explores, and plays what breaks again on the whole bench.
pub fn ask(question: &Question, progress: &mut dyn FnMut(Progress) -> bool) -> (Report, Option<Replay>) {
    Explorer::new(question).ask(question.fault, progress)
}

/// Explores. `progress` is called every few thousand states; it ends the exploration by `false`.
pub fn explore(question: &Question, progress: &mut dyn FnMut(Progress) -> bool) -> Report {
    Explorer::new(question).explore(question.fault, progress)
}

/// A question for which several faults, one at a time, are looked into.
pub struct Explorer<'a> {
    question: Question<'a>,
    /// Movers that are never looked at apart.
    denied: Vec<usize>,
    /// Movers that were not looked at apart, and what was found out so.
    explored: Vec<(Vec<usize>, Exploration)>,
}

impl<'a> Explorer<'a> {
    /// The question; its fault does not matter.
    pub fn new(question: &Question<'a>) -> Explorer<'a> {
        Explorer { question: question.clone(), denied: Vec::new(), explored: Vec::new() }
    }

    /// The same with all that moves in the plant, and so at every tick: it takes long, and must come to the same. For tests.
    pub fn all_in_the_plant(question: &Question<'a>) -> Explorer<'a> {
        /// More than can move.
        const MOST: usize = 64;
        Explorer { denied: (0..MOST).collect(), ..Explorer::new(question) }
    }

    /// Explores with this fault, and plays what breaks again on the whole bench.
    pub fn ask(
        &mut self,
        fault: Option<&Fault>,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> (Report, Option<Replay>) {
        let report = self.explore(fault, progress);
        let played = match &report.answer {
            Answer::Broken(path) => Some(replay(&self.question, path)),
            _ => None,
        };
        (report, played)
    }

    /// Explores with this fault.
    pub fn explore(&mut self, fault: Option<&Fault>, progress: &mut dyn FnMut(Progress) -> bool) -> Report {
        match self.explored(fault, progress) {
            Ok((report, _)) => report,
            Err(why) => Report::new(Answer::NotProvable(why)),
        }
    }

    /// The exploration beside its report. The error says what is outside of what can be explored.
    pub(super) fn explored(
        &mut self,
        fault: Option<&Fault>,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> Result<(Report, &mut Exploration), String> {
        let mut denied = self.denied.clone();
        loop {
            let plan = self.question.plan;
            let exploration = self.exploration(&denied)?;
            let with = fault.map(|fault| struck(plan, fault, exploration.plant.design()));
            match exploration.answer(with.transpose()?, progress) {
                Ok(answer) => {
                    let mut report = Report::new(answer);
                    exploration.tell(&mut report);
                    return Ok((report, self.exploration(&denied)?));
                }
                // All over again with this one in the plant.
                Err(Demoted(mover)) => denied.push(mover),
            }
        }
    }

    fn exploration(&mut self, denied: &[usize]) -> Result<&mut Exploration, String> {
        let known = self.explored.iter().position(|(without, _)| without == denied);
        let at = match known {
            Some(at) => at,
            None => {
                let new = explore_anew(&self.question, denied)?;
                self.explored.push((denied.to_vec(), new));
                self.explored.len() - 1
            }
        };
        Ok(&mut self.explored[at].1)
    }
}

fn bare(plan: &Plan) -> Plan {
    Plan { program: None, ..plan.clone() }
}

fn explore_anew(question: &Question, denied: &[usize]) -> Result<Exploration, String> {
    let full = Design::build(question.plan).map_err(|e| e.to_string())?;
    if let Some(why) = design_outside(&full) {
        return Err(why);
    }
    let design = Rc::new(Design::build(&bare(question.plan)).map_err(|e| e.to_string())?);
    let period = grid_ms(&design);
    let judge = Judge::new(question.required, question.assumed, &design)?;
    let signals = judge.signals().to_vec();
    if let Some((n, why)) = signals.iter().find_map(|&n| Some((n, outside(&design, n)?))) {
        return Err(format!("{}: {why}", design.signals[n].name));
    }
    let free = question.free.map_or_else(|| default_free(&design), <[String]>::to_vec);
    let plant = Plant::new(design, &free, denied, signals, period)?;
    let program = Program::new(full.compiled().clone());
    Ok(Exploration::new(plant, program, judge, question.max_states))
}

/// A fault, and the design with it. The error says why it cannot be explored.
fn struck(plan: &Plan, fault: &Fault, healthy: &Design) -> Result<(Fault, Rc<Design>), String> {
    fault.fits(&healthy.parts, &healthy.conductors)?;
    let mut plan = bare(plan);
    plan.faults.insert(fault.clone());
    let design = Design::build(&plan).map_err(|e| e.to_string())?;
    if let Some(why) = design_outside(&design) {
        return Err(why);
    }
    let names = |design: &Design| design.signals.iter().map(|s| s.name.clone()).collect::<Vec<_>>();
    if names(&design) != names(healthy) {
        return Err(format!("with `{fault}` there are other signals"));
    }
    Ok((fault.clone(), Rc::new(design)))
}
