//! The line over the drawing.

use super::desk::Desk;
use super::drawing::Shared;
use super::words;
use crate::store::Thing;
use crate::t;
use sealin_core::plan::Terminal;

/// What stands over the drawing: what came of the last thing asked, else what is chosen, else what can be done.
pub fn status(desk: &Desk, choice: Option<&Thing>, drawing: &Shared) -> String {
    if let Some(said) = &desk.said {
        return said.clone();
    }
    let terminal = |t: &Terminal| drawing.occupancy.get(t).map(|o| words::terminal(t, o)).unwrap_or_default();
    if let Some(from) = &desk.from {
        return t!("wiring-begun", terminal = terminal(from));
    }
    match choice {
        Some(Thing::Conductor(id)) => match drawing.conductor(id) {
            Some(c) => words::conductor(c, drawing.given.contains(id)),
            None => t!("wiring-lead").to_string(),
        },
        Some(Thing::Terminal(t)) => terminal(t),
        Some(Thing::Part(tag)) => match drawing.parts.iter().find(|p| p.tag == *tag) {
            Some(part) => t!("wiring-part", tag = part.tag, function = part.function),
            None => t!("wiring-lead").to_string(),
        },
        _ => t!("wiring-lead").to_string(),
    }
}
