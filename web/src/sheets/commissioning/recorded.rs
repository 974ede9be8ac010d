//! The record of what is done before the first press, as lines for a document.

use super::before::{Found, dial_key, find, named, outcome};
use super::dead_tests::{Check, Stage, newest, stages};
use crate::store::Workshop;
use crate::store::model::{Measurement, Missing};

/// A stage with its lines.
pub struct StageRecord {
    /// What it is about.
    pub title: &'static str,
    /// State that the panel must be in.
    pub state: &'static str,
    /// Its checks.
    pub lines: Vec<CheckRecord>,
}

/// A check and what is recorded of it.
pub struct CheckRecord {
    /// What is checked.
    pub name: String,
    /// Where it is taken and what it should be.
    pub wanted: String,
    /// What was found; empty where it is still open.
    pub found: String,
    /// Whether that is as expected; none where it is still open.
    pub met: Option<bool>,
    /// When it was found, bench time in ms.
    pub tick: Option<u64>,
}

/// Everything that is to be done before the first press, with what has been recorded of it.
pub fn recorded(workshop: &Workshop) -> Vec<StageRecord> {
    let scenario = workshop.scenario();
    let stages = stages(&scenario.parts, &scenario.given);
    let found = find(workshop, &stages);
    let record = |stage: &Stage| StageRecord {
        title: stage.title,
        state: stage.state,
        lines: stage.checks.iter().map(|check| line(stage, check, &found)).collect(),
    };
    stages.iter().map(record).collect()
}

fn line(stage: &Stage, check: &Check, found: &Found) -> CheckRecord {
    let (name, wanted) = named(check, &found.next(check));
    let (text, met) = outcome(stage, check, found);
    let tick = met.and_then(|_| tick_of(check, found));
    CheckRecord { name, wanted, found: text, met, tick }
}

/// When a check was done. Dead: when the proving unit was used last, which ends the order.
fn tick_of(check: &Check, found: &Found) -> Option<u64> {
    match check {
        Check::Reading { what, .. } => Some(found.readings[newest(&found.readings, what)?].tick),
        Check::Dead { place } => {
            let tests = found.missing(place).iter().all(|missing| *missing != Missing::ProveAfter);
            let proved = found.readings.iter().rev().find(|taken| taken.what == Measurement::ProvingUnit);
            proved.filter(|_| tests).map(|taken| taken.tick)
        }
        Check::Dial { overload, .. } => found.by_hand.get(&dial_key(overload)).map(|(tick, _)| *tick),
        Check::Turns { motor, .. } => found.turned.get(motor).copied(),
        Check::ByHand { key, .. } => found.by_hand.get(*key).map(|(tick, _)| *tick),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Command;
    use crate::store::fixture::workshop;

    fn line<'a>(all: &'a [StageRecord], name: &str) -> &'a CheckRecord {
        all.iter().flat_map(|stage| &stage.lines).find(|line| line.name.contains(name)).unwrap()
    }

    /// Nothing is recorded at first. A line stands at the tick at which it was written, or at which the instrument showed it.
    #[test]
    fn a_line_says_what_was_found_and_when() {
        let mut w = workshop();
        let open = recorded(&w);
        assert!(open.len() >= 6, "isolate, earth, insulation, contacts, dial, control");
        assert!(open.iter().flat_map(|stage| &stage.lines).all(|line| line.met.is_none()));
        assert!(open.iter().flat_map(|stage| &stage.lines).all(|line| line.tick.is_none()));
        w.carry_out(Command::Step(700)).unwrap();
        w.carry_out(Command::Record { check: "locked".into(), text: "A. Weir".into() }).unwrap();
        w.carry_out(Command::Step(300)).unwrap();
        let places = ["XE1:1".to_string(), "MA1:PE".to_string()];
        let earth = Measurement::parse("continuity", &places).unwrap();
        w.carry_out(Command::Measure(earth)).unwrap();
        let now = recorded(&w);
        let locked = line(&now, "locked off");
        assert_eq!((locked.found.as_str(), locked.met, locked.tick), ("A. Weir", Some(true), Some(700)));
        let earth = line(&now, "MA1:PE");
        assert!(
            earth.found.ends_with('Ω') && earth.wanted.contains("0.1"),
            "{} {}",
            earth.found,
            earth.wanted
        );
        assert_eq!(earth.tick, Some(1_000));
    }
}
