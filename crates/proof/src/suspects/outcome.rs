//! What a bench shows somewhere, in a form in which suspects can be compared.

use super::{Finding, RATIO};
use sealin_core::Bench;
use sealin_core::instruments::{Polarity, Shown};

/// What is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Outcome {
    /// A figure in thousandths of its unit, with the step of the display.
    Figure(i64, i64),
    /// Something that is so or otherwise.
    Other(Told),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Told {
    Seen(bool),
    Turn(sealin_core::instruments::Turn),
    Refused,
}

/// What stands for more than an instrument can show, thousandths.
const OVER: i64 = i64::MAX / 4;

/// Accuracy of instruments, one part in so many, besides [`STEPS`] of the last digit (typical of hand-held meters: 1 %).
const PART: i64 = 100;

/// See [`PART`].
const STEPS: i64 = 3;

impl Outcome {
    /// What a finding says.
    pub fn of(finding: &Finding) -> Outcome {
        match finding {
            Finding::Seen(_, on) => Outcome::Other(Told::Seen(*on)),
            Finding::Reading(_, shown) => Outcome::shown(*shown),
        }
    }

    /// What a bench shows in its place, with the harm that the instrument does.
    ///
    /// # Errors
    /// A signal, terminal or conductor that is not there.
    pub fn take(bench: &mut Bench, finding: &Finding) -> Result<Outcome, String> {
        match finding {
            Finding::Seen(signal, _) => {
                let on = bench.signal(signal).ok_or_else(|| format!("there is no signal `{signal}`"))?;
                Ok(Outcome::Other(Told::Seen(on)))
            }
            Finding::Reading(what, _) => Ok(Outcome::shown(bench.take_reading(what)?.0.shown)),
        }
    }

    pub fn shown(shown: Shown) -> Outcome {
        match shown {
            Shown::Figure(figure) => Outcome::Figure(figure.thousandths, figure.step),
            Shown::Over => Outcome::Figure(OVER, 1),
            Shown::Voltage(None) => Outcome::Figure(0, 1),
            Shown::Voltage(Some(voltage)) => {
                let step = i64::from(voltage.step) * 1000;
                Outcome::Figure(if voltage.polarity == Polarity::DcMinus { -step } else { step }, 1)
            }
            Shown::Turn(turn) => Outcome::Other(Told::Turn(turn)),
            Shown::Refused => Outcome::Other(Told::Refused),
        }
    }

    /// Whether both may be the same reading.
    pub fn is_near(&self, other: &Outcome) -> bool {
        match (self, other) {
            (Outcome::Figure(a, coarse), Outcome::Figure(b, fine)) => {
                (a - b).abs() <= apart(*a, *coarse).max(apart(*b, *fine))
            }
            (a, b) => a == b,
        }
    }

    /// For an order in which what is near stands together.
    pub fn rank(&self) -> (u8, i64) {
        match self {
            Outcome::Figure(value, _) => (0, *value),
            Outcome::Other(Told::Seen(on)) => (1, i64::from(*on)),
            Outcome::Other(Told::Refused) => (2, 0),
            Outcome::Other(Told::Turn(turn)) => (3, turn_rank(*turn)),
        }
    }
}

fn turn_rank(turn: sealin_core::instruments::Turn) -> i64 {
    use sealin_core::instruments::Turn;
    match turn {
        Turn::Clockwise => 8,
        Turn::Counterclockwise => 9,
        Turn::Missing(lit) => lit.iter().fold(0, |bits, &on| bits * 2 + i64::from(on)),
    }
}

/// Whether two displays show the same, as far as the accuracy of instruments goes.
pub fn alike(one: Shown, other: Shown) -> bool {
    Outcome::shown(one).is_near(&Outcome::shown(other))
}

/// How far two figures may lie apart and still be the same reading, thousandths.
fn apart(value: i64, step: i64) -> i64 {
    if value.abs() >= OVER { 0 } else { value.abs() / PART + STEPS * step }
}

/// What a value between two that are tried may show in a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gap<'a> {
    /// What the two show.
    pub ends: [Outcome; 2],
    /// They leave the bench in the same state, as far as signals tell. Otherwise a value between may leave it in another.
    pub same_state: bool,
    /// What every value shows that is tried, and none.
    pub all: &'a [Outcome],
}

