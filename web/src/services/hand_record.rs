//! What a person records by hand about an attempt, in the browser's storage beside it.

use gloo::storage::{LocalStorage, Storage};
use std::collections::BTreeMap;

/// Key of an attempt's record. The seed is drawn for each attempt.
fn key(seed: u64) -> String {
    format!("sealin record {seed}")
}

/// The record, by the name of the check; empty where there is none or no storage.
pub fn read(seed: u64) -> BTreeMap<String, String> {
    LocalStorage::get(key(seed)).unwrap_or_default()
}

/// Keeps the record. A browser without storage keeps it only while the sheet is in view.
pub fn write(seed: u64, record: &BTreeMap<String, String>) {
    let _ = LocalStorage::set(key(seed), record);
}
