//! Says in words what happens on the bench, for those who do not see it: contactors, trip, lamp, supply, damage, and how
//! the checks went.

use crate::hooks::use_frame;
use crate::services::page;
use crate::store::Workshop;
use crate::store::checks::Marked;
use crate::t;
use std::cell::RefCell;
use std::rc::Rc;
use yew::prelude::*;

/// Least time between two announcements, ms of wall time. What happens in between is said together.
const EVERY_MS: f64 = 1_000.0;

/// Most events of one announcement; at high speed only the last ones are worth saying.
const MOST_EVENTS: usize = 5;

/// What has been said so far.
#[derive(Default)]
struct Said {
    epoch: u64,
    tick: u64,
    notes: usize,
    last_ms: f64,
    /// The marks that were said last.
    marked: Option<Rc<Marked>>,
}

/// A live region with the last events. It takes no space on the page.
#[component]
pub fn Announcer() -> Html {
    let node = use_node_ref();
    {
        let node = node.clone();
        let said = RefCell::new(Said::default());
        use_frame((), move |workshop| {
            let now_ms = page::clock_ms();
            let mut said = said.borrow_mut();
            if now_ms - said.last_ms < EVERY_MS {
                return;
            }
            let events = news(workshop, &mut said);
            if let (false, Some(node)) = (events.is_empty(), node.get()) {
                said.last_ms = now_ms;
                node.set_text_content(Some(&events.join(". ")));
            }
        });
    }
    html! { <p class="visually-hidden" aria-live="polite" ref={node}></p> }
}

/// Events since the last time, oldest first.
fn news(workshop: &Workshop, said: &mut Said) -> Vec<String> {
    let tick = workshop.session().tick();
    let notes = &workshop.session().fold().notes;
    if said.epoch != workshop.epoch() || tick < said.tick {
        let marked = workshop.checks().marked.clone();
        *said = Said { epoch: workshop.epoch(), tick, notes: notes.len(), last_ms: said.last_ms, marked };
        return Vec::new();
    }
    let trace = workshop.session().trace();
    let mut events: Vec<String> = trace
        .changes()
        .iter()
        .rev()
        .take_while(|change| change.tick >= said.tick)
        .filter_map(|change| event(trace.names().get(change.name as usize)?, change.value))
        .take(MOST_EVENTS)
        .collect();
    events.reverse();
    events.extend(notes.iter().skip(said.notes).take(MOST_EVENTS).map(|(_, note)| note.to_string()));
    (said.tick, said.notes) = (tick, notes.len());
    let marked = &workshop.checks().marked;
    if let Some(now) = marked.as_ref().filter(|now| said.marked.as_ref().is_none_or(|s| !Rc::ptr_eq(s, now)))
    {
        let kept = now.marks.lines.iter().filter(|line| line.kept()).count();
        events.push(t!("event-marked", kept = kept, of = now.marks.lines.len()));
    }
    said.marked.clone_from(marked);
    events
}

/// A change of a signal in words; none for what is not worth saying by itself.
fn event(name: &str, value: bool) -> Option<String> {
    let (part, what) = name.split_once('.')?;
    Some(match (what, value) {
        ("closed", true) if part.starts_with("QA") => t!("event-contactor-in", part = part),
        ("closed", false) if part.starts_with("QA") => t!("event-contactor-out", part = part),
        ("tripped", true) => t!("event-tripped", part = part),
        ("tripped", false) => t!("event-reset", part = part),
        ("lit", true) => t!("event-lit", part = part),
        ("lit", false) => t!("event-dark", part = part),
        ("turning", true) => t!("event-turning", part = part),
        ("turning", false) => t!("event-still", part = part),
        ("on", true) if part.starts_with("XD") => t!("event-supply-on").into(),
        ("on", false) if part.starts_with("XD") => t!("event-supply-off").into(),
        ("on", true) if part.starts_with("KF") => t!("event-scanning", part = part),
        ("on", false) if part.starts_with("KF") => t!("event-not-scanning", part = part),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_matters_is_said_and_the_rest_is_not() {
        assert!(event("QA1.closed", true).is_some_and(|text| text.contains("QA1")));
        assert_ne!(event("PF1.lit", true), event("PF1.lit", false));
        assert_eq!(event("QA1.13-14", true), None);
        assert_eq!(event("QB1.closed", true), None);
        assert_eq!(event("fresh", true), None);
    }
}
