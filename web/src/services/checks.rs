//! The checks, run in a worker.

use super::errands::{Desk, Taken};
use super::protocol::{Body, Errand};
use crate::store::checks::{CheckEvent, Marked};
use crate::store::{Command, Shop};
use std::rc::Rc;

static DESK: Desk = Desk {
    number: 0,
    started: |_| Command::Checks(CheckEvent::Started),
    job: |workshop| workshop.checks().job,
    errand: |_| Errand::Mark,
    take: |body, job, project| match body {
        Body::Progress(progress) => Taken::Told(Command::Checks(CheckEvent::Progress { job, progress })),
        Body::Marks(marks) => {
            let marked = Rc::new(Marked { marks, project: project.clone() });
            Taken::Over(Command::Checks(CheckEvent::Done { job, marked }))
        }
        _ => Taken::NotMine,
    },
    stopped: || Command::Checks(CheckEvent::Dropped),
};

/// Runs all checks on the work as it stands now.
pub fn start(shop: &Shop) {
    DESK.start(shop);
}

/// Stops the checks; there are no marks then.
pub fn stop(shop: &Shop) {
    DESK.stop(shop);
}
