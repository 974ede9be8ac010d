//! What all benches show in every place that is offered, at a moment.

use super::outcome::Outcome;
use super::told::digest;
use rustc_hash::FxHashMap;
use sealin_core::instruments::{Face, Function, Spot};
use sealin_core::{Bench, Design, Measurement};
use std::rc::Rc;

/// The readings that are offered, and what each bench shows of them.
#[derive(Clone, Debug, Default)]
pub(super) struct Look {
    pub offered: Rc<Vec<Measurement>>,
    spots: Rc<Vec<Spot>>,
    /// What is shown, by reading.
    books: Vec<Book>,
    /// By bench.
    rows: Vec<Option<Row>>,
    /// Signals that are not the same on all benches, one bit each; of a look that is closed.
    varying: Vec<u64>,
}

/// What is shown in one place, each once.
#[derive(Clone, Debug, Default)]
struct Book {
    outcomes: Vec<Outcome>,
    numbers: FxHashMap<Outcome, u16>,
}

/// What a bench shows.
#[derive(Clone, Debug)]
struct Row {
    face: Face,
    /// Numbers in the books.
    codes: Rc<[u16]>,
    /// Digest of the signals.
    signals: u64,
    /// Values of the signals.
    seen: Rc<[u64]>,
}

impl Book {
    /// None where there are more than numbers.
    fn number(&mut self, outcome: Outcome) -> Option<u16> {
        if let Some(&known) = self.numbers.get(&outcome) {
            return Some(known);
        }
        let number = u16::try_from(self.outcomes.len()).ok()?;
        self.outcomes.push(outcome);
        self.numbers.insert(outcome, number);
        Some(number)
    }
}

impl Look {
    /// Nothing looked at yet, of these readings on so many benches.
    ///
    /// # Errors
    /// A terminal or conductor that is not there.
    pub fn new(offered: Vec<Measurement>, design: &Design, benches: usize) -> Result<Look, String> {
        let spots = offered.iter().map(|what| design.spot(what)).collect::<Result<Vec<_>, _>>()?;
        let books = vec![Book::default(); spots.len()];
        Ok(Look {
            offered: Rc::new(offered),
            spots: Rc::new(spots),
            books,
            rows: vec![None; benches],
            varying: Vec::new(),
        })
    }

    /// Number of a reading that is offered and does no harm.
    pub fn number(&self, what: &Measurement) -> Option<usize> {
        let harms = matches!(what, Measurement::Between { function: Function::Insulation, .. });
        self.offered.iter().position(|offered| offered == what).filter(|_| !harms)
    }

    /// Whether what is known of a bench holds as it is now.
    pub fn holds(&self, bench: usize, now: &Bench) -> bool {
        let row = self.rows.get(bench).and_then(Option::as_ref);
        self.offered.is_empty()
            || row.is_some_and(|row| *row.seen == now.state.signals[..] && row.face == now.face())
    }

    /// Looks at a bench.
    pub fn take(&mut self, number: usize, bench: &Bench) {
        let (face, seen) = (bench.face(), Rc::from(&bench.state.signals[..]));
        let signals = digest(&bench.state.signals);
        let before = self.rows[number].take().filter(|row| row.face == face);
        let codes = match before {
            Some(row) => row.codes,
            None => self.codes(bench),
        };
        self.rows[number] = Some(Row { face, codes, signals, seen });
    }

    fn codes(&mut self, bench: &Bench) -> Rc<[u16]> {
        let shown: Vec<Outcome> = bench.survey(&self.spots).into_iter().map(Outcome::shown).collect();
        loop {
            let found: Option<Vec<u16>> =
                self.books.iter_mut().zip(&shown).map(|(book, &outcome)| book.number(outcome)).collect();
            match found {
                Some(codes) => return codes.into(),
                // A book is full of what was shown long ago: all is looked at anew.
                None => {
                    self.books.iter_mut().for_each(|book| *book = Book::default());
                    self.rows.iter_mut().for_each(|row| *row = None);
                }
            }
        }
    }

    /// What was seen, to be kept while the benches go on.
    pub fn closed(&self) -> Look {
        let mut closed = self.clone();
        closed.books.iter_mut().for_each(|book| book.numbers = FxHashMap::default());
        let mut rows = self.rows.iter().flatten().map(|row| &row.seen);
        if let Some(first) = rows.next() {
            closed.varying = vec![0; first.len()];
            for row in rows {
                let words = closed.varying.iter_mut().zip(row.iter().zip(first.iter()));
                words.for_each(|(varying, (a, b))| *varying |= a ^ b);
            }
        }
        closed
    }

    /// Whether a signal is not the same on all benches, of a look that is closed.
    pub fn varies(&self, signal: usize) -> bool {
        self.varying.get(signal / 64).is_some_and(|word| word >> (signal % 64) & 1 != 0)
    }

    /// Forgets a bench, or that its design is as it was.
    pub fn forget(&mut self, bench: usize) {
        if let Some(row) = self.rows.get_mut(bench) {
            *row = None;
        }
    }

    /// Number in the book of what a bench shows of a reading; it must have been looked at.
    pub fn code(&self, bench: usize, reading: usize) -> u16 {
        self.rows[bench].as_ref().expect("it was looked at").codes[reading]
    }

    /// What a number in the book of a reading stands for.
    pub fn outcome(&self, reading: usize, code: u16) -> Outcome {
        self.books[reading].outcomes[usize::from(code)]
    }

    /// What a bench shows of a reading, if what is known of it holds.
    pub fn shown(&self, bench: usize, reading: usize, now: &Bench) -> Option<Outcome> {
        let row = self.rows.get(bench)?.as_ref().filter(|row| row.face == now.face())?;
        Some(self.outcome(reading, row.codes[reading]))
    }

    /// Digest of the signals of a bench.
    pub fn signals(&self, bench: usize) -> u64 {
        self.rows[bench].as_ref().expect("it was looked at").signals
    }

    /// Value of a signal on a bench, by its number.
    pub fn signal(&self, bench: usize, number: usize) -> bool {
        let row = self.rows[bench].as_ref().expect("it was looked at");
        row.seen.get(number / 64).is_some_and(|word| word >> (number % 64) & 1 != 0)
    }
}
