//! What is done between stretches of words: timers, counters and comparisons.

use crate::block::{Block, Preset};
use crate::model::{Constant, Relation};

/// A timer, a counter or a comparison, with the slots of its bits.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Act {
    Timer(Timer),
    Counter(Counter),
    Compare(Compare),
}

/// The call of a timer. Its count is 0 at rest, else 1 + the whole scans since it started, at most `full`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Timer {
    /// TON, TOF or TP.
    pub block: Block,
    /// Index of the count.
    pub count: u32,
    /// Slot of what `IN` is given.
    pub given: u32,
    /// Slot of `IN`: for an off-delay as it was in the scan before.
    pub pin: u32,
    /// Slot of `Q`.
    pub q: u32,
    /// Count at which the time is up: whole scans of the preset time, rounded up, plus one.
    pub full: u32,
}

/// The call of a counter. Its count is CV, an INT in the lower 16 bits. What a counter does not have is 0 or idle.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Counter {
    /// Index of the count.
    pub count: u32,
    /// PV.
    pub preset: i16,
    /// Slot of what CU is given.
    pub up: u32,
    /// Slot of CU in the scan before.
    pub up_before: u32,
    /// Slot of what CD is given.
    pub down: u32,
    /// Slot of CD in the scan before.
    pub down_before: u32,
    /// Slot of what R is given.
    pub reset: u32,
    /// Slot of what LD is given.
    pub load: u32,
    /// Slot of the output that is 1 at CV >= PV.
    pub at_preset: u32,
    /// Slot of the output that is 1 at CV <= 0.
    pub at_zero: u32,
}

/// A comparison, evaluated before the rung in which it stands as a contact.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Compare {
    pub left: Number,
    pub relation: Relation,
    pub right: Number,
    /// Slot of the result.
    pub target: u32,
}

/// A number in a comparison: milliseconds or a count.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Number {
    /// A figure of the program.
    Constant(i32),
    /// ET of the timer of that count.
    Elapsed { count: u32, preset_ms: i32 },
    /// CV of the counter of that count.
    Counted { count: u32 },
}

impl Timer {
    /// The count after a scan. `before` is `IN` in the scan before.
    ///
    /// TON counts while `IN` is 1. TOF starts when `IN` falls, goes on until it rises and then rests; TP starts when it
    /// rises, goes on whatever it does, and once up waits for it to be 0 (IEC 61131-3, timing diagrams).
    pub fn next(&self, count: u32, before: bool, given: bool) -> u32 {
        let further = count.saturating_add(1).min(self.full);
        match self.block {
            Block::Tof => {
                let running = u32::from(before | (count != 0));
                further * running * u32::from(!given)
            }
            Block::Tp => {
                let goes_on = (count != 0) & (further != self.full);
                further * u32::from(goes_on | given)
            }
            _ => further * u32::from(given),
        }
    }
}

/// `Q` of a timer at a count.
pub(crate) fn timer_q(block: Block, count: u32, full: u32, given: bool) -> bool {
    let running = (count != 0) & (count != full);
    match block {
        Block::Tof => given | running,
        Block::Tp => running,
        _ => (count != 0) & (count == full),
    }
}

impl Counter {
    /// CV after a scan, from the inputs as given and those that count as they were: R over LD over counting, an edge of
    /// both counts nothing, and the limits of INT are kept (IEC 61131-3, counter function blocks).
    pub fn next(
        &self,
        cv: i16,
        [up, up_before]: [bool; 2],
        [down, down_before]: [bool; 2],
        reset: bool,
        load: bool,
    ) -> i16 {
        let step = i16::from(up & !up_before) - i16::from(down & !down_before);
        let counted = cv.saturating_add(step);
        let loaded = if load { self.preset } else { counted };
        if reset { 0 } else { loaded }
    }
}

impl Act {
    /// Runs it on the bits and counts of one lane.
    pub fn run(&self, period_ms: u32, bits: &mut [u8], counts: &mut [u32]) {
        match self {
            Act::Timer(timer) => {
                let given = bits[timer.given as usize] != 0;
                let before = bits[timer.pin as usize] != 0;
                let count = &mut counts[timer.count as usize];
                *count = timer.next(*count, before, given);
                bits[timer.q as usize] = u8::from(timer_q(timer.block, *count, timer.full, given));
            }
            Act::Counter(counter) => {
                let bit = |slot: u32| bits[slot as usize] != 0;
                let count = &mut counts[counter.count as usize];
                let cv = counter.next(
                    cv(*count),
                    [bit(counter.up), bit(counter.up_before)],
                    [bit(counter.down), bit(counter.down_before)],
                    bit(counter.reset),
                    bit(counter.load),
                );
                *count = count_of(cv);
                bits[counter.at_preset as usize] = u8::from(cv >= counter.preset);
                bits[counter.at_zero as usize] = u8::from(cv <= 0);
            }
            Act::Compare(compare) => {
                let (left, right) =
                    (compare.left.value(period_ms, counts), compare.right.value(period_ms, counts));
                bits[compare.target as usize] = u8::from(compare.relation.holds(left.into(), right.into()));
            }
        }
    }
}

impl Number {
    /// A figure of the program, and of what sort it is.
    pub fn figure(constant: Constant) -> (Preset, Number) {
        match constant {
            Constant::Time(time_ms) => {
                (Preset::Time, Number::Constant(i32::try_from(time_ms).unwrap_or(i32::MAX)))
            }
            Constant::Count(count) => (Preset::Count, Number::Constant(count.into())),
        }
    }

    /// Its value with these counts.
    pub fn value(self, period_ms: u32, counts: &[u32]) -> i32 {
        let at = |count: u32| counts.get(count as usize).copied().unwrap_or(0);
        match self {
            Number::Constant(value) => value,
            Number::Elapsed { count, preset_ms } => elapsed_ms(at(count), period_ms, preset_ms),
            Number::Counted { count } => cv(at(count)).into(),
        }
    }
}

/// ET of a timer's count: it grows by whole scan periods and stops at the preset time.
pub(crate) fn elapsed_ms(count: u32, period_ms: u32, preset_ms: i32) -> i32 {
    let elapsed_ms = u64::from(count.saturating_sub(1)) * u64::from(period_ms);
    i32::try_from(elapsed_ms).map_or(preset_ms, |elapsed_ms| elapsed_ms.min(preset_ms))
}

/// CV from a counter's count.
pub(crate) fn cv(count: u32) -> i16 {
    count as u16 as i16
}

/// A counter's count from CV.
pub(crate) fn count_of(cv: i16) -> u32 {
    u32::from(cv as u16)
}
