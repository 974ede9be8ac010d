//! A panel as it was built: that of another job that ships, with the work of its reference done, so that a job of fault finding says
//! only what is its own.

use super::reader::{Reader, Table};
use super::{Requirement, Scenario};
use crate::shipped;
use sealin_core::part::Kind;
use std::collections::BTreeSet;

/// Tables that such a job takes over whole.
const TAKEN: [&str; 9] =
    ["device", "circuit", "learner", "program", "requirement", "matrix", "alarms", "harm", "variant"];

/// Most motors whose load a job says.
const MOST_LOADS: usize = 20;

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
    loads(r, top, s);
    true
}

/// The tables `[[load]]`: what the machine carries on the day of the job, in per mille of what it carries where it was built.
fn loads<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>, s: &mut Scenario) {
    for mut t in r.tables(top, "load", MOST_LOADS) {
        let at = t.place("motor");
        let tag = r.text(&mut t, "motor", 20);
        let permille = r.number(&mut t, "permille", 1..=3_000) as u32;
        r.finish(t);
        let motor = s.parts.iter_mut().find_map(|p| match &mut p.kind {
            Kind::Motor(m) if p.tag == tag => Some(m),
            _ => None,
        });
        match motor {
            Some(m) => {
                let now =
                    |mnm: u32| (u64::from(mnm) * u64::from(permille) / 1000).min(u64::from(u32::MAX)) as u32;
                m.load_friction_mnm = now(m.load_friction_mnm);
                m.machine.load_fan_mnm = now(m.machine.load_fan_mnm);
            }
            None if r.has_problems() => {}
            None => r.wrong(&at, format!("`motor`: there is no motor `{tag}` in the job that is taken over")),
        }
    }
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