impl Gap<'_> {
    /// Whether this may be shown.
    pub fn explains(&self, shown: &Outcome) -> bool {
        if self.ends.iter().any(|end| end.is_near(shown)) {
            return true;
        }
        let between = match (self.ends, shown) {
            ([Outcome::Figure(a, _), Outcome::Figure(b, _)], Outcome::Figure(value, _)) => {
                (a.min(b)..=a.max(b)).contains(value)
            }
            _ => false,
        };
        between || !self.same_state && (self.is_up_to(shown) || self.all.iter().any(|one| one.is_near(shown)))
    }

    /// Whether a value between the two shows this if it leaves the bench in the state of one of them: its figures lie between theirs, and all
    /// else is as with that one.
    pub fn explains_as(&self, end: Outcome, shown: &Outcome) -> bool {
        match (self.ends, shown) {
            ([Outcome::Figure(a, _), Outcome::Figure(b, _)], Outcome::Figure(value, _)) => {
                (a.min(b)..=a.max(b)).contains(value) || self.ends.iter().any(|end| end.is_near(shown))
            }
            _ => end.is_near(shown),
        }
    }

    /// A figure of at most [`RATIO`] times the larger of the two, or of any size where one of them shows none.
    fn is_up_to(&self, shown: &Outcome) -> bool {
        match (self.ends, shown) {
            ([Outcome::Figure(a, coarse), Outcome::Figure(b, fine)], Outcome::Figure(value, _)) => {
                let most = a.abs().max(b.abs()) + coarse.max(fine);
                value.abs() <= most.saturating_mul(RATIO.into())
            }
            (_, Outcome::Figure(..)) => true,
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn figure(value: i64) -> Outcome {
        Outcome::Figure(value, 10)
    }

    const OTHERS: [Outcome; 1] = [figure(48_000)];

    fn gap(ends: [i64; 2], same_state: bool) -> Gap<'static> {
        Gap { ends: ends.map(figure), same_state, all: &OTHERS }
    }

    /// By hand: 24 V on a display of 10 mV may be 24 V ± 0.24 V ± 0.03 V.
    #[test]
    fn a_figure_is_explained_within_the_accuracy_of_a_meter() {
        for (value, explained) in
            [(24_000, true), (24_270, true), (24_290, false), (23_740, true), (23_710, false)]
        {
            assert_eq!(figure(24_000).is_near(&figure(value)), explained, "{value}");
        }
        assert!(!figure(24_000).is_near(&Outcome::Other(Told::Seen(true))));
    }

    /// By hand: a contactor that is in with the one value and not with the other is one of both, and a voltage lies between.
    #[test]
    fn a_value_between_may_be_in_the_state_of_the_one_or_the_other() {
        let seen = |on| Outcome::Other(Told::Seen(on));
        let own = Gap { ends: [seen(true), seen(false)], same_state: false, all: &[] };
        assert!(own.explains_as(seen(true), &seen(true)) && !own.explains_as(seen(false), &seen(true)));
        let [none, most] = [0, 24_000].map(figure);
        assert!(gap([0, 24_000], false).explains_as(none, &figure(11_000)));
        assert!(!gap([0, 24_000], false).explains_as(most, &figure(48_000)));
    }

    /// What lies between two values is explained, what lies beyond is not; ten times as much, and what any other value shows, where a
    /// fuse opens at the one and not at the other.
    #[test]
    fn between_two_values_lies_every_other() {
        assert!(gap([0, 24_000], true).explains(&figure(11_000)));
        assert!(!gap([0, 24_000], true).explains(&figure(30_000)));
        assert!(!gap([0, 24_000], true).explains(&figure(48_000)));
        let over = Gap { ends: [figure(0), Outcome::Figure(OVER, 1)], same_state: true, all: &[] };
        assert!(over.explains(&figure(1_000_000)));
        assert!(gap([0, 100], false).explains(&figure(1_000)));
        assert!(!gap([0, 100], false).explains(&figure(1_200)));
        assert!(gap([0, 100], false).explains(&figure(48_000)));
    }
}
