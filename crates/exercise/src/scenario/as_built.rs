//! A panel as it was built: that of another job that ships, with the work of its reference done, so that a job of fault finding says
//! only what is its own.

use super::reader::{Reader, Table};
use super::{Requirement, Scenario};
use crate::shipped;
use std::collections::BTreeSet;

/// Tables that such a job takes over whole.
const TAKEN: [&str; 8] =
    ["device", "conductor", "cable", "learner", "program", "requirement", "matrix", "variant"];

/// Takes over the panel that the key `as_built` names. `true` when there is such a key.
pub(super) fn as_built<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>, s: &mut Scenario) -> bool {
    if !top.has("as_built") {
        return false;
    }
    let at = top.place("as_built");
    let id = r.text(top, "as_built", 60);
    for key in TAKEN {
        if top.has(key) {
            let at = top.place(key);
            r.wrong(
                &at,
                format!("`{key}`: it is taken from the job `{id}`; a job of its own is expected without it"),
            );
        }
    }
    match built(&id) {
        Ok(panel) => take(s, id, panel),
        Err(message) => r.wrong(&at, message),
    }
    true
}

/// The job of this id with its reference's work done. Read each time: this is rare, and takes some milliseconds.
fn built(id: &str) -> Result<Scenario, String> {
    let no_such = || format!("`{id}` is no job that ships with a reference");
    let (text, reference) =
        (shipped::get(id).ok_or_else(no_such)?, shipped::reference(id).ok_or_else(no_such)?);
    // One that is itself as built elsewhere has no reference, so that this ends.
    let mut panel = Scenario::parse(text).map_err(|_| no_such())?;
    let work = reference.work(&panel)?;
    let plan = work.plan_of_sheet(&panel).map_err(|_| no_such())?;
    panel.parts = plan.parts;
    panel.given = plan.conductors;
    panel.program = work.source;
    Ok(panel)
}

fn take(s: &mut Scenario, id: String, panel: Scenario) {
    s.as_built = Some((id, panel.content_hash));
    s.parts = panel.parts;
    s.labels = panel.labels;
    s.given = panel.given;
    s.removable = BTreeSet::new();
    s.cables = panel.cables;
    s.conductor_notes = panel.conductor_notes;
    s.new_conductor = panel.new_conductor;
    s.names = panel.names;
    s.program = panel.program;
    // What the machine must do is tried again, and earns nothing by itself.
    s.requirements = panel
        .requirements
        .into_iter()
        .map(|q| Requirement { marks: 0, must: false, bonus: false, ..q })
        .collect();
    s.matrix = panel.matrix;
    s.alarms = panel.alarms;
    s.harm = panel.harm;
}
