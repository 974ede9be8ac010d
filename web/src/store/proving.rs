//! Proving, as the worker does it: a file explored requirement by requirement, each shortest way to break one played on the whole
//! bench.

use super::marking::worth_seeing;
use super::model::{Attempt, Trace};
use super::proofs::{Finding, ProofLine, ProofProgress, Way};
use crate::diagram::tracks;
use sealin_exercise::fold::fold;
use sealin_exercise::grade::scenario_of;
use sealin_exercise::proving::{Task, tasks};
use sealin_proof::explore::{Answer, Counterexample, Question, Record, Replay, Report, explore, replay_seen};

/// Explores the design at the end of an attempt file: `progress` is told how far it is, `line` what was found out.
///
/// # Errors
/// If the file is no attempt, its scenario is not known here, its log cannot be followed, or its program has errors.
pub fn prove_file(
    json: &str,
    progress: &mut dyn FnMut(ProofProgress),
    line: &mut dyn FnMut(ProofLine),
) -> Result<(), String> {
    let attempt = Attempt::parse(json).map_err(|error| error.to_string())?;
    let scenario = scenario_of(&attempt).map_err(|error| error.to_string())?;
    let end = fold(&scenario, &attempt).map_err(|error| error.to_string())?;
    let plan = end
        .project
        .plan_of_sheet(&scenario)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))?;
    for task in tasks(&scenario, None) {
        line(prove(&task, &task.question(&plan, None), progress));
    }
    Ok(())
}

fn prove(task: &Task, question: &Question, progress: &mut dyn FnMut(ProofProgress)) -> ProofLine {
    let report = explore(question, &mut |now| {
        progress(ProofProgress { id: task.id.clone(), states: now.states, scans: now.quanta });
        true
    });
    let (way, otherwise) = match &report.answer {
        Answer::Broken(path) => {
            let (way, replay) = played(question, path);
            let otherwise = match replay {
                Replay::Reproduced => None,
                Replay::NotReproduced(why) => Some(why),
            };
            (Some(way), otherwise)
        }
        _ => (None, None),
    };
    line(task, &report, way, otherwise)
}

fn line(task: &Task, report: &Report, way: Option<Way>, otherwise: Option<String>) -> ProofLine {
    let (finding, why) = match &report.answer {
        Answer::Proven => (Finding::Proven, None),
        Answer::NeverExercised => (Finding::NeverExercised, None),
        Answer::Broken(_) if otherwise.is_some() => (Finding::NotReproduced, otherwise),
        Answer::Broken(_) => (Finding::Broken, None),
        // Nothing stops it from within; a worker that is stopped says no more.
        Answer::Undecided | Answer::NotComputed => (Finding::Undecided, None),
        Answer::NotProvable(why) => (Finding::NotProvable, Some(why.clone())),
    };
    ProofLine {
        id: task.id.clone(),
        finding,
        why,
        states: report.states,
        scans: report.quanta,
        free: report.free.clone(),
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
