//! The proofs, explored in a worker.

use super::errands::{Desk, Taken};
use super::protocol::{Body, Errand};
use crate::store::proofs::ProofEvent;
use crate::store::{Command, Shop};

static DESK: Desk = Desk {
    number: 1,
    started: |project| Command::Proofs(ProofEvent::Started(Box::new(project.clone()))),
    job: |workshop| workshop.proofs().job,
    errand: |_| Errand::Prove,
    take: |body, _, _| match body {
        Body::Proving(progress) => Taken::Told(Command::Proofs(ProofEvent::Progress(progress))),
        Body::Proof(line) => Taken::Told(Command::Proofs(ProofEvent::Done(Box::new(line)))),
        Body::Done => Taken::Over(Command::Proofs(ProofEvent::Ended)),
        _ => Taken::NotMine,
    },
    stopped: || Command::Proofs(ProofEvent::Ended),
};

/// Proves what the scenario asks to be proven, of the work as it stands now.
pub fn start(shop: &Shop) {
    DESK.start(shop);
}

/// Stops exploring. What is proven by then stays; the rest is not computed.
pub fn stop(shop: &Shop) {
    DESK.stop(shop);
}
