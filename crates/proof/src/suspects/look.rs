//! What all benches show in every place that is offered, at a moment.

use super::outcome::Outcome;
use super::scene::{self, Scene};
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
    /// Signals that have changed so far.
    turned: Rc<[u64]>,
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
        Ok(Look { offered: Rc::new(offered), spots: Rc::new(spots), books, rows: vec![None; benches] })
    }

    /// Number of a reading that is offered and does no harm.
    pub fn number(&self, what: &Measurement) -> Option<usize> {
        let harms = matches!(what, Measurement::Between { function: Function::Insulation, .. });
        self.offered.iter().position(|offered| offered == what).filter(|_| !harms)
    }

    /// Whether what is known of a bench holds as it is now, with the signals that have changed so far; it does where nothing is asked for.
    pub fn holds(&self, bench: usize, now: &Bench, turned: &[u64]) -> bool {
        let row = self.rows.get(bench).and_then(Option::as_ref);
        let is_same = |row: &Row| {
            *row.seen == now.state.signals[..] && *row.turned == *turned && row.face == now.face()
        };
        self.is_off() || row.is_some_and(is_same)
    }

    /// Nothing is asked for.
    pub fn is_off(&self) -> bool {
        self.rows.is_empty()
    }

    /// Looks at a bench whose signals have changed so far where a bit is set.
    pub fn take(&mut self, number: usize, bench: &Bench, turned: &[u64]) {
        let (face, seen) = (bench.face(), Rc::from(&bench.state.signals[..]));
        let signals = digest(&bench.state.signals);
        let before = self.rows[number].take().filter(|row| row.face == face);
        let codes = match before {
            Some(row) => row.codes,
            None => self.codes(bench),
        };
        self.rows[number] = Some(Row { face, codes, signals, seen, turned: turned.into() });
    }

    fn codes(&mut self, bench: &Bench) -> Rc<[u16]> {
        let shown: Vec<Outcome> = bench.survey(&self.spots).into_iter().map(Outcome::measured).collect();
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
    pub fn scene(&self) -> Scene {
        let row = |row: &Row| scene::Row {
            kinds: row.codes.to_vec(),
            signals: row.signals,
            seen: Rc::clone(&row.seen),
            turned: Rc::clone(&row.turned),
        };
        let rows = self.rows.iter().map(|known| known.as_ref().map(row)).collect();
        Scene::new(Rc::clone(&self.offered), self.books.iter().map(|book| &book.outcomes[..]), rows)
    }

    /// Forgets a bench, or that its design is as it was.
    pub fn forget(&mut self, bench: usize) {
        if let Some(row) = self.rows.get_mut(bench) {
            *row = None;
        }
    }

    /// What a bench shows of a reading, if what is known of it holds.
    pub fn shown(&self, bench: usize, reading: usize, now: &Bench) -> Option<Outcome> {
        let row = self.rows.get(bench)?.as_ref().filter(|row| row.face == now.face())?;
        Some(self.books[reading].outcomes[usize::from(row.codes[reading])])
    }
}
