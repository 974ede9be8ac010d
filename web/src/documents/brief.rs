//! The job as it was given: brief with cautions, devices with their data, required behaviour.

use super::content::{Body, Section, block, cell, heading, paragraph, table};
use super::list::Work;
use crate::store::Workshop;
use crate::store::model::{Kind, Part};
use crate::t;
use crate::text::device::{kind_and_function, place_name, plate};
use crate::text::markdown;
use crate::text::quantity::{keep_units, milliseconds, thousandths};
use yew::prelude::*;

/// The cautions, then the brief.
pub fn brief(work: &Work) -> Body {
    let scenario = work.workshop.scenario();
    let mut sections = cautions(work.workshop);
    sections.extend(
        markdown::pieces(&scenario.brief_markdown)
            .into_iter()
            .map(|(leads, html)| Section::Block { html: html! { <div class="prose">{ html }</div> }, leads }),
    );
    Body::Run { narrow: true, sections }
}

/// The cautions under their heading.
pub fn cautions(workshop: &Workshop) -> Vec<Section> {
    let cautions = &workshop.scenario().cautions;
    let list =
        html! { <ul>{ for cautions.iter().map(|caution| html! { <li>{ caution.clone() }</li> }) }</ul> };
    vec![heading(format!("△ {}", t!("brief-cautions"))), block(list), paragraph(t!("brief-not-proof"))]
}

/// The devices with plate, setting and the reason for the choice.
pub fn devices(work: &Work) -> Body {
    let scenario = work.workshop.scenario();
    let row = |part: &Part| {
        let why = scenario.label(&part.tag).map(|label| label.why.clone()).unwrap_or_default();
        [
            cell(part.tag.clone()),
            cell(kind_and_function(part)),
            cell(keep_units(&plate(scenario, part))),
            cell(setting(part)),
            cell(keep_units(&why)),
            cell(place_name(part.place)),
        ]
    };
    let heads = [
        t!("brief-tag"),
        t!("brief-device"),
        t!("doc-plate"),
        t!("doc-setting"),
        t!("doc-why"),
        t!("brief-place"),
    ];
    // As they are now: with the dials as they stand.
    let rows = work.workshop.bench().plan().parts.iter().map(row);
    Body::Run { narrow: false, sections: vec![table("doc-devices", heads, rows)] }
}

/// What a person sets on a device; empty for one without a setting.
pub fn setting(part: &Part) -> String {
    if let Some((dial, _)) = part.kind.dial_ma() {
        return thousandths(dial.into(), "A");
    }
    match &part.kind {
        Kind::Relay(relay) => {
            relay.timing.map(|timing| milliseconds(timing.setting_ms.into())).unwrap_or_default()
        }
        Kind::Controller(controller) => t!(
            "doc-setting-controller",
            scan = milliseconds(controller.scan_ms.into()),
            filter = milliseconds(controller.filter_ms.into())
        ),
        _ => String::new(),
    }
}

/// Cause and effect, then the requirements with their marks.
pub fn behaviour(work: &Work) -> Body {
    let scenario = work.workshop.scenario();
    let matrix = &scenario.matrix;
    let mut sections = Vec::new();
    if !matrix.rows.is_empty() {
        let heads = [t!("brief-cause")].into_iter().map(Html::from);
        let heads = heads.chain(matrix.effects.iter().map(|effect| cell(effect.clone())));
        let rows = matrix.rows.iter().map(|row| {
            let effects = row.effects.iter().map(|effect| cell(effect.clone()));
            [cell(row.cause.clone())]
                .into_iter()
                .chain(effects)
                .chain([cell(row.requirements.clone())])
                .collect()
        });
        sections.extend([
            heading(t!("brief-matrix")),
            Section::Table {
                class: "doc-matrix",
                heads: heads.chain([Html::from(t!("brief-requirements"))]).collect(),
                rows: rows.collect(),
            },
            paragraph(t!("brief-matrix-legend")),
        ]);
    }
    if scenario.requirements.is_empty() {
        sections.extend([heading(t!("brief-behaviour")), paragraph(t!("checks-none"))]);
        return Body::Run { narrow: false, sections };
    }
    let rows = scenario.requirements.iter().map(|requirement| {
        let must = if requirement.must { t!("brief-must") } else { "" };
        [
            cell(requirement.id.clone()),
            cell(keep_units(&requirement.text)),
            cell(must),
            cell(requirement.marks.to_string()),
        ]
    });
    let heads = [t!("brief-number"), t!("brief-required"), "", t!("brief-marks")];
    sections.extend([
        heading(t!("brief-behaviour")),
        paragraph(t!("brief-pass", pass = scenario.pass_marks, total = scenario.total_marks())),
        table("doc-requirements", heads, rows),
    ]);
    Body::Run { narrow: false, sections }
}
