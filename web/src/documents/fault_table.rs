//! The fault table: how much was explored, what is broken or open, and what is kept but noticed by nobody.

use super::content::{Body, cell, heading, paragraph, table};
use super::list::Work;
use crate::sheets::fault_table::words::{by_program, sighting, whole};
use crate::sheets::proof::{Without, name, shown, steps};
use crate::store::fault_table::{Came, Entry, Filter};
use crate::store::model::Conductor;
use crate::t;
use crate::text::quantity::milliseconds;
use sealin_exercise::noticed::NOTICED_MS;
use yew::prelude::*;

/// The document.
pub fn fault_table(work: &Work) -> Body {
    let workshop = work.workshop;
    let (scenario, conductors) = (workshop.scenario(), workshop.conductors());
    let entries = workshop.fault_table().listed(scenario, workshop.project(), &Filter::default());
    let came = |entry: &&Entry| Came::of(entry.row.as_deref());
    let explored: Vec<&Entry> = entries.iter().filter(|entry| entry.row.is_some()).collect();
    let about = paragraph(t!("table-noticed-about", time = milliseconds(NOTICED_MS)));
    if explored.is_empty() {
        let sections = vec![paragraph(t!("table-about")), paragraph(t!("table-printed-none"))];
        return Body::Run { narrow: false, sections };
    }
    let standing = t!("table-printed-standing", done = explored.len(), of = entries.len());
    let mut sections = vec![paragraph(t!("table-about")), about, paragraph(standing)];
    sections.push(heading(t!("table-printed-summary")));
    let heads = [
        t!("table-head-number"),
        t!("table-printed-rows"),
        t!("table-printed-explored"),
        t!("table-came-kept"),
        t!("table-came-broken"),
        t!("table-came-open"),
        t!("table-by-nobody"),
    ];
    let mut tasks: Vec<&str> = entries.iter().map(|entry| entry.task.as_str()).collect();
    tasks.dedup();
    let rows = tasks.into_iter().map(|task| {
        let of: Vec<&Entry> = entries.iter().filter(|entry| entry.task == task).collect();
        let number =
            |fits: &dyn Fn(&&Entry) -> bool| cell(of.iter().filter(|one| fits(one)).count().to_string());
        [
            cell(name(task)),
            cell(of.len().to_string()),
            number(&|entry| entry.row.is_some()),
            number(&|entry| came(entry) == Came::Kept),
            number(&|entry| came(entry) == Came::Broken),
            number(&|entry| came(entry) == Came::Open),
            number(&|entry| unnoticed(entry)),
        ]
    });
    sections.push(table("doc-fault-sums", heads, rows));
    let not_kept = explored.iter().filter(|entry| came(entry) != Came::Kept).copied();
    let hidden = explored.iter().filter(|entry| came(entry) == Came::Kept && unnoticed(entry)).copied();
    for (title, some) in [
        (t!("table-printed-not-kept"), not_kept.collect::<Vec<_>>()),
        (t!("table-printed-hidden"), hidden.collect()),
    ] {
        if some.is_empty() {
            continue;
        }
        let heads = [
            t!("table-head-number"),
            t!("table-head-fault"),
            t!("table-head-verdict"),
            t!("table-head-program"),
            t!("table-head-person"),
            t!("table-printed-way"),
        ];
        sections.push(heading(title));
        sections.push(table(
            "doc-faults",
            heads,
            some.into_iter().map(|entry| row(work, entry, &conductors)),
        ));
    }
    Body::Run { narrow: false, sections }
}

fn unnoticed(entry: &Entry) -> bool {
    entry.row.as_ref().is_some_and(|row| row.unnoticed())
}

fn row(work: &Work, entry: &Entry, conductors: &[Conductor]) -> [Html; 6] {
    let names = &work.workshop.scenario().names;
    let found = entry.row.as_deref();
    let (sign, _, word) = shown(found.map(|row| row.line.finding), Without::NotComputed);
    let way = found.and_then(|row| row.line.way.as_ref()).map(|way| {
        let steps = steps(way, names, conductors);
        format!("{}; {}", steps.join("; "), t!("proof-breaks", time = milliseconds(way.tick)))
    });
    [
        cell(name(&entry.task)),
        cell(whole(entry, conductors)),
        cell(format!("{sign} {word}")),
        cell(found.map(|row| by_program(row, names)).unwrap_or_default()),
        cell(sighting(found.and_then(|row| row.by_person.as_ref()), names)),
        cell(way.unwrap_or_default()),
    ]
}
