//! The wiring schedule.

use super::content::{Body, cell, heading, paragraph, table};
use super::list::Work;
use crate::sheets::wiring::words::{colour, numbered};
use crate::t;
use crate::text::quantity::{section_bare, thousandths};

/// All conductors, the cables, and what is still to be made.
pub fn schedule(work: &Work) -> Body {
    let drawing = &work.drawing;
    let rows = drawing.conductors.iter().map(|c| {
        let given = drawing.given.contains(&c.id);
        [
            cell(numbered(c).to_string()),
            cell(c.from.to_string()),
            cell(c.to.to_string()),
            cell(section_bare(c.section_mm2_x100)),
            cell(colour(c.colour)),
            cell(if given { t!("wiring-given") } else { t!("doc-made") }),
        ]
    });
    let heads = [
        t!("wiring-column-number"),
        t!("wiring-column-from"),
        t!("wiring-column-to"),
        t!("wiring-column-section"),
        t!("wiring-column-colour"),
        t!("wiring-column-remark"),
    ];
    let mut sections = vec![table("doc-wires", heads, rows)];
    let open: Vec<_> = drawing.wanted.iter().filter(|wanted| !wanted.done).collect();
    if !open.is_empty() {
        let rows = open.iter().map(|wanted| {
            [cell(wanted.number.clone()), cell(wanted.from.to_string()), cell(wanted.purpose.clone())]
        });
        let heads = [t!("wiring-column-number"), t!("wiring-column-from"), t!("doc-purpose")];
        sections.extend([heading(t!("doc-to-make")), table("doc-to-make", heads, rows)]);
    }
    let cables = &work.workshop.scenario().cables;
    if !cables.is_empty() {
        let rows = cables.iter().flat_map(|cable| {
            let length =
                if cable.length_mm == 0 { String::new() } else { thousandths(cable.length_mm.into(), "m") };
            let name = format!("{} {length}", cable.tag).trim().to_string();
            cable.cores.iter().map(move |(id, mark)| (name.clone(), id, mark))
        });
        let rows = rows.map(|(name, id, mark)| {
            let conductor = drawing.conductor(id);
            let ends = conductor.map(|c| t!("wiring-from-to", from = c.from, to = c.to)).unwrap_or_default();
            let number = conductor.map(|c| numbered(c).to_string()).unwrap_or_default();
            [cell(name), cell(mark.clone()), cell(number), cell(ends)]
        });
        let heads = [t!("doc-cable"), t!("doc-core"), t!("wiring-column-number"), t!("doc-ends")];
        sections.extend([heading(t!("doc-cables")), table("doc-cables", heads, rows)]);
    }
    if drawing.conductors.is_empty() {
        sections.push(paragraph(t!("doc-none")));
    }
    Body::Run { narrow: true, sections }
}
