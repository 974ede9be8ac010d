//! The checks: how each trial ended, and the marks with the evidence behind them.

use super::content::{Body, Section, block, cell, heading, paragraph, table};
use super::list::Work;
use crate::sheets::signoff::beside::{counts, marks, name};
use crate::sheets::signoff::words::{named, steps_before};
use crate::store::Workshop;
use crate::store::checks::{Failure, MarkLine, TrialResult};
use crate::store::model::Requirement;
use crate::t;
use crate::text::instrument::unsafe_text;
use crate::text::quantity::{keep_units, milliseconds};
use crate::text::time::bench_time;
use yew::prelude::*;

/// Every trial of every requirement.
pub fn results(work: &Work) -> Body {
    let workshop = work.workshop;
    let rows = workshop.scenario().requirements.iter().flat_map(|requirement| {
        let line = line_of(workshop, requirement);
        requirement.trials.iter().enumerate().map(move |(n, trial)| {
            let (sign, result) = match line.and_then(|line| line.trials.get(n)) {
                None => ("○", t!("signoff-not-tried").to_string()),
                Some(result) if result.kept => ("✓", t!("signoff-trial-kept").to_string()),
                Some(TrialResult { failure: Some(failure), .. }) => {
                    ("✗", t!("signoff-trial-broken", time = milliseconds(failure.tick)))
                }
                Some(_) => ("✗", t!("signoff-broken").to_string()),
            };
            let id = if n == 0 { requirement.id.clone() } else { String::new() };
            [cell(id), cell(keep_units(&trial.name)), cell(format!("{sign} {result}"))]
        })
    });
    let heads = [t!("brief-number"), t!("doc-trial"), t!("doc-result")];
    let sections = vec![standing(workshop), table("doc-trials", heads, rows)];
    Body::Run { narrow: true, sections }
}

/// Whether the checks have been run, on the work as it is now, and which by themselves.
fn standing(workshop: &Workshop) -> Section {
    paragraph(open_checks(workshop).unwrap_or_else(|| t!("doc-as-it-is").to_string()))
}

/// What is still to be run; nothing, where all checks have been run on the work as it is now.
pub fn open_checks(workshop: &Workshop) -> Option<String> {
    let all = match (&workshop.checks().marked, workshop.checks_stale()) {
        (None, _) => t!("doc-open-checks"),
        (Some(_), true) => t!("signoff-stale"),
        (Some(_), false) => return None,
    };
    let ids = workshop.scenario().requirements.iter().map(|requirement| requirement.id.as_str());
    let single: Vec<&str> =
        ids.filter(|id| workshop.checks().result(id, workshop.project()).is_some()).collect();
    let single = single.join(", ");
    Some(match &workshop.checks().marked {
        _ if single.is_empty() => all.to_string(),
        None => t!("doc-single-only", ids = single),
        Some(_) => t!("doc-single", ids = single, all = all),
    })
}

/// Requirements that some trial has shown not to be kept, by id.
pub fn not_kept(workshop: &Workshop) -> Vec<&str> {
    let requirements = workshop.scenario().requirements.iter();
    requirements
        .filter(|requirement| line_of(workshop, requirement).is_some_and(|line| !line.kept()))
        .map(|requirement| requirement.id.as_str())
        .collect()
}

/// How the trials of a requirement ended: on the work as it is, else when all checks were last run. None where it was not tried.
fn line_of<'a>(workshop: &'a Workshop, requirement: &Requirement) -> Option<&'a MarkLine> {
    let checks = workshop.checks();
    checks.result(&requirement.id, workshop.project()).or_else(|| {
        let marked = checks.marked.as_ref()?;
        marked.marks.lines.iter().find(|line| line.id == requirement.id && !line.trials.is_empty())
    })
}

