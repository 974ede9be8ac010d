//! What there is to say about the design at the end of the log, one mark each.

use super::{Evidence, Reason};
use crate::project::Project;
use crate::scenario::Scenario;
use crate::wiring::circuit::Circuit;
use crate::wiring::class::Practice;
use crate::wiring::remarks::{remarks, said};
use sealin_core::part::Part;
use sealin_core::plan::Conductor;
use std::collections::BTreeSet;

/// What a fitter would do again.
pub(super) fn wiring(scenario: &Scenario, project: &Project) -> Vec<Reason> {
    let given: BTreeSet<&str> = scenario.given.iter().map(|c| c.id.as_str()).collect();
    let locked = |id: &str| given.contains(id);
    let parts: Vec<Part> = project.parts(scenario).cloned().collect();
    let mut conductors: Vec<Conductor> = project.conductors.values().cloned().collect();
    // In the order in which they were made: L2 before L10.
    conductors.sort_by_key(|c| (!locked(&c.id), c.id.len(), c.id.clone()));
    let circuit = Circuit::new(&parts, &conductors);
    let reel = Some((scenario.new_conductor.colour, scenario.new_conductor.section_mm2_x100));
    remarks(&parts, &conductors, &circuit, Practice::of(scenario.region), reel, &locked)
        .iter()
        .map(|remark| {
            let conductor = remark.conductor().map(|id| Evidence::Conductor(id.to_string()));
            let terminal = || remark.terminal().map(|t| Evidence::Terminal(t.clone()));
            let at = conductor.or_else(terminal).unwrap_or(Evidence::Nowhere);
            Reason { text: said(remark, &conductors), at }
        })
        .collect()
}

/// What a teacher would say about the program on the sheet.
pub(super) fn program(project: &Project) -> Vec<Reason> {
    // One that cannot be read does nothing, so that the share of its marks is none.
    let Ok(program) = sealin_ladder::parse(&project.source) else { return Vec::new() };
    let reason = |remark: sealin_ladder::Remark| Reason {
        text: format!("{} {}", remark.text, remark.why),
        at: match remark.rung {
            Some(rung) => Evidence::Rung(rung, remark.var),
            None => Evidence::Variable(remark.var),
        },
    };
    sealin_ladder::remarks(&program).into_iter().map(reason).collect()
}
