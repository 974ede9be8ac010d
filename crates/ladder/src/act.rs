//! What is done between stretches of gates: timers, counters and comparisons.

use crate::block::{Block, Preset};
use crate::lane::Lane;
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

/// The call of a counter. Its count is CV, an INT. What a counter does not have is 0 or idle.
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
    Elapsed { count: u32, full: u32, preset_ms: i32 },
    /// CV of the counter of that count.
    Counted { count: u32 },
}

/// A timer's count after a scan. `before` is `IN` in the scan before.
///
/// TON counts while `IN` is 1. TOF starts when `IN` falls, goes on until it rises and then rests; TP starts when it rises,
/// goes on whatever it does, and once up waits for it to be 0 (IEC 61131-3, timing diagrams).
fn timer_next<L: Lane>(block: Block, full: u32, count: &mut L::Count, before: L, given: L) {
    let digits = digits(full);
    let runs = L::is(count, 0, digits).not();
    let counts = match block {
        Block::Tof => (runs | before) & given.not(),
        Block::Tp => runs | given,
        _ => given,
    };
    L::step(count, counts & L::is(count, full as i32, digits).not(), L::NONE, digits);
    let rests = match block {
        Block::Tof => given,
        Block::Tp => L::is(count, full as i32, digits) & given.not(),
        _ => given.not(),
    };
    L::put(count, rests, 0, digits);
}

/// `Q` of a timer at a count.
pub(crate) fn timer_q<L: Lane>(block: Block, full: u32, count: &L::Count, given: L) -> L {
    let digits = digits(full);
    let up = L::is(count, full as i32, digits);
    let runs = || L::is(count, 0, digits).not() & up.not();
    match block {
        Block::Tof => given | runs(),
        Block::Tp => runs(),
        _ => up,
    }
}

/// Binary digits that a count up to `full` needs, one for the sign included as far as there are.
fn digits(full: u32) -> u32 {
    (u32::BITS - full.leading_zeros() + 1).min(u32::BITS)
}

impl Timer {
    fn run<L: Lane>(&self, bits: &mut [L], counts: &mut [L::Count]) {
        let (given, before) = (bits[self.given as usize], bits[self.pin as usize]);
        let count = &mut counts[self.count as usize];
        timer_next(self.block, self.full, count, before, given);
        bits[self.q as usize] = timer_q(self.block, self.full, count, given);
    }
}

impl Counter {
    /// R over LD over counting, an edge of both counts nothing, and the limits of INT are kept (IEC 61131-3, counter
    /// function blocks).
    fn run<L: Lane>(&self, bits: &mut [L], counts: &mut [L::Count]) {
        /// Of an INT.
        const DIGITS: u32 = i16::BITS;
        let bit = |slot: u32| bits[slot as usize];
        let cv = &mut counts[self.count as usize];
        let up = bit(self.up) & bit(self.up_before).not();
        let down = bit(self.down) & bit(self.down_before).not();
        let at = |limit: i16| L::is(cv, limit.into(), DIGITS);
        let more = up & down.not() & at(i16::MAX).not();
        let less = down & up.not() & at(i16::MIN).not();
        L::step(cv, more, less, DIGITS);
        L::put(cv, bit(self.load), self.preset.into(), DIGITS);
        L::put(cv, bit(self.reset), 0, DIGITS);
        bits[self.at_preset as usize] = L::is_less(cv, self.preset.into(), DIGITS).not();
        bits[self.at_zero as usize] = L::is_less(cv, 1, DIGITS);
    }
}

impl Compare {
    fn run<L: Lane>(&self, period_ms: u32, bits: &mut [L], counts: &[L::Count]) {
        let (left, right) =
            (self.left.value::<L>(period_ms, counts), self.right.value::<L>(period_ms, counts));
        bits[self.target as usize] = match self.relation {
            Relation::Less => L::less(&left, &right),
            Relation::AtMost => L::less(&right, &left).not(),
            Relation::Greater => L::less(&right, &left),
            Relation::AtLeast => L::less(&left, &right).not(),
            Relation::Equal => L::equal(&left, &right),
            Relation::NotEqual => L::equal(&left, &right).not(),
        };
    }
}

impl Act {
    /// Runs it on the bits and counts of the lanes.
    pub fn run<L: Lane>(&self, period_ms: u32, bits: &mut [L], counts: &mut [L::Count]) {
        match self {
            Act::Timer(timer) => timer.run(bits, counts),
            Act::Counter(counter) => counter.run(bits, counts),
            Act::Compare(compare) => compare.run(period_ms, bits, counts),
        }
    }
}

impl Number {
    /// A figure of the program, and of what sort it is.
    pub fn figure(constant: Constant) -> (Preset, Number) {
        (constant.sort(), Number::Constant(constant.value()))
    }

    /// Its value with these counts. ET grows by whole scan periods and stops at the preset time.
    pub fn value<L: Lane>(self, period_ms: u32, counts: &[L::Count]) -> L::Count {
        match self {
            Number::Constant(value) => L::same(value),
            Number::Counted { count } => counts[count as usize],
            Number::Elapsed { count, full, preset_ms } => {
                let count = &counts[count as usize];
                let digits = digits(full);
                let mut scans = *count;
                L::step(&mut scans, L::NONE, L::is(count, 0, digits).not(), digits);
                // Before the time is up the product is less than the preset time, so it fits.
                let mut elapsed_ms = L::times(&scans, period_ms);
                L::put(&mut elapsed_ms, L::is(count, full as i32, digits), preset_ms, u32::BITS);
                elapsed_ms
            }
        }
    }
}
