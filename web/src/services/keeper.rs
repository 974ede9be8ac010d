//! Keeps the attempt in the browser's database: every act at once, the time that passes each second.

use super::database::Database;
use super::page;
use crate::store::kept::KeptAttempt;
use crate::store::record::{entry_row, head_row};
use crate::store::{Command, Saved, Shop};
use gloo::events::EventListener;
use gloo::timers::callback::Interval;
use gloo::timers::future::TimeoutFuture;
use sealin_core::canon::Hash;
use std::cell::{Cell, RefCell};
use std::rc::Rc;

/// How often the open end of the log is written, ms.
const EVERY_MS: u32 = 1_000;

/// What is in the database.
#[derive(Clone, Copy, PartialEq, Default)]
struct Kept {
    /// Number of the work.
    work: Option<u64>,
    /// Where it lies.
    place: Option<u32>,
    /// Entries whose rows are final.
    entries: usize,
    /// Chain value after them.
    chain: Hash,
    /// Tick up to which the open end was written.
    tick: u64,
    /// The head was written at this revision.
    revision: u64,
}

/// What is to be written.
struct News {
    /// What the list is to say.
    entry: KeptAttempt,
    /// In the place of all there is.
    afresh: bool,
    /// Rows by number.
    rows: Vec<(usize, String)>,
    /// What is then in the database.
    next: Kept,
}

struct Keeper {
    shop: Shop,
    database: Database,
    kept: Cell<Kept>,
    busy: Cell<bool>,
}

/// Keeps writing until the page is closed.
pub fn start(shop: &Shop, database: Database) {
    let keeper =
        Rc::new(Keeper { shop: shop.clone(), database, kept: Cell::default(), busy: Cell::new(false) });
    let each = {
        let keeper = keeper.clone();
        Interval::new(EVERY_MS, move || keeper.clone().write(true))
    };
    each.forget();
    // The page may be thrown away while it is hidden: the end of the log is written before.
    if let Some(document) = page::document() {
        let keeper = keeper.clone();
        EventListener::new(&document, "visibilitychange", move |_| {
            if page::hidden() {
                keeper.clone().write(true);
            }
        })
        .forget();
    }
    let subscription = {
        let keeper = keeper.clone();
        shop.subscribe(move || keeper.clone().write(false))
    };
    // It lasts as long as the page.
    KEEPING.with(|keeping| keeping.replace(Some((keeper, subscription))));
}

/// Writes everything, the open end too, and waits until it is written; not for longer than a second.
pub async fn settle() {
    let Some(keeper) = KEEPING.with(|keeping| keeping.borrow().as_ref().map(|(keeper, _)| keeper.clone()))
    else {
        return;
    };
    for _ in 0..50 {
        keeper.clone().write(true);
        if !keeper.busy.get() {
            return;
        }
        TimeoutFuture::new(20).await;
    }
}

thread_local! {
    static KEEPING: RefCell<Option<(Rc<Keeper>, crate::store::shop::Subscription)>> = const { RefCell::new(None) };
}

impl Keeper {
    /// Writes what is new; the open end of the log only with `tail`.
    fn write(self: Rc<Self>, tail: bool) {
        if self.busy.get() {
            return;
        }
        let Some(News { entry, afresh, rows, next }) = self.news(tail) else { return };
        self.busy.set(true);
        wasm_bindgen_futures::spawn_local(async move {
            let written = self.database.write(next.place, &entry, afresh, &rows).await;
            self.busy.set(false);
            let saved = match written {
                Ok(place) => {
                    self.kept.set(Kept { place: Some(place), ..next });
                    if next.place.is_none() {
                        let work = next.work.unwrap_or_default();
                        self.shop.dispatch(Command::Placed { work, place });
                    }
                    Saved::Kept
                }
                Err(_) => Saved::Impossible,
            };
            if self.shop.with(|workshop| workshop.saved()) != saved {
                self.shop.dispatch(Command::Saved(saved));
            }
            if saved == Saved::Kept {
                // Acts may have come while the last ones were being written.
                self.write(false);
            }
        });
    }

    /// What is to be written now, if anything.
    fn news(&self, tail: bool) -> Option<News> {
        let kept = self.kept.get();
        self.shop.with(|workshop| {
            let (session, number) = workshop.own();
            let afresh = kept.work != Some(number);
            // A job that was only looked at leaves nothing behind.
            let blank = session.acts() == 0 && session.head().author.is_empty();
            if afresh && blank && workshop.place().is_none() {
                return None;
            }
            let acts = session.acts();
            let new_entries = afresh || acts > kept.entries;
            let new_head = workshop.revision() != kept.revision;
            if !(new_entries || new_head || (tail && session.tick() != kept.tick)) {
                return None;
            }
            let mut next = Kept { work: Some(number), tick: session.tick(), ..kept };
            if afresh {
                next.place = workshop.place();
                next.entries = 0;
                next.chain = session.head().chain_start();
            }
            next.revision = workshop.revision();
            let mut rows = Vec::new();
            if afresh || new_head {
                rows.push((0, head_row(session.head())));
            }
            for entry in session.entries_from(next.entries) {
                let (row, chain) = entry_row(entry, &next.chain);
                next.entries += 1;
                next.chain = chain;
                rows.push((next.entries, row));
            }
            // The open end stands one row further on, until another entry takes its place.
            if let Some(end) = session.attempt().entries.get(next.entries) {
                rows.push((next.entries + 1, entry_row(end, &next.chain).0));
            }
            Some(News { entry: KeptAttempt::of(session, page::now()), afresh, rows, next })
        })
    }
}
