//! A question asked for one fault after another, with all that does not depend on the fault found out once.

use super::control::default_free;
#[cfg(feature = "under-test")]
use super::follow::{Boundary, Follower};
use super::judge::Judge;
use super::plant::{MOST_TRIED, Plant};
use super::program::Program;
use super::question::{Answer, Progress, Question, Report};
use super::replay::Replay;
#[cfg(feature = "under-test")]
use super::sabotage::Sabotage;
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
    /// Most that is tried in a quantum.
    most_tried: u64,
    #[cfg(feature = "under-test")]
    sabotage: Option<Sabotage>,
}

impl<'a> Explorer<'a> {
    /// The question; its fault does not matter.
    pub fn new(question: &Question<'a>) -> Explorer<'a> {
        Explorer {
            question: question.clone(),
            denied: Vec::new(),
            explored: Vec::new(),
            most_tried: MOST_TRIED,
            #[cfg(feature = "under-test")]
            sabotage: None,
        }
    }

    /// The same with all that moves in the plant, and so at every tick: it takes long, and must come to the same. For tests.
    pub fn all_in_the_plant(question: &Question<'a>) -> Explorer<'a> {
        /// More than can move.
        const MOST: usize = 64;
        Explorer { denied: (0..MOST).collect(), ..Explorer::new(question) }
    }

    /// The same with so much tried in a quantum at most. For tests.
    #[cfg(feature = "under-test")]
    pub fn trying(question: &Question<'a>, most: u64) -> Explorer<'a> {
        Explorer { most_tried: most, ..Explorer::new(question) }
    }

    /// The same with a mistake made on purpose. For tests.
    #[cfg(feature = "under-test")]
    pub fn sabotaged(question: &Question<'a>, sabotage: Sabotage) -> Explorer<'a> {
        Explorer { sabotage: Some(sabotage), ..Explorer::new(question) }
    }

    /// Explores with this fault, and plays what breaks again on the whole bench.
    pub fn ask(
        &mut self,
        fault: Option<&Fault>,
        progress: &mut dyn FnMut(Progress) -> bool,
    ) -> (Report, Option<Replay>) {
        let report = self.explore(fault, progress);
        let played = report.replay(&self.question);
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
            let with = fault.map(|fault| self.struck(fault)).transpose()?;
            let exploration = self.exploration(&denied)?;
            match exploration.answer(with, progress) {
                Ok(answer) => {
                    let mut report = Report::new(answer);
                    exploration.tell(&mut report);
                    return Ok((report, self.exploration(&denied)?));
                }
                // All over again with this one in the plant.
                Err(mover) => denied.push(mover),
            }
        }
    }

    /// Follows runs of the whole bench in which this fault may strike.
    ///
    /// # Errors
    /// Why the question is outside what is explored.
    #[cfg(feature = "under-test")]
    pub fn follower(&mut self, fault: Option<&Fault>) -> Result<Follower<'_>, String> {
        let with = fault.map(|fault| self.struck(fault)).transpose()?;
        let exploration = self.exploration(&self.denied.clone())?;
        exploration.forget_struck();
        with.into_iter().for_each(|with| exploration.plant.may_strike(with));
        Ok(Follower::new(exploration))
    }

    /// Every state that was met in what was last explored: the discrete half of the bench, what the monitors remember, and whether
    /// the fault is there.
    #[cfg(feature = "under-test")]
    pub fn states(&mut self) -> Vec<Boundary> {
        self.explored.last_mut().map_or_else(Vec::new, |(_, exploration)| exploration.boundaries())
    }

    /// From now on this mover is not looked at apart.
    #[cfg(feature = "under-test")]
    pub fn deny(&mut self, mover: usize) {
        self.denied.push(mover);
    }

    fn exploration(&mut self, denied: &[usize]) -> Result<&mut Exploration, String> {
        let known = self.explored.iter().position(|(without, _)| without == denied);
        let at = match known {
            Some(at) => at,
            None => {
                let new = self.explore_anew(denied)?;
                self.explored.push((denied.to_vec(), new));
                self.explored.len() - 1
            }
        };
        Ok(&mut self.explored[at].1)
    }

    /// The bench without its program, with a fault or none.
    fn bare(&self, fault: Option<&Fault>) -> Result<Design, String> {
        let mut plan = Plan { program: None, ..self.question.plan.clone() };
        plan.faults.extend(fault.cloned());
        let design = Design::build(&plan).map_err(|e| e.to_string())?;
        #[cfg(feature = "under-test")]
        let design = Sabotage::of_design(self.sabotage, design);
        Ok(design)
    }

    fn explore_anew(&self, denied: &[usize]) -> Result<Exploration, String> {
        let question = &self.question;
        let full = Design::build(question.plan).map_err(|e| e.to_string())?;
        if let Some(why) = design_outside(&full) {
            return Err(why);
        }
        let design = Rc::new(self.bare(None)?);
        let period = grid_ms(&design);
        let judge = Judge::new(question.required, question.assumed, &design)?;
        let signals = judge.signals().to_vec();
        if let Some((n, why)) = signals.iter().find_map(|&n| Some((n, outside(&design, n)?))) {
            return Err(format!("{}: {why}", design.signals[n].name));
        }
        let free = question.free.map_or_else(|| default_free(&design), <[String]>::to_vec);
        let mut plant = Plant::new(design, &free, denied, signals, period)?;
        plant.most_tried = self.most_tried;
        #[cfg(feature = "under-test")]
        let plant = Sabotage::of_plant(self.sabotage, plant);
        let program = Program::new(full.compiled().clone());
        Ok(Exploration::new(plant, program, judge, question.max_states))
    }

    /// A fault, and the design with it. The error says why it cannot be explored.
    fn struck(&self, fault: &Fault) -> Result<(Fault, Rc<Design>), String> {
        fault.fits(self.question.plan)?;
        let design = self.bare(Some(fault))?;
        if let Some(why) = design_outside(&design) {
            return Err(why);
        }
        let names = |design: &Design| design.signals.iter().map(|s| s.name.clone()).collect::<Vec<_>>();
        if names(&design) != names(&self.bare(None)?) {
            return Err(format!("with `{fault}` there are other signals"));
        }
        Ok((fault.clone(), Rc::new(design)))
    }
}
