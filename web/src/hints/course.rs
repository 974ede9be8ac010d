//! The courses of hints, as data: for each job the steps with their sheet, place, deed and words.

use crate::store::Sheet;
use crate::store::model::{Act, BenchAct, Change};
use crate::t;

/// The first steps of one job.
pub struct Course {
    /// Id of the scenario.
    pub job: &'static str,
    /// In one sentence, what the job is and what will be done.
    pub lead: fn() -> &'static str,
    /// In the order in which they are shown.
    pub steps: &'static [Step],
}

/// One hint.
pub struct Step {
    /// The word under which it is remembered when it is put away.
    pub key: &'static str,
    /// Where it is shown.
    pub sheet: Sheet,
    /// The thing it speaks of, as a selector of the page.
    pub at: &'static str,
    /// What it must not cover besides, as a selector of the page.
    pub clear: &'static str,
    /// When it is done with.
    pub done: Deed,
    /// What it says.
    pub words: fn() -> &'static str,
}

/// The deed of a step.
pub enum Deed {
    /// A terminal is chosen while the step is shown, or what follows has been done.
    Chosen(&'static str, fn(&Act) -> bool),
    /// Something stands in the log, however it was done.
    Logged(fn(&Act) -> bool),
    /// Another sheet is turned to while the step is shown.
    Left,
}

/// The course of a job, if it has one.
pub fn of(job: &str) -> Option<&'static Course> {
    COURSES.iter().find(|course| course.job == job)
}

static COURSES: [Course; 1] =
    [Course { job: "paddle-closed-loop", lead: || t!("start-paddle"), steps: &PADDLE }];

static PADDLE: [Step; 7] = [
    Step {
        key: "take",
        sheet: Sheet::Wiring,
        at: ".surface [data-terminal='QA1:14']",
        clear: ".surface [data-terminal='KF1:I4']",
        done: Deed::Chosen("QA1:14", wired),
        words: || t!("hint-take"),
    },
    Step {
        key: "end",
        sheet: Sheet::Wiring,
        at: ".surface [data-terminal='KF1:I4']",
        clear: ".surface [data-terminal='QA1:14']",
        done: Deed::Logged(wired),
        words: || t!("hint-end"),
    },
    Step {
        key: "rung",
        sheet: Sheet::Program,
        at: ".bar",
        clear: ".completion",
        done: Deed::Logged(|act| matches!(act, Act::Design(Change::Program { .. }))),
        words: || t!("hint-rung"),
    },
    Step {
        key: "transfer",
        sheet: Sheet::Program,
        at: ".transfer-buttons",
        clear: ".transfer-text",
        done: Deed::Logged(|act| matches!(act, Act::Transfer { .. })),
        words: || t!("hint-transfer"),
    },
    Step {
        key: "supply",
        sheet: Sheet::Commissioning,
        at: ".supply-switch",
        clear: ".split-handle",
        done: Deed::Logged(|act| matches!(act, Act::Bench(BenchAct::Power(true)))),
        words: || t!("hint-supply"),
    },
    Step {
        key: "press",
        sheet: Sheet::Commissioning,
        at: ".pushbutton:has([aria-label^='SF2,'])",
        clear: ".split-handle",
        done: Deed::Logged(|act| matches!(act, Act::Bench(BenchAct::Press(tag)) if tag == "SF2")),
        words: || t!("hint-press"),
    },
    Step {
        key: "next",
        sheet: Sheet::Commissioning,
        at: ".list li:first-child button",
        clear: ".station",
        done: Deed::Left,
        words: || t!("hint-next"),
    },
];

/// A conductor was made.
fn wired(act: &Act) -> bool {
    matches!(act, Act::Design(Change::Add(_)))
}
