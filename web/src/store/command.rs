//! Everything a person can ask for. One enum, so that one place decides.

use super::checks::CheckEvent;
use super::fault_table::FaultEvent;
use super::model::{Attempt, BenchAct, Change, Diagnosis, Measurement, Repair, Session};
use super::pace::Speed;
use super::proofs::ProofEvent;
use super::screen::ScreenAct;
use super::suspects::SuspectEvent;
use super::why::WhyAct;
use crate::hints::HintAct;
use std::rc::Rc;

/// One thing asked for.
#[derive(Clone, Debug)]
pub enum Command {
    /// Do something to the bench at its next tick.
    Act(BenchAct),
    /// A hand presses a push-button or a stop actuator, and keeps it pressed.
    Hold(String),
    /// The hand lets go. A hand does not press shorter than [`super::hand::SHORTEST_PRESS_MS`].
    LetGo(String),
    /// Change wiring, program text or a dial.
    Change(Change),
    /// Take back the last change.
    Undo,
    /// Make the change again that was taken back.
    Redo,
    /// Bring the program on the sheet into the controller.
    Transfer {
        /// Program memory starts from its initial values.
        cold: bool,
    },
    /// The text of the program as it is being typed. It becomes a change of the work after a pause, or before anything
    /// else is done.
    Draft(String),
    /// Take a reading into the log; the bench runs for the time that it costs.
    Measure(Measurement),
    /// Record by hand what no instrument of the bench shows.
    Record {
        /// Name of the check.
        check: String,
        /// What was written.
        text: String,
    },
    /// Answer a prediction; the first answer counts.
    Predict {
        /// Its id.
        prediction: String,
        /// Number of the answer, from 1.
        answer: u32,
    },
    /// Open a hint of the job; it costs marks.
    OpenHint(String),
    /// Put something right in a job of fault finding; the bench runs for the time that it costs.
    Repair(Repair),
    /// Write down what is taken to be wrong.
    Diagnose(Diagnosis),
    /// Look at what is still suspected; it costs marks.
    Look,
    /// Something happens to what is suspected.
    Suspects(SuspectEvent),
    /// Hand the work in.
    HandIn,
    /// Go back to a tick of this line and go on from there on a new one. Nothing is erased; the bench stands still.
    Seek(u64),
    /// Change what the screen shows.
    Screen(ScreenAct),
    /// Ask why something is as it is.
    Why(WhyAct),
    /// Choose the speed of the bench; it runs.
    Speed(Speed),
    /// Let the bench stand still, or run.
    Pause(bool),
    /// Run so many ticks of 1 ms at once, then stand still.
    Step(u64),
    /// The draft becomes a change of the work now.
    KeepDraft,
    /// Write a name on the attempt.
    Author(String),
    /// Open an attempt in the place of the work in progress.
    Open(Rc<Attempt>),
    /// Put an attempt that is kept on the bench, or a new one on another job.
    Job {
        /// The attempt.
        session: Rc<Session>,
        /// Where it lies in this browser, if it does.
        place: Option<u32>,
    },
    /// The work of this number lies at this place in the browser now.
    Placed {
        /// Number of the work.
        work: u64,
        /// Where it lies.
        place: u32,
    },
    /// Begin the job anew. Where attempts are kept, the work so far is one of them.
    StartOver {
        /// Drawn by the host.
        seed: u64,
        /// What the host's calendar and clock say.
        started: String,
    },
    /// Something happens to the checks.
    Checks(CheckEvent),
    /// Something happens to the proofs.
    Proofs(ProofEvent),
    /// Something happens to the fault table.
    Faults(FaultEvent),
    /// Show or put away hints.
    Hints(HintAct),
    /// Look at the worked example in the place of the work in progress, or go back to that.
    Example(bool),
    /// Say where the attempt stands in storage.
    Saved(Saved),
    /// Put a message on the page.
    Notice(Notice),
    /// Take the message away.
    DismissNotice,
}

/// Where the attempt stands in the browser's storage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Saved {
    /// Nothing has been done yet.
    #[default]
    Fresh,
    /// Everything is in storage.
    Kept,
    /// Another tab writes this attempt; this one only looks.
    Elsewhere,
    /// There is no storage, or it refused: only a file keeps the work.
    Impossible,
}

/// A message on the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Something was refused or is wrong.
    pub refused: bool,
    /// What there is to say.
    pub text: String,
}
