//! What is asked of the paddle gear and of wrong designs of it, where a proof is held against something else.

use sealin_core::Plan;
use sealin_proof::explore::Question;
use sealin_proof::expr::{Verdict, parse_requirement};

/// States up to which a question is explored.
pub const MOST_STATES: u64 = 300_000;

/// Names as a question takes them.
pub fn names(all: &[&str]) -> Vec<String> {
    all.iter().map(|name| name.to_string()).collect()
}

/// Requirements as a question takes them.
pub fn verdicts(all: &[&str]) -> Vec<Verdict> {
    all.iter().map(|text| parse_requirement(text).expect("a formula of a test reads")).collect()
}

/// A requirement of the paddle gear, what moves while it is judged, and what is taken for granted of that.
pub type Asked<'a> = (&'a [&'a str], &'a [&'a str], &'a [&'a str]);

/// A trip is not over at once.
pub const TRIP_LASTS: &str = "never (fell(FC1.tripped) and not prev(held(FC1.tripped, 10ms)))";

/// The formulas of the job's design note, section 8, with few things that move, so that a run stays short. Some of them the reference
/// breaks, as an output bit follows its inputs a scan later: what counts here is that both judges say so.
pub const ASKED: [Asked; 14] = [
    (&["never (fell(QX0.0) and IX0.0 and IX0.4 and not IX0.5 and not IX0.6)"], &["SF1", "SF2", "SF3"], &[]),
    (
        &["never (QX0.0 and not IX0.0)", "never (rose(QX0.0) and once(not IX0.0, 100ms) and not IX0.1)"],
        &["SF1", "SF2"],
        &[],
    ),
    (
        &["never ((rose(QX0.0) or rose(QX0.1)) and since(IX0.1 or IX0.2, IX0.1 and IX0.2))"],
        &["SF2", "SF3"],
        &[],
    ),
    (&["never (rose(QX0.1) and QX0.0)"], &["SF1", "SF2", "SF3"], &[]),
    (&["never (QX0.0 and QX0.1)"], &["SF1", "SF2", "SF3"], &[]),
    (&["never (rose(QX0.1) and once(QA1.closed, 100ms))"], &["SF2", "SF3"], &[]),
    (&["never ((QX0.0 or QA1.closed) and held(FC1.tripped, 100ms))"], &["SF2", "FC1"], &[]),
    (
        &["never (rose(QA1.closed) and prev(held(not QA1.closed, 20ms)) and not once(SF2.pressed, 200ms))"],
        &["SF2", "FC4"],
        &[],
    ),
    (&["never (rose(QX0.0) and prev(held(IX0.1, 100ms)))"], &["SF1", "SF2"], &[]),
    (&["never (rose(QX0.0) and once(IX0.6, 100ms) and not IX0.1)"], &["SF2", "FC1"], &[TRIP_LASTS]),
    (&["never (rose(QX0.0) and not once(not IX0.1 and IX0.0))"], &["SF1", "SF2", "SF3"], &[]),
    (&["never (QX0.0 and not IX0.4 and not IX0.1)", "never (QX0.0 and IX0.5)"], &["SF2", "FC1.stop"], &[]),
    (
        &[
            "always (held(FC1.tripped, 100ms) implies QX0.4)",
            "never (QX0.4 and held(not FC1.tripped, 100ms))",
        ],
        &["SF2", "FC1"],
        &[],
    ),
    (&[], &["SF2", "SF3"], &[]),
];

/// A question's parts, which it borrows.
pub struct Posed {
    /// What it is called.
    pub name: String,
    /// The bench.
    pub plan: Plan,
    /// What must hold.
    pub required: Vec<Verdict>,
    /// What is taken for granted.
    pub assumed: Vec<Verdict>,
    /// What moves.
    pub free: Vec<String>,
}

impl Posed {
    /// A requirement asked of a bench.
    pub fn new(name: String, plan: Plan, (required, free, assumed): Asked) -> Posed {
        Posed { name, plan, required: verdicts(required), assumed: verdicts(assumed), free: names(free) }
    }

    /// The question, up to [`MOST_STATES`].
    pub fn question(&self) -> Question<'_> {
        let asked = Question::new(&self.plan, &self.required, &self.free);
        Question { assumed: &self.assumed, max_states: MOST_STATES, ..asked }
    }
}
