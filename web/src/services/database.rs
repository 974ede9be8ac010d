//! The browser's database: the rows of each job's attempt, and one attempt that was set aside.

use super::page;
use idb::{Database as Idb, Error, Factory, KeyRange, ObjectStoreParams, Query, TransactionMode};
use sealin_exercise::shipped;
use wasm_bindgen::JsValue;

const NAME: &str = "sealin";
const ROWS: &str = "attempt";
const ASIDE: &str = "set-aside";

/// Numbers of rows that a job may have, more than there are entries in a log. The first job that ships has the first ones,
/// and so on.
const ROWS_OF_A_JOB: usize = 1_000_000;

/// The number of the first row of a job. One that does not ship has those of the first.
fn first_row(job: &str) -> usize {
    shipped::all().position(|(id, _)| id == job).unwrap_or(0) * ROWS_OF_A_JOB
}

fn key(row: usize) -> JsValue {
    JsValue::from_f64(row as f64)
}

/// All rows of a job.
fn rows_of(job: &str) -> Result<Query, Error> {
    let first = first_row(job);
    let range = KeyRange::bound(&key(first), &key(first + ROWS_OF_A_JOB), None, Some(true))?;
    Ok(range.into())
}

/// The database, open.
pub struct Database(Idb);

impl Database {
    /// Opens the database, and makes it where there is none.
    ///
    /// # Errors
    /// If the browser has none, or refuses.
    pub async fn open() -> Result<Database, Error> {
        if page::window().is_none() {
            return Err(Error::IndexedDbNotFound(JsValue::NULL));
        }
        let mut request = Factory::new()?.open(NAME, Some(1))?;
        request.on_upgrade_needed(|event| {
            use idb::event::DatabaseEvent;
            if let Ok(database) = event.database() {
                for store in [ROWS, ASIDE] {
                    let _ = database.create_object_store(store, ObjectStoreParams::new());
                }
            }
        });
        request.await.map(Database)
    }

    /// The rows of a job's attempt, the head first.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn rows(&self, job: &str) -> Result<Vec<String>, Error> {
        let transaction = self.0.transaction(&[ROWS], TransactionMode::ReadOnly)?;
        let all = transaction.object_store(ROWS)?.get_all(Some(rows_of(job)?), None)?.await?;
        // In order of the keys; a gap in them shows as a break of the chain.
        Ok(all.into_iter().map(|row| row.as_string().unwrap_or_default()).collect())
    }

    /// Writes rows of a job by number in one transaction; with `afresh` in the place of all that it had.
    ///
    /// # Errors
    /// If they cannot be written; then none of them is.
    pub async fn write(&self, job: &str, afresh: bool, rows: &[(usize, String)]) -> Result<(), Error> {
        let transaction = self.0.transaction(&[ROWS], TransactionMode::ReadWrite)?;
        let store = transaction.object_store(ROWS)?;
        if afresh {
            store.delete(rows_of(job)?)?.await?;
        }
        for (number, row) in rows {
            store.put(&JsValue::from_str(row), Some(&key(first_row(job) + number)))?.await?;
        }
        transaction.commit()?.await?;
        Ok(())
    }

    /// The attempt file that was set aside, if there is one.
    ///
    /// # Errors
    /// If it cannot be read.
    pub async fn aside(&self) -> Result<Option<String>, Error> {
        let transaction = self.0.transaction(&[ASIDE], TransactionMode::ReadOnly)?;
        let all = transaction.object_store(ASIDE)?.get_all(None, None)?.await?;
        Ok(all.into_iter().find_map(|file| file.as_string()))
    }

    /// Sets an attempt file aside, in the place of an earlier one.
    ///
    /// # Errors
    /// If it cannot be written.
    pub async fn set_aside(&self, file: &str) -> Result<(), Error> {
        let transaction = self.0.transaction(&[ASIDE], TransactionMode::ReadWrite)?;
        transaction
            .object_store(ASIDE)?
            .put(&JsValue::from_str(file), Some(&JsValue::from_f64(0.0)))?
            .await?;
        transaction.commit()?.await?;
        Ok(())
    }
}
