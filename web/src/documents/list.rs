//! The documents of a job, in their order, and what they are made of.

use super::content::Body;
use super::paper::Paper;
use super::{brief, circuit, fault_table, hand_over, marks, panel, program, records, wiring};
use crate::sheets::commissioning::{StageRecord, recorded};
use crate::sheets::program::Printed;
use crate::sheets::wiring::Shared;
use crate::store::Workshop;
use crate::t;

/// The work as it stands, worked out once for all documents.
pub struct Work<'a> {
    /// The work.
    pub workshop: &'a Workshop,
    /// The paper.
    pub paper: Paper,
    /// Its wiring.
    pub drawing: Shared,
    /// Its program.
    pub printed: Printed,
    /// What was done before the first press.
    pub stages: Vec<StageRecord>,
}

impl Work<'_> {
    /// Works everything out.
    pub fn of(workshop: &Workshop, paper: Paper) -> Work<'_> {
        let (drawing, printed) = (Shared::of(workshop), Printed::of(workshop));
        Work { workshop, paper, drawing, printed, stages: recorded(workshop) }
    }
}

/// A document as it is printed.
pub struct Document {
    /// Its title.
    pub title: &'static str,
    /// What stands in it.
    pub body: Body,
}

/// An entry of the list.
pub struct Entry {
    /// Title of the document.
    pub title: fn() -> &'static str,
    /// Makes what stands in it.
    pub body: fn(&Work) -> Body,
}

/// All documents.
pub const LIST: [Entry; 14] = [
    Entry { title: || t!("doc-brief"), body: brief::brief },
    Entry { title: || t!("doc-devices"), body: brief::devices },
    Entry { title: || t!("doc-behaviour"), body: brief::behaviour },
    Entry { title: || t!("doc-panel"), body: panel::panel },
    Entry { title: || t!("doc-circuit"), body: circuit::circuit },
    Entry { title: || t!("doc-schedule"), body: wiring::schedule },
    Entry { title: || t!("doc-io"), body: program::io_list },
    Entry { title: || t!("doc-ladder"), body: program::ladder },
    Entry { title: || t!("doc-text"), body: program::text },
    Entry { title: || t!("doc-records"), body: records::records },
    Entry { title: || t!("doc-checks"), body: marks::results },
    Entry { title: || t!("doc-marks"), body: marks::evidence },
    Entry { title: || t!("doc-fault-table"), body: fault_table::fault_table },
    Entry { title: || t!("doc-hand-over"), body: hand_over::hand_over },
];
