//! What a bench shows somewhere, in a form in which suspects can be compared.

use super::{Finding, RATIO};
use sealin_core::Bench;
use sealin_core::instruments::{Polarity, Shown};

/// What is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Outcome {
    /// A figure in thousandths of its unit, with the step of the display.
    Figure(i64, i64),
    /// Something that is so or otherwise.
    Other(Told),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Told {
    Seen(bool),
    Shown(Shown),
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

    /// What a bench shows in its place.
    pub fn on(bench: &Bench, finding: &Finding) -> Result<Outcome, String> {
        match finding {
            Finding::Seen(signal, _) => {
                let on = bench.signal(signal).ok_or_else(|| format!("there is no signal `{signal}`"))?;
                Ok(Outcome::Other(Told::Seen(on)))
            }
            Finding::Reading(measurement, _) => Ok(Outcome::shown(bench.measure(measurement)?.shown)),
        }
    }

    fn shown(shown: Shown) -> Outcome {
        match shown {
            Shown::Figure(figure) => Outcome::Figure(figure.thousandths, figure.step),
            Shown::Over => Outcome::Figure(OVER, 1),
            Shown::Voltage(None) => Outcome::Figure(0, 1),
            Shown::Voltage(Some(voltage)) => {
                let step = i64::from(voltage.step) * 1000;
                Outcome::Figure(if voltage.polarity == Polarity::DcMinus { -step } else { step }, 1)
            }
            Shown::Turn(_) | Shown::Refused => Outcome::Other(Told::Shown(shown)),
        }
    }
}

/// How far two figures may lie apart and still be the same reading, thousandths.
fn apart(value: i64, step: i64) -> i64 {
    if value.abs() >= OVER { 0 } else { value.abs() / PART + STEPS * step }
}

/// Everything that one suspect can show in a place.
pub(super) struct Outcomes {
    pub all: Vec<Outcome>,
    /// Of each two neighbours, whether they leave the bench in the same state; empty if nothing lies between them.
    pub between: Vec<bool>,
}

impl Outcomes {
    /// Whether this may be shown.
    pub fn explain(&self, shown: &Outcome) -> bool {
        let Outcome::Figure(value, step) = *shown else {
            return self.all.contains(shown);
        };
        let near = |own: i64| (own - value).abs() <= apart(value, step).max(apart(own, step));
        let is_near = |outcome: &Outcome| matches!(outcome, Outcome::Figure(own, _) if near(*own));
        if self.all.iter().any(is_near) {
            return true;
        }
        self.all.windows(2).zip(&self.between).any(|(pair, same_state)| match *pair {
            [Outcome::Figure(a, coarse), Outcome::Figure(b, fine)] => {
                let (least, most) = (a.min(b), a.max(b));
                let up_to = (a.abs().max(b.abs()) + coarse.max(fine)).saturating_mul(RATIO.into());
                (least..=most).contains(&value) || !same_state && value.abs() <= up_to
            }
            _ => !same_state,
        })
    }

    /// How much a reading tells of these suspects on average, bits: each as likely as any other, and each of what it can show too.
    pub fn worth(all: &[Outcomes]) -> f64 {
        let mut shown: Vec<Outcome> = Vec::new();
        for outcome in all.iter().flat_map(|outcomes| &outcomes.all) {
            let known = |other: &Outcome| match (other, outcome) {
                (Outcome::Figure(a, step), Outcome::Figure(b, _)) => (a - b).abs() <= apart(*a, *step),
                (a, b) => a == b,
            };
            if !shown.iter().any(known) {
                shown.push(*outcome);
            }
        }
        if shown.len() < 2 {
            return 0.0;
        }
        let count = all.len() as f64;
        let mut left = 0.0;
        for one in &shown {
            let explaining: Vec<&Outcomes> = all.iter().filter(|outcomes| outcomes.explain(one)).collect();
            // Of each suspect, the part of what it can show that is this.
            let weight = |outcomes: &&Outcomes| {
                let alone = Outcomes { all: vec![*one], between: Vec::new() };
                let such = outcomes.all.iter().filter(|outcome| alone.explain(outcome)).count();
                such as f64 / outcomes.all.len() as f64
            };
            let likely = explaining.iter().map(weight).sum::<f64>() / count;
            left += likely * (explaining.len() as f64).log2();
        }
        count.log2() - left
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figures(values: &[i64], between: bool) -> Outcomes {
        let between = if between { vec![true; values.len() - 1] } else { Vec::new() };
        Outcomes { all: values.iter().map(|&value| Outcome::Figure(value, 10)).collect(), between }
    }

    /// By hand: 24 V on a display of 10 mV may be 24 V ± 0.24 V ± 0.03 V.
    #[test]
    fn a_figure_is_explained_within_the_accuracy_of_a_meter() {
        let one = figures(&[24_000], false);
        for (value, explained) in
            [(24_000, true), (24_270, true), (24_290, false), (23_740, true), (23_710, false)]
        {
            assert_eq!(one.explain(&Outcome::Figure(value, 10)), explained, "{value}");
        }
        assert!(!one.explain(&Outcome::Other(Told::Seen(true))));
    }

    /// What lies between the values of the catalogue is explained, what lies beyond is not.
    #[test]
    fn between_two_values_lies_every_other() {
        assert!(figures(&[0, 24_000], true).explain(&Outcome::Figure(11_000, 10)));
        assert!(!figures(&[0, 24_000], false).explain(&Outcome::Figure(11_000, 10)));
        assert!(!figures(&[0, 24_000], true).explain(&Outcome::Figure(30_000, 10)));
        assert!(figures(&[0, OVER], true).explain(&Outcome::Figure(1_000_000, 10)));
        // Where a fuse opens at the one and not at the other, ten times as much.
        let opens = Outcomes { between: vec![false], ..figures(&[0, 100], false) };
        assert!(opens.explain(&Outcome::Figure(1_000, 10)));
        assert!(!opens.explain(&Outcome::Figure(1_200, 10)));
    }

    /// By hand: of four suspects two show 0 V and two 24 V: one bit. All the same: none. All apart: two bits.
    #[test]
    fn worth_in_bits() {
        let of = |values: &[i64]| {
            Outcomes::worth(&values.iter().map(|&value| figures(&[value], false)).collect::<Vec<_>>())
        };
        assert_eq!(of(&[0, 0, 24_000, 24_000]), 1.0);
        assert_eq!(of(&[0, 0, 0, 0]), 0.0);
        assert_eq!(of(&[0, 6_000, 12_000, 24_000]), 2.0);
    }
}
