//! Everything a person can ask for. One enum, so that one place decides.

use super::model::{BenchAct, Change, Function, Terminal};
use super::pace::Speed;
use super::screen::ScreenAct;

/// One thing asked for.
#[derive(Clone, Debug)]
pub enum Command {
    /// Do something to the bench at its next tick.
    Act(BenchAct),
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
    /// Record a reading of the meter.
    Reading {
        /// Terminal of the first probe.
        from: Terminal,
        /// Terminal of the second probe.
        to: Terminal,
        /// What was measured.
        function: Function,
        /// What was shown, mV or milliohm; `None` when the meter refused.
        shown: Option<i64>,
    },
    /// Change what the screen shows.
    Screen(ScreenAct),
    /// Choose the speed of the bench; it runs.
    Speed(Speed),
    /// Let the bench stand still, or run.
    Pause(bool),
    /// Run so many ticks of 1 ms at once, then stand still.
    Step(u64),
    /// Put a message on the page.
    Notice(Notice),
    /// Take the message away.
    DismissNotice,
}

/// A message on the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Something was refused or is wrong.
    pub refused: bool,
    /// What there is to say.
    pub text: String,
}
