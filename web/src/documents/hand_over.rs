//! The hand-over: what was changed, how it is set, what is still open, the cautions, and room for signatures.

use super::brief::{cautions, setting};
use super::content::{Body, Section, block, cell, heading, paragraph, table};
use super::list::Work;
use super::marks;
use super::records::signature;
use crate::sheets::commissioning::settings;
use crate::sheets::faults::words as fault;
use crate::sheets::program::Printed;
use crate::sheets::wiring::words::{colour, numbered, remark};
use crate::t;
use crate::text::quantity::{section, thousandths};
use yew::prelude::*;

/// The hand-over.
pub fn hand_over(work: &Work) -> Body {
    let workshop = work.workshop;
    let mut sections = vec![heading(t!("doc-changed"))];
    sections.push(list(changes(work), t!("doc-nothing-changed")));
    sections.push(heading(t!("doc-settings")));
    let parts = &workshop.bench().plan().parts;
    let settings = parts.iter().map(|part| (part, setting(part))).filter(|(_, setting)| !setting.is_empty());
    let rows = settings.map(|(part, set)| [cell(part.tag.clone()), cell(part.function.clone()), cell(set)]);
    sections.push(table("doc-settings", [t!("brief-tag"), t!("brief-device"), t!("doc-setting")], rows));
    sections.push(heading(t!("doc-still-open")));
    sections.push(list(open(work), t!("doc-nothing-open")));
    sections.extend(cautions(workshop));
    sections.push(heading(t!("doc-signatures")));
    let people = [
        (t!("doc-handed-over-by"), workshop.author()),
        (t!("doc-checked-by"), ""),
        (t!("doc-taken-over-by"), ""),
    ];
    // One piece: those who sign, sign on one sheet.
    sections.push(block(
        people.map(|(what, name)| html! { <><h3>{ what }</h3>{ signature(name) }</> }).into_iter().collect(),
    ));
    Body::Run { narrow: true, sections }
}

/// Each line a piece of its own would be torn from the others; a list of few lines stays together.
fn list(lines: Vec<String>, none: &'static str) -> Section {
    if lines.is_empty() {
        return paragraph(none);
    }
    Section::Table {
        class: "doc-list",
        heads: Vec::new(),
        rows: lines.into_iter().map(|line| vec![cell("–"), cell(line)]).collect(),
    }
}

/// What differs from the work as it was given.
fn changes(work: &Work) -> Vec<String> {
    let Work { workshop, drawing, printed, .. } = work;
    let mut lines: Vec<String> = drawing
        .own()
        .map(|c| {
            t!(
                "doc-conductor-made",
                number = numbered(c),
                from = c.from,
                to = c.to,
                section = section(c.section_mm2_x100),
                colour = colour(c.colour)
            )
        })
        .collect();
    let scenario = workshop.scenario();
    lines.extend(workshop.project().dials.iter().map(|(tag, now)| {
        let given = scenario.part(tag).and_then(|part| part.kind.dial_ma()).map_or(0, |(dial, _)| dial);
        let amperes = |ma: u32| thousandths(ma.into(), "A");
        t!("doc-dial-turned", tag = tag, given = amperes(given), now = amperes(*now))
    }));
    lines.extend(workshop.project().settings.iter().filter_map(|(tag, now)| {
        let adjustment = scenario.adjustments.get(tag)?;
        Some(t!("doc-set-otherwise", what = settings::name(tag, adjustment), now = settings::words(*now)))
    }));
    lines.extend(program_changes(&scenario.program, workshop.source(), printed));
    lines
}

/// Rungs that the given program has not, and how many of its own are gone.
fn program_changes(given: &str, source: &str, printed: &Printed) -> Vec<String> {
    if given == source {
        return Vec::new();
    }
    let before = sealin_ladder::parse(given).map(|program| program.rungs).unwrap_or_default();
    let now = &printed.program().rungs;
    let new: Vec<String> = (1..)
        .zip(now)
        .filter(|(_, rung)| !before.contains(rung))
        .map(|(number, rung)| format!("{number} ({})", rung.output.var()))
        .collect();
    let gone: Vec<&str> =
        before.iter().filter(|rung| !now.contains(rung)).map(|rung| rung.output.var()).collect();
    let mut lines = Vec::new();
    if !new.is_empty() {
        lines.push(t!("doc-rungs-new", rungs = new.join(", ")));
    }
    if !gone.is_empty() {
        lines.push(t!("doc-rungs-gone", count = gone.len(), outputs = gone.join(", ")));
    }
    if lines.is_empty() {
        lines.push(t!("doc-words-changed").to_string());
    }
    lines
}

