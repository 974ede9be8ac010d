//! The worked example: the reference of a job as an attempt of its own, to be looked at.

use super::model::{Scenario, Session};
use sealin_exercise::shipped::{self, Reference};
use std::rc::Rc;

/// The reference of a job, where it ships and its author does not withhold it.
pub fn of(scenario: &Scenario) -> Option<Reference> {
    shipped::reference(&scenario.id).filter(|_| !scenario.example_withheld)
}

/// The job done: all conductors made, the program written and transferred, the supply still off.
///
/// # Errors
/// If the job has no example.
pub fn session(scenario: &Rc<Scenario>) -> Result<Session, String> {
    let reference = of(scenario).ok_or(crate::t!("example-none"))?;
    let seed = scenario.seed();
    let mut session = Session::new(scenario.clone(), seed).map_err(|error| error.to_string())?;
    let program = (!scenario.is_hard_wired()).then(|| reference.program(scenario));
    session.do_work(&reference.wires(scenario)?, program.as_deref())?;
    Ok(session)
}

#[cfg(test)]
mod tests {
    use crate::store::fixture::{act, workshop};
    use crate::store::{Command, Saved};

    /// A job that is to be marked keeps it back: it is not offered, refused with a reason, and the work stays as it is.
    #[test]
    fn the_example_of_a_marked_job_is_withheld() {
        let text = sealin_exercise::shipped::get("paddle-closed-loop").unwrap();
        let marked = text.replacen("pass_marks = 84", "pass_marks = 84\nexample_withheld = true", 1);
        assert_ne!(marked, text);
        let of = |text: &str| {
            let scenario = std::rc::Rc::new(super::Scenario::parse(text).unwrap());
            crate::store::Workshop::new(super::Session::new(scenario, 1).unwrap())
        };
        assert!(of(text).has_example());
        let mut w = of(&marked);
        act(&mut w, "power on");
        w.carry_out(Command::Step(1_000)).unwrap();
        assert!(!w.has_example());
        assert!(!w.carry_out(Command::Example(true)).unwrap_err().is_empty());
        assert!(!w.on_example() && w.supply_on());
        assert!(!w.source().contains("PF1_out"));
        assert_eq!(w.project().conductors.len(), w.scenario().given.len());
    }

    /// What is done in the example is in no way done in the work in progress.
    #[test]
    fn the_example_leaves_the_work_as_it_is() {
        let mut w = workshop();
        act(&mut w, "power on");
        w.carry_out(Command::Step(1_000)).unwrap();
        w.carry_out(Command::Draft(w.source().replace("SF2_in OR", "SF3_in OR"))).unwrap();
        w.carry_out(Command::Saved(Saved::Kept)).unwrap();
        let (epoch, work) = (w.epoch(), w.own().1);
        w.carry_out(Command::Example(true)).unwrap();
        assert!(w.on_example() && !w.supply_on());
        assert_ne!(w.epoch(), epoch);
        assert!(w.source().contains("PF1_out := FC1_in"));
        assert_eq!(w.project().source, w.project().transferred);
        // The nine conductors of the job sheet.
        assert_eq!(w.project().conductors.len(), w.scenario().given.len() + 9);
        // It runs, and it is not written.
        for line in ["power on", "press SF2"] {
            act(&mut w, line);
            w.carry_out(Command::Step(2_000)).unwrap();
        }
        assert!(w.signal("QA1.closed"));
        assert!(w.export().is_err());
        let (own, number) = w.own();
        assert_eq!((own.acts(), own.tick(), number), (2, 1_000, work));
        w.carry_out(Command::Example(true)).unwrap();
        w.carry_out(Command::Example(false)).unwrap();
        assert!(!w.on_example() && w.supply_on());
        assert_eq!((w.session().acts(), w.session().tick()), (2, 1_000));
        assert!(w.source().contains("SF3_in OR"), "what was being typed is there");
        assert_eq!((w.own().1, w.saved()), (work, Saved::Kept));
        w.export().unwrap();
    }

    /// The example earns what the reference earns: all of it.
    #[test]
    fn the_example_earns_all_marks() {
        let mut w = workshop();
        w.carry_out(Command::Example(true)).unwrap();
        let marks = sealin_exercise::marking::mark(w.scenario(), w.project(), &mut |_, _| true);
        assert_eq!((marks.earned, marks.passed), (100, true));
    }

    /// A file that is opened while the example is in view becomes the work in progress.
    #[test]
    fn an_attempt_opened_over_the_example_is_the_work() {
        let mut w = workshop();
        act(&mut w, "power on");
        w.carry_out(Command::Step(100)).unwrap();
        let file = w.session().attempt();
        let work = w.own().1;
        w.carry_out(Command::Example(true)).unwrap();
        w.carry_out(Command::Open(file.into())).unwrap();
        assert!(!w.on_example() && w.supply_on());
        assert_ne!(w.own().1, work);
    }
}
