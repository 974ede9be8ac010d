//! The fault table, explored in a worker.

use super::errands::{Desk, Taken};
use super::protocol::{Body, Errand};
use crate::store::fault_table::FaultEvent;
use crate::store::{Command, Shop};

static DESK: Desk = Desk {
    number: 2,
    started: |project| Command::Faults(FaultEvent::Started(Box::new(project.clone()))),
    job: |workshop| workshop.fault_table().job,
    errand: |workshop| Errand::Faults(workshop.fault_table().wanted(workshop.scenario(), workshop.project())),
    take: |body, _, _| match body {
        Body::Proving(progress) => Taken::Told(Command::Faults(FaultEvent::Progress(progress))),
        Body::Row(row) => Taken::Told(Command::Faults(FaultEvent::Done(Box::new(row)))),
        Body::Done => Taken::Over(Command::Faults(FaultEvent::Ended)),
        _ => Taken::NotMine,
    },
    stopped: || Command::Faults(FaultEvent::Ended),
};

/// Explores what is listed and not explored yet, of the work as it stands now.
pub fn start(shop: &Shop) {
    DESK.start(shop);
}

/// Stops exploring. Rows that are done by then stay.
pub fn stop(shop: &Shop) {
    DESK.stop(shop);
}
