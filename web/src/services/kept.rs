//! What a person does with the attempts that are kept in this browser.

use super::database::Database;
use super::{files, keeper, page};
use crate::store::kept::KeptAttempt;
use crate::store::model::Act;
use crate::store::record::{recover, rows_of_attempt};
use crate::store::{Command, Notice, Shop};
use crate::t;
use yew::Callback;

/// The list of them, in no order; empty where nothing is kept.
pub async fn list() -> Vec<KeptAttempt> {
    match Database::open().await {
        Ok(database) => database.kept().await.unwrap_or_default(),
        Err(_) => Vec::new(),
    }
}

/// Writes what the list says of an attempt, and says so once it is written.
pub fn write(entry: KeptAttempt, written: Callback<()>) {
    wasm_bindgen_futures::spawn_local(async move {
        if let Ok(database) = Database::open().await
            && database.list(&entry).await.is_ok()
        {
            written.emit(());
        }
    });
}

/// Makes another attempt with the same log, which goes its own way from there.
pub fn duplicate(entry: KeptAttempt, done: Callback<()>) {
    wasm_bindgen_futures::spawn_local(async move {
        keeper::settle().await;
        if let Ok(database) = Database::open().await
            && let Ok(rows) = database.rows(entry.place).await
            && let Some((attempt, _)) = recover(&rows)
        {
            let copy = KeptAttempt {
                name: t!("kept-copy", name = entry.name).trim().to_string(),
                changed: page::now(),
                acts: attempt.entries.iter().filter(|done| !matches!(done.act, Act::Run { .. })).count(),
                ..entry
            };
            let _ = database.write(None, &copy, true, &rows_of_attempt(&attempt)).await;
        }
        done.emit(());
    });
}

/// Saves an attempt as a file, as it lies here.
pub fn save(shop: &Shop, entry: KeptAttempt) {
    let shop = shop.clone();
    wasm_bindgen_futures::spawn_local(async move {
        let rows = match Database::open().await {
            Ok(database) => database.rows(entry.place).await.unwrap_or_default(),
            Err(_) => Vec::new(),
        };
        let saved = match recover(&rows) {
            Some((attempt, _)) => {
                files::save(&format!("{}.attempt.json", entry.job), "application/json", &attempt.to_json())
            }
            None => Err(t!("kept-unreadable").into()),
        };
        if let Err(text) = saved {
            shop.dispatch(Command::Notice(Notice { refused: true, text }));
        }
    });
}
