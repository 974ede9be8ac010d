//! The signals that the diagram shows, kept while other sheets are in view.

use crate::store::Workshop;
use std::cell::RefCell;

/// Shown at first, as far as the job has them.
const FIRST: [&str; 8] = [
    "SF2.pressed",
    "KF1.IX0.1",
    "KF1.QX0.0",
    "QA1.coil",
    "QA1.closed",
    "KF1.IX0.4",
    "QA2.closed",
    "FC1.tripped",
];

thread_local! {
    // What is in view is no part of the work, so it is not in the store.
    static CHOSEN: RefCell<Option<Vec<String>>> = const { RefCell::new(None) };
}

/// The signals as they were last chosen, or those shown at first; signals that the job does not have, or
/// does not show, are left out.
pub fn chosen(workshop: &Workshop) -> Vec<String> {
    let known = |name: &String| workshop.in_sight(name);
    let kept = CHOSEN.with(|chosen| chosen.borrow().clone());
    kept.unwrap_or_else(|| FIRST.map(String::from).to_vec()).into_iter().filter(known).collect()
}

/// Keeps a choice.
pub fn keep(names: &[String]) {
    CHOSEN.with(|chosen| chosen.replace(Some(names.to_vec())));
}
