//! The program: I/O list, ladder, structured text.

use super::content::{Body, Section, block, cell, paragraph, table};
use super::list::Work;
use crate::sheets::program::{Printed, Row, check_words};
use crate::t;
use yew::prelude::*;

/// The I/O list, with what does not agree.
pub fn io_list(work: &Work) -> Body {
    let printed = &work.printed;
    let row = |row: &Row| {
        let name = match (&row.name, &row.given) {
            (Some(name), _) => name.clone(),
            (None, Some(given)) => t!("program-io-undeclared", name = given),
            (None, None) => String::new(),
        };
        let checks: Vec<String> = row.checks.iter().map(check_words).collect();
        [
            cell(row.address.clone()),
            cell(name),
            cell(row.terminal.clone()),
            cell(row.device.clone()),
            cell(row.comment.clone()),
            cell(checks.join("; ")),
        ]
    };
    let heads = [
        t!("program-io-address"),
        t!("program-io-name"),
        t!("doc-terminal"),
        t!("doc-device"),
        t!("doc-comment"),
        t!("doc-disagrees"),
    ];
    Body::Run {
        narrow: false,
        sections: vec![table("doc-io", heads, printed.facts.rows.iter().map(row)), told(printed)],
    }
}

/// Which program this is, and where it stands.
fn told(printed: &Printed) -> Section {
    paragraph(if printed.good { printed.standing.clone() } else { t!("doc-has-errors").to_string() })
}

/// The rungs, each with its comment.
pub fn ladder(work: &Work) -> Body {
    let printed = &work.printed;
    let mut sections = vec![told(printed)];
    sections.extend((0..printed.program().rungs.len()).map(|index| {
        block(html! {
            <div class="doc-rung">
                <p>{ printed.program().rungs[index].comment.clone() }</p>
                { printed.rung(index, work.paper.rung_cells()) }
            </div>
        })
    }));
    if printed.program().rungs.is_empty() {
        sections.push(paragraph(t!("program-no-rung")));
    }
    Body::Run { narrow: false, sections }
}

/// The text with the numbers of its lines, then what is wrong with it.
pub fn text(work: &Work) -> Body {
    let printed = &work.printed;
    let lines = work.workshop.source().lines().enumerate();
    let rows = lines.map(|(n, line)| [cell((n + 1).to_string()), cell(line.to_string())]);
    let mut sections = vec![table("doc-lines", [t!("doc-line"), t!("program-text")], rows)];
    sections.extend(printed.errors().into_iter().map(|error| paragraph(format!("△ {error}"))));
    sections.push(told(printed));
    Body::Run { narrow: false, sections }
}
