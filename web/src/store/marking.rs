//! Marking, as page and worker need it: a file marked, a broken trial run again.

use super::checks::{MarkLine, Marks, Progress};
use super::model::{Attempt, Bench, Project, Scenario, Trace};
use sealin_core::Events;
use sealin_core::canon::hex;
use sealin_exercise::conduct::Conduct;
use sealin_exercise::fold::{Fold, fold};
use sealin_exercise::grade::scenario_of;
use sealin_exercise::laps::Laps;
use sealin_exercise::marking;
use sealin_exercise::unsafe_acts::all_lines;
use sealin_proof::Observer;
use std::collections::BTreeSet;
use std::rc::Rc;

/// The scenario of an attempt file, and where its last line ends.
///
/// # Errors
/// If the file is no attempt, its scenario is not known here, or its log cannot be followed.
pub fn end_of(json: &str) -> Result<(Rc<Scenario>, Fold), String> {
    let attempt = Attempt::parse(json).map_err(|error| error.to_string())?;
    let scenario = scenario_of(&attempt).map_err(|error| error.to_string())?;
    let end = fold(&scenario, &attempt).map_err(|error| error.to_string())?;
    Ok((scenario, end))
}

/// Marks the design at the end of an attempt file.
///
/// # Errors
/// As for [`end_of`].
pub fn mark_file(json: &str, progress: &mut dyn FnMut(Progress) -> bool) -> Result<Marks, String> {
    let attempt = Attempt::parse(json).map_err(|error| error.to_string())?;
    let scenario = scenario_of(&attempt).map_err(|error| error.to_string())?;
    let (end, unsafe_acts) = all_lines(&scenario, &attempt).map_err(|error| error.to_string())?;
    let mut followed = |done: usize, of: usize| {
        progress(Progress { done: done as u32, of: of as u32, benches: true });
    };
    let conduct = Conduct::to_mark(&scenario, &attempt, &end, &unsafe_acts, &mut followed)
        .map_err(|error| error.to_string())?;
    let mut narrow =
        |done: usize, of: usize| progress(Progress { done: done as u32, of: of as u32, benches: false });
    let marked = marking::mark(&scenario, &end.project, &mut narrow);
    Ok(marks(marked.with_conduct(&scenario, &end.project, &conduct)))
}

/// Trace hash and exact hash of an attempt file, in hexadecimal.
///
/// # Errors
/// As for [`end_of`].
pub fn hashes(json: &str) -> Result<(String, String), String> {
    let (_, end) = end_of(json)?;
    Ok((hex(&end.trace.trace_hash()), hex(&end.trace.exact_hash())))
}

/// The laps of an attempt file from tick `from` on.
///
/// # Errors
/// As for [`hashes`], or if the design changes after `from`.
pub fn laps(json: &str, from: u64) -> Result<Laps, String> {
    let attempt = Attempt::parse(json).map_err(|error| error.to_string())?;
    let scenario = scenario_of(&attempt).map_err(|error| error.to_string())?;
    Laps::new(&scenario, &attempt, from)
}

/// The marks in the form that page and worker exchange.
pub fn marks(marks: marking::Marks) -> Marks {
    Marks {
        lines: marks.lines.into_iter().map(line).collect(),
        beside: marks.beside,
        earned: marks.earned,
        of: marks.of,
        passed: marks.passed,
        errors: marks.unfit.into_iter().collect(),
    }
}

fn line(line: marking::MarkLine) -> MarkLine {
    MarkLine {
        id: line.id,
        text: line.text,
        earned: line.earned,
        of: line.of,
        must: line.must,
        trials: line.trials,
    }
}

/// A trial that was run again.
pub struct Replayed {
    /// What happened.
    pub trace: Trace,
    /// Signals worth seeing, causes first.
    pub signals: Vec<String>,
    /// The last tick of the trial.
    pub end: u64,
}

/// The trace of a trial.
#[derive(Default)]
struct Seen {
    trace: Trace,
    end: u64,
}

impl Observer for Seen {
    fn ticked(&mut self, bench: &Bench, tick: u64, events: &Events) {
        // A fault that strikes gives the bench another design, whose signals are numbered anew.
        self.trace.design_changed(bench);
        self.trace.take(bench, tick, events);
        self.end = tick;
    }
}

