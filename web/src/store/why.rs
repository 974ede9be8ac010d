//! Why?: what was asked, and the answer as it was at one instant. Computed when it is asked, never while time passes.

use super::model::Bench;
use sealin_core::Design;
use sealin_core::why::{Chain, Flip, Link, Subject, ask, why};
use std::rc::Rc;

/// What a person asks.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyAct {
    /// Opens the place for the answer; the next thing that is chosen is asked about.
    Open,
    /// Asks about the first of these subjects, the others being offered beside it; with a bench time, ms, how it was then.
    Ask(Vec<Subject>, Option<u64>),
    /// Puts the answer away.
    Close,
}

/// What stands in the place for the answer.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Why {
    /// Nothing is asked.
    #[default]
    Closed,
    /// Nothing is chosen yet.
    Open,
    /// An answer.
    Answered(Rc<Answer>),
    /// There is nothing to tell of it.
    Silent,
    /// A fault is hidden: nothing is told before the work is handed in.
    Sealed,
}

/// The chain of causes of a subject at an instant.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// What was asked about first, with what can be asked about beside it and is not told by the chain.
    pub subjects: Vec<Subject>,
    /// What is so of those beside it, in their order.
    pub beside: Vec<String>,
    /// The bench time that it is of, ms.
    pub tick: u64,
    /// It was asked of an instant that is over.
    pub earlier: bool,
    /// What is said, from what was asked to a root.
    pub steps: Vec<Step>,
}

/// A link of the chain as it is said.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The sentence.
    pub text: String,
    /// The link itself.
    pub link: Link,
    /// What decides it together with the next link, with the sentence of each.
    pub others: Vec<(Flip, String)>,
}

impl Answer {
    /// The chain of a bench by its drawing: faults that are set are left out, and where they matter the chain says that it
    /// is otherwise than drawn. None where the design has no such thing.
    pub fn of(bench: &Bench, subjects: Vec<Subject>, earlier: bool) -> Option<Answer> {
        let design = drawn(bench)?;
        let chain = why(&design, &bench.state, subjects.first()?)?;
        let told = |subject: &&Subject| !chain.links.iter().any(|link| link.subject == **subject);
        let what = |subject: &Subject| Some((subject.clone(), ask(&design, &bench.state, subject)?.what()));
        let (others, beside): (Vec<_>, _) = subjects.iter().filter(told).filter_map(what).unzip();
        let subjects = subjects.iter().take(1).cloned().chain(others).collect();
        Some(Answer { subjects, beside, tick: bench.tick(), earlier, steps: steps(&chain) })
    }

    /// The instant to ask on about: none for now.
    pub fn at(&self) -> Option<u64> {
        self.earlier.then_some(self.tick)
    }
}

fn steps(chain: &Chain) -> Vec<Step> {
    let step = |(k, text): (usize, String)| {
        let link = chain.links[k].clone();
        let others = link.because.iter().skip(1).map(|flip| (flip.clone(), flip.what())).collect();
        Step { text, link, others }
    };
    chain.told().into_iter().map(step).collect()
}

/// The design as it is drawn.
fn drawn(bench: &Bench) -> Option<Rc<Design>> {
    if bench.plan().faults.is_empty() {
        return Some(Rc::clone(&bench.design));
    }
    let mut plan = bench.plan().clone();
    plan.faults.clear();
    Design::build(&plan).ok().map(Rc::new)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::fixture::{act, workshop};
    use crate::store::{Command, Workshop};
    use sealin_core::why::subject;

    fn told(workshop: &mut Workshop, signal: &str, at: Option<u64>) -> (Vec<String>, u64) {
        let asked = subject(&workshop.bench().design, signal).unwrap();
        workshop.carry_out(Command::Why(WhyAct::Ask(vec![asked], at))).unwrap();
        let Why::Answered(answer) = workshop.why() else { panic!("no answer") };
        (answer.steps.iter().map(|step| step.text.clone()).collect(), answer.tick)
    }

    /// The job as it is handed out has no program that drives QX0.0, and no conductor between Q0 and A1 (the scenario's
    /// list of what is given, paddle job).
    #[test]
    fn the_untouched_job_says_that_the_coil_has_no_feed() {
        let mut w = workshop();
        act(&mut w, "power on");
        w.carry_out(Command::Step(2_000)).unwrap();
        let (said, tick) = told(&mut w, "QA1.closed", None);
        assert_eq!(tick, 2_000);
        assert_eq!(said[..2], ["QA1 is out", "coil QA1 is off"]);
        assert!(said[2].starts_with("no volts at A1-A2 of QA1"), "{said:?}");
    }

    /// Before the supply was switched on at 1,000 ms the lamp had its volts from nowhere: the answer of then is not the
    /// answer of now, and asking leaves the bench where it stands.
    #[test]
    fn an_instant_looked_back_to_has_its_own_answer() {
        let mut w = workshop();
        w.carry_out(Command::Step(1_000)).unwrap();
        act(&mut w, "power on");
        w.carry_out(Command::Step(3_000)).unwrap();
        assert_eq!(told(&mut w, "TB1.on", None).0[0], "TB1 gives its voltage");
        let (said, tick) = told(&mut w, "TB1.on", Some(500));
        assert_eq!((said[0].as_str(), tick), ("TB1 gives no voltage", 500));
        assert_eq!(said.last().unwrap(), "the supply XD0 is off");
        assert_eq!(w.bench().tick(), 4_000);
    }

    /// A conductor that is broken by a fault is there by the drawing: the answer ends where the drawing would have it
    /// otherwise, and names no fault.
    #[test]
    fn a_fault_is_not_told() {
        let mut w = workshop();
        act(&mut w, "inject FC5 1-2 stuck open");
        act(&mut w, "power on");
        w.carry_out(Command::Step(2_000)).unwrap();
        let (said, _) = told(&mut w, "TB1.on", None);
        assert!(said.iter().all(|text| !text.contains("fault")), "{said:?}");
    }
}
