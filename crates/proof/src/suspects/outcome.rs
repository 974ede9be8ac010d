//! What a bench shows somewhere, in a form in which suspects can be compared.

use super::{Finding, RATIO};
use sealin_core::Bench;
use sealin_core::instruments::{Polarity, Shown};

/// What is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Outcome {
    /// A figure in thousandths of its unit, with the step of the display, and the phasor of which it is the size, where a bench knows it.
    Figure(i64, i64, Option<[i64; 2]>),
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

/// How far an arc rises over its chord, parts of that: half a circle at most, where a resistance lies in a network that is all inductance and
/// goes from nil to without end (geometry: the locus of a voltage over a resistance that varies is a circle, and a half of it where the rest
/// of the network only stores).
const RISE: f64 = 0.5;

/// How finely a phasor is kept, parts of its size: what is lost by it stays within [`PART`].
const BEARING: i64 = 128;

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
            Finding::Reading(what, _) => {
                let measured = bench.take_reading(what)?.0;
                Ok(Outcome::measured((measured.shown, measured.phasor)))
            }
        }
    }

    /// What a bench shows, with its phasor.
    pub fn measured((shown, phasor): (Shown, Option<[i64; 2]>)) -> Outcome {
        match Outcome::shown(shown) {
            Outcome::Figure(value, step, _) => {
                Outcome::Figure(value, step, phasor.map(|it| coarse(it, value, step)))
            }
            other => other,
        }
    }

    pub fn shown(shown: Shown) -> Outcome {
        match shown {
            Shown::Figure(figure) => Outcome::Figure(figure.thousandths, figure.step, None),
            Shown::Over => Outcome::Figure(OVER, 1, None),
            Shown::Voltage(None) => Outcome::Figure(0, 1, None),
            Shown::Voltage(Some(voltage)) => {
                let step = i64::from(voltage.step) * 1000;
                Outcome::Figure(if voltage.polarity == Polarity::DcMinus { -step } else { step }, 1, None)
            }
            Shown::Turn(turn) => Outcome::Other(Told::Turn(turn)),
            Shown::Refused => Outcome::Other(Told::Refused),
        }
    }

    /// Whether both may be the same reading.
    pub fn is_near(&self, other: &Outcome) -> bool {
        match (self, other) {
            (Outcome::Figure(a, coarse, _), Outcome::Figure(b, fine, _)) => {
                (a - b).abs() <= apart(*a, *coarse).max(apart(*b, *fine))
            }
            (a, b) => a == b,
        }
    }

    /// For an order in which what is near stands together.
    pub fn rank(&self) -> (u8, i64) {
        match self {
            Outcome::Figure(value, ..) => (0, *value),
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

/// A phasor of this size as coarse as a [`BEARING`]th of it, at least as the display: what hardly differs is kept once.
fn coarse(phasor: [i64; 2], size: i64, step: i64) -> [i64; 2] {
    // A power of two, so that phasors of nearly the same size lie on the same grid.
    let own = 1 << (size.abs() / BEARING).max(1).ilog2();
    let grid = step.max(own);
    phasor.map(|part| (part + grid / 2).div_euclid(grid) * grid)
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
    /// The signal that is seen has changed before with both, or with neither. Otherwise it may have done a third thing with a value between:
    /// of two inputs one may come before a supply gives way, and never the other.
    pub turned_alike: bool,
    /// What every value shows that is tried, and none.
    pub all: &'a [Outcome],
}

impl Gap<'_> {
    /// Whether this may be shown.
    pub fn explains(&self, shown: &Outcome) -> bool {
        if self.ends.iter().any(|end| end.is_near(shown)) {
            return true;
        }
        let between = self.lies_between(shown);
        let seen = matches!(shown, Outcome::Other(Told::Seen(_)));
        let third = || seen && !self.turned_alike || self.is_up_to(shown);
        between || !self.same_state && (third() || self.all.iter().any(|one| one.is_near(shown)))
    }

    /// Whether a value between the two shows this if it leaves the bench in the state of one of them: its figures lie between theirs, and all
    /// else is as with that one.
    pub fn explains_as(&self, end: Outcome, shown: &Outcome) -> bool {
        match (self.ends, shown) {
            ([Outcome::Figure(..), Outcome::Figure(..)], Outcome::Figure(..)) => {
                self.lies_between(shown) || self.ends.iter().any(|end| end.is_near(shown))
            }
            _ => end.is_near(shown),
        }
    }

    /// A figure that lies between those of the ends. Of alternating ones the phasor goes from the one to the other, on the arc of a circle
    /// (a network that is linear, with one resistance in it that varies), which may come nearer to nil than either end, or farther from it:
    /// as near as the straight way and [`RISE`] besides.
    fn lies_between(&self, shown: &Outcome) -> bool {
        let ([Outcome::Figure(a, _, from), Outcome::Figure(b, _, to)], Outcome::Figure(value, ..)) =
            (self.ends, shown)
        else {
            return false;
        };
        let (mut least, mut most) = (a.min(b), a.max(b));
        if let (Some(from), Some(to)) = (from, to) {
            let [from, to] = [from, to].map(|[re, im]| [re as f64, im as f64]);
            let way = [to[0] - from[0], to[1] - from[1]];
            let size = |[re, im]: [f64; 2]| (re * re + im * im).sqrt();
            let length = size(way);
            // The foot of the perpendicular from nil.
            let along = -(from[0] * way[0] + from[1] * way[1]) / (length * length).max(1.0);
            let along = along.clamp(0.0, 1.0);
            let nearest = size([from[0] + along * way[0], from[1] + along * way[1]]);
            least = least.min((nearest - RISE * length) as i64);
            most = most.saturating_add((RISE * length) as i64);
        }
        (least..=most).contains(value)
    }

    /// A figure of at most [`RATIO`] times the larger of the two, or of any size where one of them shows none.
    fn is_up_to(&self, shown: &Outcome) -> bool {
        match (self.ends, shown) {
            ([Outcome::Figure(a, coarse, _), Outcome::Figure(b, fine, _)], Outcome::Figure(value, ..)) => {
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
        Outcome::Figure(value, 10, None)
    }

    const OTHERS: [Outcome; 1] = [figure(48_000)];

    fn gap(ends: [i64; 2], same_state: bool) -> Gap<'static> {
        Gap { ends: ends.map(figure), same_state, turned_alike: true, all: &OTHERS }
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
        let gap_of = |ends, turned_alike| Gap { ends, same_state: false, turned_alike, all: &[] };
        let own = gap_of([seen(true), seen(false)], false);
        // Come and gone with the one, never there with the other: there still with one between.
        assert!(gap_of([seen(false); 2], false).explains(&seen(true)));
        assert!(!gap_of([seen(false); 2], true).explains(&seen(true)));
        assert!(own.explains_as(seen(true), &seen(true)) && !own.explains_as(seen(false), &seen(true)));
        let [none, most] = [0, 24_000].map(figure);
        assert!(gap([0, 24_000], false).explains_as(none, &figure(11_000)));
        assert!(!gap([0, 24_000], false).explains_as(most, &figure(48_000)));
    }

    /// By hand: 230.0 V on a display of 0.1 V is kept to 1.024 V, the power of two below 230 V / 128; 3.2 V to the display's own tenth.
    #[test]
    fn phasors_that_hardly_differ_are_one() {
        assert_eq!(coarse([230_000, 0], 230_000, 100), [230_400, 0]);
        assert_eq!(coarse([230_100, 400], 230_100, 100), [230_400, 0]);
        assert_eq!(coarse([-115_000, 199_186], 230_000, 100), [-114_688, 199_680]);
        assert_eq!(coarse([3_160, 40], 3_160, 100), [3_200, 0]);
    }

    /// By hand: from 100 V to 100 V at a right angle to it the straight way is 141 V long and comes as near as 71 V to nil, half an arc 71 V
    /// nearer or farther; from 100 V to 60 V in the same direction nothing but what lies between, and 20 V besides.
    #[test]
    fn a_phasor_goes_from_end_to_end_on_an_arc() {
        let volts =
            |re: i64, im: i64, size: i64| Outcome::Figure(size * 1000, 100, Some([re * 1000, im * 1000]));
        let gap_of = |ends| Gap { ends, same_state: true, turned_alike: true, all: &[] };
        let turned = gap_of([volts(100, 0, 100), volts(0, 100, 100)]);
        assert!(turned.explains(&figure(1_000)) && turned.explains(&figure(170_000)));
        assert!(!turned.explains(&figure(175_000)));
        let shorter = gap_of([volts(100, 0, 100), volts(60, 0, 60)]);
        for (value, explained) in [(80, true), (41, true), (119, true), (38, false), (122, false)] {
            assert_eq!(shorter.explains(&figure(value * 1000)), explained, "{value}");
        }
    }

    /// What lies between two values is explained, what lies beyond is not; ten times as much, and what any other value shows, where a
    /// fuse opens at the one and not at the other.
    #[test]
    fn between_two_values_lies_every_other() {
        assert!(gap([0, 24_000], true).explains(&figure(11_000)));
        assert!(!gap([0, 24_000], true).explains(&figure(30_000)));
        assert!(!gap([0, 24_000], true).explains(&figure(48_000)));
        let over = Gap {
            ends: [figure(0), Outcome::Figure(OVER, 1, None)],
            same_state: true,
            turned_alike: true,
            all: &[],
        };
        assert!(over.explains(&figure(1_000_000)));
        assert!(gap([0, 100], false).explains(&figure(1_000)));
        assert!(!gap([0, 100], false).explains(&figure(1_200)));
        assert!(gap([0, 100], false).explains(&figure(48_000)));
    }
}