/// What is open: faults, tests, checks, wiring, program.
fn open(work: &Work) -> Vec<String> {
    let Work { workshop, drawing, printed, stages, .. } = work;
    let conductors = workshop.conductors();
    let faults = workshop.faults();
    let faults = faults
        .iter()
        .map(|one| t!("doc-open-fault", place = fault::place(one, &conductors), what = one.said()));
    let mut lines: Vec<String> = faults.collect();
    let tests = || stages.iter().flat_map(|stage| &stage.lines);
    let failed = tests().filter(|line| line.met == Some(false));
    lines.extend(failed.map(|line| t!("doc-open-failed", name = line.name, found = line.found)));
    let count = tests().filter(|line| line.met.is_none()).count();
    if count > 0 {
        lines.push(t!("doc-open-tests", count = count, of = tests().count()));
    }
    lines.extend(marks::open_checks(workshop));
    let broken = marks::not_kept(workshop);
    if !broken.is_empty() {
        lines.push(t!("doc-open-broken", ids = broken.join(", ")));
    }
    let wanted = drawing.wanted.iter().filter(|wanted| !wanted.done);
    lines.extend(wanted.map(|wanted| t!("doc-open-wire", from = wanted.from, purpose = wanted.purpose)));
    lines.extend(drawing.remarks.iter().map(|one| remark(one, &drawing.conductors).0));
    lines.extend(printed.errors());
    lines.extend(printed.remarks.iter().map(|remark| remark.text.clone()));
    if !printed.in_controller {
        lines.push(printed.standing.clone());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::documents::paper::Paper;
    use crate::store::checks::{CheckEvent, MarkLine, TrialResult, Tried};
    use crate::store::fixture::workshop;
    use crate::store::{Command, Workshop};
    use std::rc::Rc;

    fn changed(w: &Workshop) -> Vec<String> {
        changes(&Work::of(w, Paper::A4))
    }

    /// Untouched nothing is changed. The reference program is another one; its rungs are told by number and output.
    #[test]
    fn changes_are_told_against_what_was_given() {
        let mut w = workshop();
        assert_eq!(changed(&w), Vec::<String>::new());
        let reference = sealin_exercise::shipped::reference("paddle-closed-loop").unwrap();
        for (n, wire) in
            sealin_exercise::scenario::parse_wires(reference.wires).unwrap().into_iter().enumerate()
        {
            let wire = crate::store::model::Conductor { id: format!("L{}", n + 1), ..wire };
            w.carry_out(Command::Change(crate::store::model::Change::Add(wire))).unwrap();
        }
        w.carry_out(Command::Draft(reference.program.to_string())).unwrap();
        let turn =
            crate::store::model::Change::Dial { part: "FC1".into(), before_ma: 8_200, after_ma: 9_000 };
        w.carry_out(Command::Change(turn)).unwrap();
        let lines = changed(&w);
        // Nine conductors of the reference, the dial, and the program.
        assert_eq!(lines.iter().filter(|line| line.contains("–")).count(), 9, "{lines:?}");
        assert!(
            lines[9].contains("FC1") && lines[9].contains("8.2") && lines[9].contains("9\u{a0}A"),
            "{}",
            lines[9]
        );
        assert!(lines[10].contains("QA1_out"), "{lines:?}");
    }

    /// The untouched job has all its tests, its checks and nine conductors before it.
    #[test]
    fn what_is_open_is_told() {
        let w = workshop();
        let lines = open(&Work::of(&w, Paper::A4));
        let wires = w.scenario().todo.len();
        assert_eq!(lines.iter().filter(|line| line.starts_with("To be wired")).count(), wires);
        assert!(lines.iter().any(|line| line == t!("doc-open-checks")), "{lines:?}");
    }

    /// What was run by itself is told from what was not; what it showed not to be kept is open.
    #[test]
    fn single_checks_are_told_from_those_that_have_not_been_run() {
        let mut w = workshop();
        let one = |id: &str, earned| {
            let trial = TrialResult { name: "one".into(), kept: earned > 0, failure: None };
            let line = MarkLine {
                id: id.into(),
                text: String::new(),
                earned,
                of: 5,
                must: false,
                trials: vec![trial],
            };
            Command::Checks(CheckEvent::Tried(Rc::new(Tried { line, project: Rc::new(w.project().clone()) })))
        };
        for command in [one("R3", 5), one("R4", 0)] {
            w.carry_out(command).unwrap();
        }
        let lines = open(&Work::of(&w, Paper::A4));
        assert!(lines.contains(&t!("doc-single-only", ids = "R3, R4")), "{lines:?}");
        assert!(lines.contains(&t!("doc-open-broken", ids = "R4")), "{lines:?}");
        assert!(!lines.iter().any(|line| line == t!("doc-open-checks")), "{lines:?}");
    }
}
