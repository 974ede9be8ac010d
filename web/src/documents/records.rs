//! The test record: what was done before the first press, and what is still open.

use super::content::{Body, Section, block, cell, heading, paragraph, table};
use super::list::Work;
use crate::services::printing;
use crate::sheets::commissioning::CheckRecord;
use crate::store::Workshop;
use crate::t;
use crate::text::time::bench_time;
use yew::prelude::*;

/// Stage by stage, each check with what it should be and what was found.
pub fn records(work: &Work) -> Body {
    let mut sections = vec![paragraph(t!("before-caution"))];
    for stage in &work.stages {
        let title = html! { <h2>{ stage.title }<small>{ stage.state }</small></h2> };
        sections.push(Section::Block { html: title, leads: true });
        let heads = [
            t!("doc-check"),
            t!("doc-limit"),
            t!("doc-reading"),
            t!("doc-result"),
            t!("doc-when"),
            t!("doc-initials"),
        ];
        sections.push(table("doc-records", heads, stage.lines.iter().map(|one| line(one, work.workshop))));
    }
    sections.extend([heading(t!("doc-by-whom")), block(signature(work.workshop.author()))]);
    Body::Run { narrow: false, sections }
}

/// A check. What is still open has room to be written by hand.
fn line(record: &CheckRecord, workshop: &Workshop) -> [Html; 6] {
    let result = match record.met {
        Some(true) => t!("doc-met"),
        Some(false) => t!("doc-not-met"),
        None => t!("doc-open"),
    };
    [
        cell(record.name.clone()),
        cell(record.wanted.clone()),
        cell(record.found.clone()),
        cell(result),
        cell(record.tick.map(bench_time).unwrap_or_default()),
        record.tick.map(|tick| cell(day_and_initials(workshop, tick))).unwrap_or_else(blank),
    ]
}

/// Room to be written in by hand.
fn blank() -> Html {
    html! { <span class="doc-blank"></span> }
}

/// The day on which the bench came to a tick, as the clock of the machine said, and the initials of the name on the
/// attempt; each is left out where the attempt does not say it.
fn day_and_initials(workshop: &Workshop, tick: u64) -> String {
    let session = workshop.session();
    let entries = session.entries_from(0);
    let until = entries.iter().rposition(|entry| entry.at <= tick).map_or(0, |last| last + 1);
    let wall_ms: u64 = entries[..until].iter().filter_map(|entry| entry.wall_ms).map(u64::from).sum();
    let day = printing::day_after(&session.head().started, wall_ms).unwrap_or_default();
    format!("{day} {}", initials(workshop.author())).trim().to_string()
}

/// `A. Weir` is `A.W.`.
fn initials(name: &str) -> String {
    let letters = name.split_whitespace().filter_map(|word| word.chars().next());
    letters.map(|letter| format!("{letter}.")).collect()
}

/// Name, signature and date of one person.
pub fn signature(name: &str) -> Html {
    let field = |what: &'static str, written: &str| {
        html! { <div><dt>{ what }</dt><dd>{ written.to_string() }</dd></div> }
    };
    html! {
        <dl class="doc-signature">
            { field(t!("doc-name"), name) }
            { field(t!("doc-signed"), "") }
            { field(t!("doc-date"), "") }
        </dl>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn initials_are_the_first_letters() {
        assert_eq!(["A. Weir", "  jo  ", "", "Öle van Lock"].map(initials), ["A.W.", "j.", "", "Ö.v.L."]);
    }
}
