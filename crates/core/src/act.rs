//! What a person does to the running bench, and the line of text for each act.

use crate::fault::Fault;
use std::fmt;

/// One act on the bench, taken at step 1 of its tick.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum BenchAct {
    /// Press a push-button (`press SF2`) or the stop actuator or the reset of an overload
    /// (`press FC1.stop`, `press FC1.reset`).
    Press(String),
    /// Let go of what `press` or `push` holds; an emergency stop is turned until it springs out.
    Release(String),
    /// Turn a selector to a position from 1 (`turn SF5 2`).
    Turn(String, u8),
    /// Push a contactor's armature in by hand.
    Push(String),
    /// Work the test slide of an overload or motor-protective breaker: it trips.
    Trip(String),
    /// Push the reset of an overload; it takes only when it has cooled.
    Reset(String),
    /// Switch the supply to the job on or off.
    Power(bool),
    /// Open a switching device.
    Open(String),
    /// Close a switching device; blown fuse links are replaced, a tripped breaker is reset.
    Close(String),
    /// Put a padlock on the handle of an open switching device.
    Lock(String),
    /// Take the padlock off.
    Unlock(String),
    /// Put a controller into stop mode: no scan, outputs off (`stop KF1`).
    Stop(String),
    /// Let a controller scan again, from a warm restart (`run KF1`).
    Run(String),
    /// Restart a controller's program: cold (`restart KF1 cold`: every variable has its initial value) or warm
    /// (`restart KF1 warm`: retained variables keep theirs).
    Restart(String, Restart),
    /// Put a new device in place of one that is damaged: no weld, burnt coil, destroyed channel, heat or trip is left.
    Replace(String),
    /// Block the machine.
    Jam(String),
    /// Free the blocked machine.
    Free(String),
    /// Let a fault strike.
    Inject(Fault),
    /// Take one fault away.
    Clear(Fault),
    /// Take every fault away.
    ClearAll,
}

/// How a program is started anew (IEC 61131-3, cold and warm restart).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Restart {
    /// Every variable has its initial value.
    Cold,
    /// Retained variables keep their value, the others have their initial one.
    Warm,
}

impl fmt::Display for BenchAct {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BenchAct::Press(t) => write!(f, "press {t}"),
            BenchAct::Release(t) => write!(f, "release {t}"),
            BenchAct::Turn(t, position) => write!(f, "turn {t} {position}"),
            BenchAct::Push(t) => write!(f, "push {t}"),
            BenchAct::Trip(t) => write!(f, "trip {t}"),
            BenchAct::Reset(t) => write!(f, "reset {t}"),
            BenchAct::Power(on) => write!(f, "power {}", if *on { "on" } else { "off" }),
            BenchAct::Open(t) => write!(f, "open {t}"),
            BenchAct::Close(t) => write!(f, "close {t}"),
            BenchAct::Lock(t) => write!(f, "lock {t}"),
            BenchAct::Unlock(t) => write!(f, "unlock {t}"),
            BenchAct::Stop(t) => write!(f, "stop {t}"),
            BenchAct::Run(t) => write!(f, "run {t}"),
            BenchAct::Restart(t, Restart::Cold) => write!(f, "restart {t} cold"),
            BenchAct::Restart(t, Restart::Warm) => write!(f, "restart {t} warm"),
            BenchAct::Replace(t) => write!(f, "replace {t}"),
            BenchAct::Jam(t) => write!(f, "jam {t}"),
            BenchAct::Free(t) => write!(f, "free {t}"),
            BenchAct::Inject(fault) => write!(f, "inject {fault}"),
            BenchAct::Clear(fault) => write!(f, "clear {fault}"),
            BenchAct::ClearAll => f.write_str("clear all"),
        }
    }
}

impl BenchAct {
    /// Reads the line of text of an act. The error says what was expected.
    pub fn parse(text: &str) -> Result<BenchAct, String> {
        let text = text.trim();
        let (verb, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let rest = rest.trim();
        let tag = || match rest.split_whitespace().collect::<Vec<_>>().as_slice() {
            [one] => Ok(one.to_string()),
            _ => Err(format!("one tag is expected after `{verb}`, found `{rest}`")),
        };
        match verb {
            "press" => tag().map(BenchAct::Press),
            "release" => tag().map(BenchAct::Release),
            "push" => tag().map(BenchAct::Push),
            "trip" => tag().map(BenchAct::Trip),
            "reset" => tag().map(BenchAct::Reset),
            "open" => tag().map(BenchAct::Open),
            "close" => tag().map(BenchAct::Close),
            "lock" => tag().map(BenchAct::Lock),
            "unlock" => tag().map(BenchAct::Unlock),
            "stop" => tag().map(BenchAct::Stop),
            "run" => tag().map(BenchAct::Run),
            "restart" => match rest.split_whitespace().collect::<Vec<_>>().as_slice() {
                [tag, "cold"] => Ok(BenchAct::Restart(tag.to_string(), Restart::Cold)),
                [tag, "warm"] => Ok(BenchAct::Restart(tag.to_string(), Restart::Warm)),
                _ => Err(format!("a tag and `cold` or `warm` are expected after `restart`, found `{rest}`")),
            },
            "replace" => tag().map(BenchAct::Replace),
            "jam" => tag().map(BenchAct::Jam),
            "free" => tag().map(BenchAct::Free),
            "turn" => match rest.split_whitespace().collect::<Vec<_>>().as_slice() {
                [tag, position] => match position.parse::<u8>() {
                    Ok(position @ 1..=9) => Ok(BenchAct::Turn(tag.to_string(), position)),
                    _ => Err(format!("a position from 1 is expected after `turn {tag}`, found `{position}`")),
                },
                _ => Err(format!("a tag and a position are expected after `turn`, found `{rest}`")),
            },
            "power" => match rest {
                "on" => Ok(BenchAct::Power(true)),
                "off" => Ok(BenchAct::Power(false)),
                _ => Err(format!("`on` or `off` is expected after `power`, found `{rest}`")),
            },
            "inject" => Fault::parse(rest).map(BenchAct::Inject),
            "clear" if rest == "all" => Ok(BenchAct::ClearAll),
            "clear" => Fault::parse(rest).map(BenchAct::Clear),
            _ => Err(format!(
                "`{verb}` is no act; expected press, release, turn, push, trip, reset, power, open, close, lock, unlock, \
                 stop, run, restart, replace, jam, free, inject or clear"
            )),
        }
    }
}