/// Marks beside the requirements, once the checks were run.
fn beside(workshop: &Workshop) -> Vec<Section> {
    let marked = workshop.checks().marked.as_ref();
    let lines = marked.map_or(&[][..], |marked| &marked.marks.beside);
    let rows: Vec<_> = lines
        .iter()
        .filter(|line| counts(line))
        .map(|line| {
            let reasons: Vec<&str> = line.reasons.iter().map(|reason| reason.text.as_str()).collect();
            [cell(name(line)), cell(keep_units(&reasons.join("; "))), cell(marks(line))]
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let heads = [t!("doc-beside-what"), t!("doc-beside-why"), t!("brief-marks")];
    vec![heading(t!("beside-title")), table("doc-beside", heads, rows.into_iter())]
}

/// The marks, what was seen where a trial broke, and the unsafe acts.
pub fn evidence(work: &Work) -> Body {
    let workshop = work.workshop;
    let scenario = workshop.scenario();
    let mut sections = vec![heading(t!("doc-marks")), standing(workshop)];
    if let Some(marked) = &workshop.checks().marked {
        let all = &marked.marks;
        let word = if all.passed { t!("signoff-passed") } else { t!("signoff-not-passed") };
        let total = t!("signoff-total", earned = all.earned, of = all.of);
        sections.push(block(html! { <p><strong>{ format!("{word}: {total}") }</strong></p> }));
        sections.extend(all.errors.iter().map(|error| paragraph(error.clone())));
    }
    let rows = scenario.requirements.iter().map(|requirement| {
        let line = line_of(workshop, requirement);
        let kept = line.map(|line| line.trials.iter().filter(|trial| trial.kept).count());
        let (sign, word) = match line {
            None => ("○", t!("signoff-not-tried")),
            Some(line) if line.kept() => ("✓", t!("signoff-kept")),
            Some(_) => ("✗", t!("signoff-broken")),
        };
        let must = if requirement.must { t!("signoff-must") } else { "" };
        let earned = line.map_or("–".to_string(), |line| line.earned.to_string());
        let trials = kept.map(|kept| t!("signoff-trials", kept = kept, all = requirement.trials.len()));
        [
            cell(requirement.id.clone()),
            cell(keep_units(&requirement.text)),
            cell(must),
            cell(format!("{sign} {word}")),
            cell(trials.unwrap_or_default()),
            cell(format!("{earned} / {}", requirement.marks)),
        ]
    });
    let heads =
        [t!("brief-number"), t!("brief-required"), "", t!("doc-result"), t!("doc-trials"), t!("brief-marks")];
    sections.push(table("doc-marks", heads, rows));
    sections.extend(beside(workshop));
    sections.extend(broken(workshop));
    sections.push(heading(t!("signoff-unsafe")));
    let acts = workshop.session().unsafe_acts();
    if acts.is_empty() {
        sections.push(paragraph(t!("signoff-unsafe-none")));
    } else {
        let rows =
            acts.iter().map(|recorded| [cell(bench_time(recorded.tick)), cell(unsafe_text(&recorded.act))]);
        sections.push(table("doc-unsafe", [t!("doc-when"), t!("doc-act")], rows));
    }
    let (trace, exact) = workshop.hashes();
    let hash =
        |what: &str, hash: &str| block(html! { <p class="doc-hash">{ format!("{what}: {hash}") }</p> });
    sections.extend([
        heading(t!("signoff-hashes")),
        hash(t!("signoff-trace-hash"), &trace),
        hash(t!("signoff-exact-hash"), &exact),
        paragraph(t!("signoff-chain")),
    ]);
    Body::Run { narrow: false, sections }
}

/// What was done, expected and seen in each trial that broke.
fn broken(workshop: &Workshop) -> Vec<Section> {
    let scenario = workshop.scenario();
    let failures = scenario.requirements.iter().flat_map(|requirement| {
        let results = line_of(workshop, requirement).map_or(&[][..], |line| &line.trials);
        let trials = requirement.trials.iter().zip(results);
        trials.filter_map(move |(trial, result)| Some((requirement, trial, result.failure.as_ref()?)))
    });
    let rows: Vec<_> = failures
        .map(|(requirement, trial, failure)| {
            let Failure { line, step, expected, seen, tick } = failure;
            let steps = steps_before(&trial.source, *line, step);
            let steps: Vec<String> = steps.iter().map(|step| named(step, &scenario.names)).collect();
            [
                cell(requirement.id.clone()),
                cell(keep_units(&trial.name)),
                cell(steps.join("; ")),
                cell(named(expected, &scenario.names)),
                cell(named(seen, &scenario.names)),
                cell(t!("signoff-at-step", time = milliseconds(*tick), line = line)),
            ]
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let heads = [
        t!("brief-number"),
        t!("doc-trial"),
        t!("signoff-done"),
        t!("signoff-expected"),
        t!("signoff-seen"),
        t!("signoff-at"),
    ];
    vec![heading(t!("doc-broken")), table("doc-evidence", heads, rows)]
}
