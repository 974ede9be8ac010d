//! The browser's database: the rows of the attempt, and one attempt that was set aside.

use super::page;
use idb::{Database as Idb, Error, Factory, ObjectStoreParams, TransactionMode};
use wasm_bindgen::JsValue;

const NAME: &str = "sealin";
const ROWS: &str = "attempt";
const ASIDE: &str = "set-aside";

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

    /// The rows of the attempt, the head first.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn rows(&self) -> Result<Vec<String>, Error> {
        let transaction = self.0.transaction(&[ROWS], TransactionMode::ReadOnly)?;
        let all = transaction.object_store(ROWS)?.get_all(None, None)?.await?;
        // In order of the keys; a gap in them shows as a break of the chain.
        Ok(all.into_iter().map(|row| row.as_string().unwrap_or_default()).collect())
    }

    /// Writes rows by number in one transaction; with `afresh` in the place of all that were there.
    ///
    /// # Errors
    /// If they cannot be written; then none of them is.
    pub async fn write(&self, afresh: bool, rows: &[(usize, String)]) -> Result<(), Error> {
        let transaction = self.0.transaction(&[ROWS], TransactionMode::ReadWrite)?;
        let store = transaction.object_store(ROWS)?;
        if afresh {
            store.clear()?.await?;
        }
        for (number, row) in rows {
            store.put(&JsValue::from_str(row), Some(&JsValue::from_f64(*number as f64)))?.await?;
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
