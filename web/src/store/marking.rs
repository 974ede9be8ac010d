//! Marking, as page and worker need it: a file marked, a broken trial run again.

use super::checks::{Failure, MarkLine, Marks, TrialResult};
use super::model::{Attempt, Bench, Project, Scenario, Trace};
use sealin_core::Events;
use sealin_core::canon::hex;
use sealin_exercise::fold::fold;
use sealin_exercise::grade::scenario_of;
use sealin_exercise::marking;
use sealin_proof::Observer;
use std::rc::Rc;

/// Marks the design at the end of an attempt file.
///
/// # Errors
/// If the file is no attempt, its scenario is not known here, or its log cannot be followed.
pub fn mark_file(json: &str, progress: &mut dyn FnMut(u32, u32) -> bool) -> Result<Marks, String> {
    let attempt = Attempt::parse(json).map_err(|error| error.to_string())?;
    let scenario = scenario_of(&attempt).map_err(|error| error.to_string())?;
    let end = fold(&scenario, &attempt).map_err(|error| error.to_string())?;
    let mut narrow = |done: usize, of: usize| progress(done as u32, of as u32);
    Ok(marks(marking::mark(&scenario, &end.project, &mut narrow)))
}

/// Trace hash and exact hash of an attempt file, in hexadecimal.
///
/// # Errors
/// As for [`mark_file`].
pub fn hashes(json: &str) -> Result<(String, String), String> {
    let attempt = Attempt::parse(json).map_err(|error| error.to_string())?;
    let scenario = scenario_of(&attempt).map_err(|error| error.to_string())?;
    let end = fold(&scenario, &attempt).map_err(|error| error.to_string())?;
    Ok((hex(&end.trace.trace_hash()), hex(&end.trace.exact_hash())))
}

/// The marks in the form that page and worker exchange.
pub fn marks(marks: marking::Marks) -> Marks {
    Marks {
        lines: marks.lines.into_iter().map(line).collect(),
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
        trials: line.trials.into_iter().map(trial).collect(),
    }
}

fn trial(trial: marking::TrialResult) -> TrialResult {
    let failure = trial.failure.map(|failure| Failure {
        line: failure.line,
        step: failure.step,
        expected: failure.expected,
        seen: failure.seen,
        tick: failure.tick,
    });
    TrialResult { name: trial.name, kept: trial.kept, failure }
}

/// A trial that was run again.
#[derive(Clone, Debug, PartialEq)]
pub struct Replayed {
    /// Signals worth seeing, causes first.
    pub rows: Vec<Row>,
}

/// A signal over time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Name of the signal.
    pub name: String,
    /// Value before the first change.
    pub before: bool,
    /// Ticks of its changes with the new values.
    pub changes: Vec<(u64, bool)>,
}

impl Row {
    /// Value after tick `tick` was computed.
    pub fn value_at(&self, tick: u64) -> bool {
        self.changes.iter().take_while(|(at, _)| *at <= tick).last().map_or(self.before, |(_, value)| *value)
    }
}

/// The trace of a trial.
#[derive(Default)]
struct Seen(Trace);

impl Observer for Seen {
    fn ticked(&mut self, bench: &Bench, tick: u64, events: &Events) {
        // A fault that strikes gives the bench another design, whose signals are numbered anew.
        self.0.design_changed(bench);
        self.0.take(bench, tick, events);
    }
}

/// Most signals of a diagram.
const MOST_ROWS: usize = 10;

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
    Ok(Replayed { rows: rows(&seen.0, source) })
}

fn rows(trace: &Trace, source: &str) -> Vec<Row> {
    let spoken: Vec<&str> =
        source.split(|c: char| !(c.is_alphanumeric() || matches!(c, '.' | '_' | '-'))).collect();
    let named = |name: &str| {
        spoken.contains(&name) || name.strip_suffix(".pressed").is_some_and(|tag| spoken.contains(&tag))
    };
    let moved = |name: &str| {
        [".pressed", ".tripped", ".stop", ".closed", ".on"].iter().any(|end| name.ends_with(end))
    };
    let mut rows: Vec<(u8, Row)> = Vec::new();
    for (number, name) in trace.names().iter().enumerate() {
        let number = number as u32;
        let changes: Vec<(u64, bool)> =
            trace.changes().iter().filter(|c| c.name == number).map(|c| (c.tick, c.value)).collect();
        let bit = name.starts_with("QX") && !changes.is_empty();
        if named(name) || bit || (moved(name) && !changes.is_empty()) {
            let row = Row { name: name.clone(), before: trace.value_before(number), changes };
            rows.push((rank(name), row));
        }
    }
    rows.sort_by(|(a, x), (b, y)| {
        (!named(&x.name)).cmp(&!named(&y.name)).then(a.cmp(b)).then(x.name.cmp(&y.name))
    });
    rows.truncate(MOST_ROWS);
    rows.sort_by(|(a, x), (b, y)| a.cmp(b).then(x.name.cmp(&y.name)));
    rows.into_iter().map(|(_, row)| row).collect()
}

/// Causes first: hand, trip, supply, inputs, outputs, contactor, lamp.
fn rank(name: &str) -> u8 {
    match name {
        _ if name.ends_with(".pressed") => 0,
        _ if name.ends_with(".tripped") || name.ends_with(".stop") => 1,
        _ if name.ends_with(".on") => 2,
        _ if name.starts_with("IX") => 3,
        _ if name.starts_with("QX") => 5,
        _ if name.ends_with(".closed") => 6,
        _ if name.ends_with(".lit") => 7,
        _ => 4,
    }
}
