//! The browser's database: the rows of each attempt that is kept, and the list of these attempts.

use super::page;
use crate::store::kept::KeptAttempt;
use crate::store::model::Attempt;
use crate::store::record::{head_of, rows_of_attempt};
use idb::{
    Database as Idb, Error, Factory, KeyRange, ObjectStoreParams, Query, Transaction, TransactionMode,
};
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::JsValue;

const NAME: &str = "sealin";
const ROWS: &str = "attempt";
const LIST: &str = "kept";
/// Version 1 held one attempt that was set aside here, as a file.
const ASIDE: &str = "set-aside";

/// Version 1 had one attempt a job and no list; version 2 has the list.
const VERSION: u32 = 2;

/// Numbers of rows that an attempt may have, more than there are entries in a log.
const ROWS_OF_A_PLACE: usize = 1_000_000;

/// Places that version 1 could have filled: one for each job that there was.
const PLACES_OF_VERSION_1: u32 = 3;

/// Key of an attempt in the list.
fn key(place: u32) -> JsValue {
    JsValue::from_f64(place.into())
}

fn row_key(place: u32, row: usize) -> JsValue {
    JsValue::from_f64((place as usize * ROWS_OF_A_PLACE + row) as f64)
}

/// All rows of an attempt.
fn rows_of(place: u32) -> Result<Query, Error> {
    Ok(KeyRange::bound(&row_key(place, 0), &row_key(place + 1, 0), None, Some(true))?.into())
}

/// The database, open.
pub struct Database(Idb);

impl Database {
    /// Opens the database, and makes it where there is none; one of version 1 gets its list.
    ///
    /// # Errors
    /// If the browser has none, or refuses.
    pub async fn open() -> Result<Database, Error> {
        if page::window().is_none() {
            return Err(Error::IndexedDbNotFound(JsValue::NULL));
        }
        let mut request = Factory::new()?.open(NAME, Some(VERSION))?;
        let old = Rc::new(Cell::new(false));
        let was_there = old.clone();
        request.on_upgrade_needed(move |event| {
            use idb::event::DatabaseEvent;
            let Ok(database) = event.database() else { return };
            let there = database.store_names();
            was_there.set(there.iter().any(|store| store == ROWS));
            for store in [ROWS, LIST] {
                if !there.iter().any(|name| name == store) {
                    let _ = database.create_object_store(store, ObjectStoreParams::new());
                }
            }
        });
        let database = Database(request.await?);
        if old.get() {
            database.list_version_1().await?;
        }
        Ok(database)
    }

    /// Lists what lies in a database of version 1.
    async fn list_version_1(&self) -> Result<(), Error> {
        for place in 0..PLACES_OF_VERSION_1 {
            if let Some(head) = self.rows(place).await?.first().and_then(|row| head_of(row)) {
                let (job, started) = (head.scenario, head.started);
                let changed = started.clone();
                self.list(&KeptAttempt { place, job, started, changed, ..KeptAttempt::default() }).await?;
            }
        }
        if self.0.store_names().iter().any(|store| store == ASIDE) {
            let transaction = self.0.transaction(&[ASIDE], TransactionMode::ReadOnly)?;
            let aside = transaction.object_store(ASIDE)?.get_all(None, None)?.await?;
            let aside = aside.into_iter().filter_map(|file| Attempt::parse(&file.as_string()?).ok());
            for attempt in aside.collect::<Vec<_>>() {
                let (job, started) = (attempt.head.scenario.clone(), attempt.head.started.clone());
                let changed = started.clone();
                let entry = KeptAttempt { job, started, changed, ..KeptAttempt::default() };
                self.write(None, &entry, true, &rows_of_attempt(&attempt)).await?;
            }
        }
        Ok(())
    }

