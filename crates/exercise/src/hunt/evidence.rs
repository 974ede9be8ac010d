//! What the readings of an attempt say: which of them a sound machine, worked in the same way, would not have shown.

use crate::attempt::{Act, Attempt};
use crate::fold::Fold;
use crate::hunt::Hidden;
use crate::scenario::Scenario;
use sealin_core::instruments::{Function, Measurement};
use sealin_proof::suspects::alike;
use std::rc::Rc;

/// A reading and what it says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Said {
    /// Number of its entry.
    pub entry: u32,
    /// Bench time, ms.
    pub tick: u64,
    /// A sound machine would have shown something else.
    pub unlike_sound: bool,
    /// It was taken to find the fault, and not to prove dead.
    pub counts: bool,
}

/// All readings up to the handing in, in order. `end` is where the attempt ends.
pub(crate) fn readings(scenario: &Rc<Scenario>, attempt: &Attempt, end: &Fold) -> Vec<Said> {
    let until = attempt.entries.iter().position(|entry| entry.act == Act::HandIn);
    let entries = &attempt.entries[..until.unwrap_or(attempt.entries.len())];
    let Ok(mut sound) = Fold::with(Rc::clone(scenario), Hidden::default()) else { return Vec::new() };
    let mut all = Vec::new();
    for (number, entry) in (0..).zip(entries) {
        // What a sound machine refuses, such as a padlock on what never opened, it goes on without.
        let taken = sound.take(entry).is_ok();
        if !matches!(entry.act, Act::Measure(_)) {
            continue;
        }
        let (Some(is), Some(was)) = (end.readings.get(all.len()), sound.readings.get(all.len())) else {
            break;
        };
        let unlike_sound = taken && !alike(is.measured.shown, was.measured.shown);
        let counts = !proves_dead(&is.what);
        all.push(Said { entry: number, tick: entry.at, unlike_sound, counts });
    }
    all
}

/// Whether a reading is taken to prove dead: with the detector, or of it.
pub(super) fn proves_dead(what: &Measurement) -> bool {
    let detector = matches!(what, Measurement::Between { function: Function::Detector, .. });
    detector || *what == Measurement::ProvingUnit
}
