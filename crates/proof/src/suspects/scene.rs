//! What every bench shows in a situation, kept in a form in which the worth of a reading is quickly found.
//!
//! Outcomes of a reading that a meter does not tell apart stand together, and so does what lies between them: numbered from the least
//! figure up, so that what lies between two is a stretch of numbers.

use super::RATIO;
use super::outcome::Outcome;
use super::told::has;
use sealin_core::Measurement;
use std::rc::Rc;

/// What every bench shows in a situation.
#[derive(Clone, Debug)]
pub(super) struct Scene {
    pub offered: Rc<Vec<Measurement>>,
    /// Kinds of outcomes by reading.
    kinds: Vec<Kinds>,
    /// By bench.
    rows: Vec<Option<Row>>,
    /// Signals that are not the same on all benches, one bit each.
    varying: Vec<u64>,
}

/// Kinds of outcomes of a reading, in order: those that are figures come first.
#[derive(Clone, Debug)]
struct Kinds {
    /// Least and most of each that are figures, and the largest step of a display.
    figures: Vec<(i64, i64, i64)>,
    count: usize,
}

/// What a bench shows.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// Kind of outcome by reading.
    pub kinds: Vec<u16>,
    /// Digest of the signals.
    pub signals: u64,
    /// Values of the signals.
    pub seen: Rc<[u64]>,
    /// Those that had changed by then, one bit each.
    pub turned: Rc<[u64]>,
}

impl Scene {
    /// Of a look: the outcomes of each reading, and for each bench its row with numbers of these in the place of kinds.
    pub fn new<'a>(
        offered: Rc<Vec<Measurement>>,
        outcomes: impl Iterator<Item = &'a [Outcome]>,
        mut rows: Vec<Option<Row>>,
    ) -> Scene {
        let mut kinds = Vec::with_capacity(offered.len());
        for (reading, outcomes) in outcomes.enumerate() {
            let mut known = vec![false; outcomes.len()];
            rows.iter().flatten().for_each(|row| known[usize::from(row.kinds[reading])] = true);
            let (own, numbers) = together(outcomes, &known);
            rows.iter_mut().flatten().for_each(|row| {
                row.kinds[reading] = numbers[usize::from(row.kinds[reading])];
            });
            kinds.push(own);
        }
        let mut varying = Vec::new();
        let mut all = rows.iter().flatten().map(|row| &row.seen);
        if let Some(first) = all.next() {
            varying = vec![0; first.len()];
            for seen in all {
                let words = varying.iter_mut().zip(seen.iter().zip(first.iter()));
                words.for_each(|(varying, (a, b))| *varying |= a ^ b);
            }
        }
        Scene { offered, kinds, rows, varying }
    }

    /// Whether a signal is not the same on all benches.
    pub fn varies(&self, signal: usize) -> bool {
        has(&self.varying, signal)
    }

    /// Whether a bench was looked at.
    pub fn has(&self, bench: usize) -> bool {
        self.rows[bench].is_some()
    }

    fn row(&self, bench: usize) -> &Row {
        self.rows[bench].as_ref().expect("it was looked at")
    }

    /// Digest of the signals of a bench.
    pub fn signals(&self, bench: usize) -> u64 {
        self.row(bench).signals
    }

    /// Whether a signal of a bench had changed by then.
    pub fn turned(&self, bench: usize, signal: usize) -> bool {
        has(&self.row(bench).turned, signal)
    }

    /// Value of a signal on a bench, by its number.
    pub fn signal(&self, bench: usize, number: usize) -> bool {
        has(&self.row(bench).seen, number)
    }

    /// Kind of outcome of a reading on a bench.
    pub fn kind(&self, bench: usize, reading: usize) -> usize {
        usize::from(self.row(bench).kinds[reading])
    }

    /// How many kinds of outcomes a reading has.
    pub fn count(&self, reading: usize) -> usize {
        self.kinds[reading].count
    }

    /// Kinds that a value between two may show, as stretches from one to another: what lies between what they show; if they are not in the
    /// same state, also what is up to [`RATIO`] times as much.
    pub fn between(
        &self,
        reading: usize,
        [a, b]: [usize; 2],
        same_state: bool,
        take: &mut dyn FnMut(usize, usize),
    ) {
        let figures = &self.kinds[reading].figures;
        let (low, high) = (a.min(b), a.max(b));
        if high < figures.len() {
            take(low, high);
        } else {
            take(low, low);
            take(high, high);
        }
        if same_state || figures.is_empty() {
            return;
        }
        if high >= figures.len() {
            return take(0, figures.len() - 1);
        }
        let size = |kind: usize| figures[kind].0.saturating_abs().max(figures[kind].1.saturating_abs());
        let step = figures[low].2.max(figures[high].2);
        let most = (size(low).max(size(high)) + step).saturating_mul(RATIO.into());
        let from = figures.partition_point(|(_, most_of, _)| *most_of < -most);
        let to = figures.partition_point(|(least_of, ..)| *least_of <= most);
        if from < to {
            take(from, to - 1);
        }
    }
}

/// Puts outcomes together that a meter does not tell apart, each with what is near to any other of its kind. Gives the kinds, and that of
/// each outcome.
fn together(outcomes: &[Outcome], known: &[bool]) -> (Kinds, Vec<u16>) {
    let mut order: Vec<usize> = (0..outcomes.len()).filter(|&k| known[k]).collect();
    order.sort_by_key(|&k| outcomes[k].rank());
    let mut kinds = Kinds { figures: Vec::new(), count: 0 };
    let mut numbers = vec![0; outcomes.len()];
    let mut before: Option<Outcome> = None;
    for k in order {
        let outcome = outcomes[k];
        let near = before.is_some_and(|before| before.is_near(&outcome));
        if !near {
            kinds.count += 1;
        }
        if let Outcome::Figure(value, step, _) = outcome {
            match kinds.figures.last_mut() {
                Some(last) if near => (last.1, last.2) = (value, step.max(last.2)),
                _ => kinds.figures.push((value, value, step)),
            }
        }
        numbers[k] = u16::try_from(kinds.count - 1).unwrap_or(u16::MAX);
        before = Some(outcome);
    }
    (kinds, numbers)
}