    /// The list of what is kept, in no order.
    ///
    /// # Errors
    /// If it cannot be read.
    pub async fn kept(&self) -> Result<Vec<KeptAttempt>, Error> {
        let transaction = self.0.transaction(&[LIST], TransactionMode::ReadOnly)?;
        let all = transaction.object_store(LIST)?.get_all(None, None)?.await?;
        Ok(all.into_iter().filter_map(read_entry).collect())
    }

    /// Writes what the list says of an attempt, and nothing of its rows.
    ///
    /// # Errors
    /// If it cannot be written.
    pub async fn list(&self, entry: &KeptAttempt) -> Result<(), Error> {
        let transaction = self.0.transaction(&[LIST], TransactionMode::ReadWrite)?;
        put_entry(&transaction, entry).await?;
        transaction.commit()?.await?;
        Ok(())
    }

    /// The rows of an attempt, the head first.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn rows(&self, place: u32) -> Result<Vec<String>, Error> {
        let transaction = self.0.transaction(&[ROWS], TransactionMode::ReadOnly)?;
        let all = transaction.object_store(ROWS)?.get_all(Some(rows_of(place)?), None)?.await?;
        // In order of the keys; a gap in them shows as a break of the chain.
        Ok(all.into_iter().map(|row| row.as_string().unwrap_or_default()).collect())
    }

    /// Writes rows by number, and the attempt's line in the list, in one transaction; with `afresh` in the place of all that was
    /// there. Without a place it gets one that was never used. The name that the list has stays. Gives the place.
    ///
    /// # Errors
    /// If they cannot be written; then none of them is.
    pub async fn write(
        &self,
        place: Option<u32>,
        entry: &KeptAttempt,
        afresh: bool,
        rows: &[(usize, String)],
    ) -> Result<u32, Error> {
        let transaction = self.0.transaction(&[ROWS, LIST], TransactionMode::ReadWrite)?;
        let list = transaction.object_store(LIST)?;
        let (place, name) = match place {
            Some(place) => {
                let before = list.get(key(place))?.await?.and_then(read_entry);
                (place, before.map_or_else(|| entry.name.clone(), |before| before.name))
            }
            None => {
                let listed = list.get_all(None, None)?.await?.into_iter().filter_map(read_entry);
                let next = listed.map(|entry| entry.place + 1).max().unwrap_or(0);
                (next.max(PLACES_OF_VERSION_1), entry.name.clone())
            }
        };
        put_entry(&transaction, &KeptAttempt { place, name, ..entry.clone() }).await?;
        let store = transaction.object_store(ROWS)?;
        if afresh {
            store.delete(rows_of(place)?)?.await?;
        }
        for (number, row) in rows {
            store.put(&JsValue::from_str(row), Some(&row_key(place, *number)))?.await?;
        }
        transaction.commit()?.await?;
        Ok(place)
    }

    /// Removes for good what was deleted of a list. Its line in the list stays, without a job, as places are not used again.
    ///
    /// # Errors
    /// If it cannot be removed.
    pub async fn remove_deleted(&self, listed: &[KeptAttempt]) -> Result<(), Error> {
        for entry in listed.iter().filter(|entry| entry.deleted && !entry.job.is_empty()) {
            let transaction = self.0.transaction(&[ROWS, LIST], TransactionMode::ReadWrite)?;
            transaction.object_store(ROWS)?.delete(rows_of(entry.place)?)?.await?;
            let gone = KeptAttempt { place: entry.place, deleted: true, ..KeptAttempt::default() };
            put_entry(&transaction, &gone).await?;
            transaction.commit()?.await?;
        }
        Ok(())
    }
}

fn read_entry(entry: JsValue) -> Option<KeptAttempt> {
    serde_json::from_str(&entry.as_string()?).ok()
}

async fn put_entry(transaction: &Transaction, entry: &KeptAttempt) -> Result<(), Error> {
    let text = serde_json::to_string(entry).unwrap_or_default();
    transaction.object_store(LIST)?.put(&JsValue::from_str(&text), Some(&key(entry.place)))?.await?;
    Ok(())
}
