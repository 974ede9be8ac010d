//! Proving, as the worker does it: a file explored requirement by requirement, each shortest way to break one played on the whole
//! bench; and so the rows of the fault table.

use super::fault_table::{FaultRow, Sighting, Wanted};
use super::marking::{end_of, worth_seeing};
use super::model::{Fault, Plan, Scenario, Trace};
use super::proofs::{ProofLine, ProofProgress, Way};
use crate::diagram::tracks;
use sealin_exercise::fault_table::FaultTable;
use sealin_exercise::noticed;
use sealin_exercise::proofs::ProofVerdict;
use sealin_exercise::proving::{Task, tasks};
use sealin_proof::explore::{
    Answer, Counterexample, Explorer, Progress, Question, Record, Replay, Report, explore, replay_seen,
};
use sealin_proof::expr::{Verdict, parse_requirement};
use std::rc::Rc;

/// Explores the design at the end of an attempt file: `progress` is told how far it is, `line` what was found out.
///
/// # Errors
/// As for [`end_of`], or if the program has errors.
pub fn prove_file(
    json: &str,
    progress: &mut dyn FnMut(ProofProgress),
    line: &mut dyn FnMut(ProofLine),
) -> Result<(), String> {
    let (scenario, plan) = plan_of(json)?;
    for task in tasks(&scenario, None) {
        line(prove(&task, &task.question(&plan, None), progress));
    }
    Ok(())
}

/// A question that a benchmark has explored again and again.
pub struct Asked {
    plan: Plan,
    required: Vec<Verdict>,
    free: Vec<String>,
}

impl Asked {
    /// On the design at the end of an attempt file: formulas and what moves by itself, a line each.
    ///
    /// # Errors
    /// As for [`prove_file`], or if a formula cannot be read.
    pub fn new(json: &str, formulas: &str, free: &str) -> Result<Asked, String> {
        let required = formulas.lines().map(|line| parse_requirement(line).map_err(|e| e.to_string()));
        Ok(Asked {
            plan: plan_of(json)?.1,
            required: required.collect::<Result<_, String>>()?,
            free: free.lines().map(str::to_string).collect(),
        })
    }

    /// How many states there are, if everything holds, and else 0.
    pub fn states(&self) -> u64 {
        let report = explore(&Question::new(&self.plan, &self.required, &self.free), &mut |_| true);
        if report.answer == Answer::Proven { report.states } else { 0 }
    }
}

/// The design at the end of an attempt file, with its program.
fn plan_of(json: &str) -> Result<(Rc<Scenario>, Plan), String> {
    let (scenario, end) = end_of(json)?;
    let plan = end
        .project
        .plan_of_sheet(&scenario)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))?;
    Ok((scenario, plan))
}

/// Explores rows of the fault table of the design at the end of an attempt file: `progress` is told how far it is, `row` what was
/// found out. What the design does not have is passed over.
///
/// # Errors
/// As for [`prove_file`].
pub fn table_file(
    json: &str,
    wanted: &[Wanted],
    progress: &mut dyn FnMut(ProofProgress),
    row: &mut dyn FnMut(FaultRow),
) -> Result<(), String> {
    let (scenario, plan) = plan_of(json)?;
    let mut table = FaultTable::new(&scenario, &plan)?;
    let alarms = table.has_alarms();
    let all = tasks(&scenario, None);
    for wanted in wanted {
        let Some(task) = all.iter().find(|task| task.name() == wanted.task) else { continue };
        let faults: Vec<Fault> = wanted.faults.iter().filter_map(|line| Fault::parse(line).ok()).collect();
        let fitting = faults.iter().filter(|fault| fault.fits(&plan).is_ok());
        let mut tell = |fault: &Fault, now: Progress| {
            let fault = Some(fault.to_string());
            progress(ProofProgress { id: task.name(), fault, states: now.states, scans: now.quanta });
            true
        };
        table.rows(task, fitting, &mut tell, &mut |found| {
            let question = task.question(&plan, None);
            let mut line = line(task, &question, Some(found.fault), &found.report);
            (line.fault, line.faults) = (Some(found.fault.to_string()), vec![found.fault.to_string()]);
            let noticed = found.noticed;
            let (by_program, by_person) = (noticed.by_program.map(sighting), noticed.by_person.map(sighting));
            row(FaultRow { line, by_program, by_person, alarms });
            Ok(())
        })?;
    }
    Ok(())
}

fn sighting(seen: noticed::Sighting) -> Sighting {
    Sighting { signal: seen.signal, on: seen.on, trial: seen.trial, tick: seen.tick }
}

/// Explores a task with each of its faults, up to the first with which it is not proven, or without one if it has none.
fn prove(task: &Task, question: &Question, progress: &mut dyn FnMut(ProofProgress)) -> ProofLine {
    let mut explorer = Explorer::new(question);
    let (mut states, mut scans) = (0, 0);
    let mut marginal: Vec<String> = Vec::new();
    let mut ended = None;
    for fault in task.cases() {
        let report = explorer.explore(fault.as_ref(), &mut |now| {
            let states = states + now.states;
            progress(ProofProgress { id: task.name(), fault: None, states, scans: now.quanta });
            true
        });
        (states, scans) = (states + report.states, scans.max(report.quanta));
        let new = report.marginal.iter().map(ToString::to_string).filter(|one| !marginal.contains(one));
        let new: Vec<String> = new.collect();
        marginal.extend(new);
        let proven = report.answer == Answer::Proven;
        ended = Some((fault, report));
        if !proven {
            break;
        }
    }
    let (fault, report) = ended.expect("there is a first");
    ProofLine { states, scans, marginal, ..line(task, question, fault.as_ref(), &report) }
}

/// What a report says, with the shortest way in which the task breaks played on the whole bench.
fn line(task: &Task, question: &Question, fault: Option<&Fault>, report: &Report) -> ProofLine {
    let (way, replay) = match &report.answer {
        Answer::Broken(path) => {
            let (way, replay) = played(question, path);
            (Some(way), Some(replay))
        }
        _ => (None, None),
    };
    let finding = ProofVerdict::of(&report.answer, replay.as_ref());
    let why = match (&report.answer, replay) {
        (Answer::NotProvable(why), _) => Some(why.clone()),
        (_, Some(Replay::NotReproduced(why))) => Some(why),
        _ => None,
    };
    ProofLine {
        id: task.name(),
        finding,
        why,
        fault: fault.filter(|_| finding != ProofVerdict::Proven).map(Fault::to_string),
        faults: task.faults.iter().map(Fault::to_string).collect(),
        states: report.states,
        scans: report.quanta,
        free: report.free.clone(),
        marginal: report.marginal.iter().map(ToString::to_string).collect(),
        way,
    }
}

fn played(question: &Question, path: &Counterexample) -> (Way, Replay) {
    let mut trace = Trace::default();
    let replay = replay_seen(question, path, &mut |bench, tick, events| {
        trace.design_changed(bench);
        trace.take(bench, tick, events);
    });
    let script = path.to_string();
    let signals = worth_seeing(&trace, &script);
    let way = Way {
        steps: script.lines().map(str::to_string).collect(),
        records: path.records.iter().map(Record::to_string).collect(),
        tick: path.tick(),
        tracks: tracks(&trace, &signals, 0, path.tick()),
    };
    (way, replay)
}