/// Most signals of a diagram.
const MOST_SIGNALS: usize = 10;

/// Runs one trial again and picks the signals that its text speaks of, besides those of the loop that moved.
///
/// # Errors
/// If the work cannot be built, or there is no such trial.
pub fn replay(
    scenario: &Rc<Scenario>,
    project: &Project,
    requirement: &str,
    trial: usize,
) -> Result<Replayed, String> {
    let mut seen = Seen::default();
    marking::run_trial(scenario, project, requirement, trial, &mut seen)
        .ok_or_else(|| format!("{requirement}, {trial}"))?;
    let source = scenario
        .requirements
        .iter()
        .find(|known| known.id == requirement)
        .and_then(|known| known.trials.get(trial))
        .map_or("", |trial| trial.source.as_str());
    let mut signals = worth_seeing(&seen.trace, source);
    if scenario.fault_finding.is_some() {
        // The machine as it is was tried: what only an instrument tells is not shown.
        let bench = marking::bench(scenario, project)?;
        let in_sight = |name: &String| {
            let number = bench.design.signal(name);
            number.is_some_and(|number| bench.design.signals[number].source.is_in_sight())
        };
        signals.retain(in_sight);
    }
    Ok(Replayed { trace: seen.trace, signals, end: seen.end })
}

/// The signals that a script speaks of, and those of the loop that moved, causes first.
pub fn worth_seeing(trace: &Trace, source: &str) -> Vec<String> {
    let spoken: Vec<&str> =
        source.split(|c: char| !(c.is_alphanumeric() || matches!(c, '.' | '_' | '-'))).collect();
    // A script says `press SF2`, `trip FC1`, `expect not QX0.0`; the trace has `SF2.pressed`, `FC1.tripped`, `KF1.QX0.0`.
    let named = |name: &str| {
        let part = name.split('.').next().unwrap_or(name);
        let bare = name.split_once('.').map_or(name, |(_, rest)| rest);
        let of_part = [".pressed", ".tripped", ".closed"].iter().any(|end| name.ends_with(end));
        spoken.contains(&name) || spoken.contains(&bare) || of_part && spoken.contains(&part)
    };
    let changed: BTreeSet<u32> = trace.changes().iter().map(|change| change.name).collect();
    let mut names: Vec<&String> = Vec::new();
    for (number, name) in trace.names().iter().enumerate() {
        // The bit of a controller's image has its name with the controller's tag and, where there is one controller,
        // without; one of them is enough.
        let twice = name.split_once('.').is_some_and(|(_, bare)| trace.number(bare).is_some());
        let moved = changed.contains(&(number as u32)) && rank(name) < LOOP;
        if !twice && (named(name) || moved) {
            names.push(name);
        }
    }
    names.sort_by_key(|name| (!named(name), rank(name)));
    names.truncate(MOST_SIGNALS);
    names.sort_by_key(|name| rank(name));
    names.into_iter().cloned().collect()
}

/// Signals of the loop have a lower rank.
const LOOP: u8 = 8;

/// Causes first: hand, trip, supply, inputs, outputs, contactor, lamp.
fn rank(name: &str) -> u8 {
    let bare = name.split_once('.').map_or(name, |(_, rest)| rest);
    match bare {
        _ if name.ends_with(".pressed") => 0,
        _ if name.ends_with(".tripped") || name.ends_with(".stop") => 1,
        _ if name.starts_with("XD0.") => 2,
        _ if name.starts_with("IX") || bare.starts_with("IX") => 3,
        _ if name.starts_with("QX") || bare.starts_with("QX") => 4,
        "coil" => 5,
        "closed" if name.starts_with("QA") => 6,
        "lit" => 7,
        _ => LOOP,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn causes_stand_before_effects() {
        let order = ["SF2.pressed", "FC1.tripped", "IX0.1", "QX0.0", "QA1.coil", "QA1.closed", "PF1.lit"];
        assert!(order.windows(2).all(|pair| rank(pair[0]) < rank(pair[1])));
        assert_eq!(rank("KF1.QX0.0"), rank("QX0.0"));
        assert_eq!(rank("QA1.13-14"), LOOP);
    }
}
