//! The rows in which an attempt lies in the browser's storage: the head, then one row an entry with its chain value.
//!
//! Any cut of the rows opens to the longest stretch of entries whose chain holds.

use super::model::{Attempt, Entry, Head};
use sealin_core::canon::{Hash, hex};

/// The row of the head. It is an attempt file without entries.
pub fn head_row(head: &Head) -> String {
    Attempt::new(head.clone()).to_json()
}

/// The row of an entry, and the chain value after it.
pub fn entry_row(entry: &Entry, before: &Hash) -> (String, Hash) {
    let chain = entry.chained(before);
    (format!("{} {}", hex(&chain), entry.to_json()), chain)
}

/// What a row says that should be that of a head.
pub fn head_of(row: &str) -> Option<Head> {
    Attempt::parse(row).ok().map(|attempt| attempt.head)
}

/// All rows of an attempt, by number.
pub fn rows_of_attempt(attempt: &Attempt) -> Vec<(usize, String)> {
    let mut chain = attempt.head.chain_start();
    let entries = attempt.entries.iter().map(|entry| {
        let (row, next) = entry_row(entry, &chain);
        chain = next;
        row
    });
    std::iter::once(head_row(&attempt.head)).chain(entries).enumerate().collect()
}

/// An attempt from its rows, and how many rows could not be used. `None` when there is no head.
pub fn recover(rows: &[String]) -> Option<(Attempt, usize)> {
    let (head, entries) = rows.split_first()?;
    let mut attempt = Attempt::new(head_of(head)?);
    let mut chain = attempt.head.chain_start();
    for row in entries {
        let Some(entry) = row.split_once(' ').and_then(|(stored, json)| {
            let entry = Entry::parse(json).ok()?;
            (hex(&entry.chained(&chain)) == stored).then_some(entry)
        }) else {
            break;
        };
        chain = entry.chained(&chain);
        attempt.entries.push(entry);
    }
    let lost = entries.len() - attempt.entries.len();
    Some((attempt, lost))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model::{Act, BenchAct};

    fn attempt() -> Attempt {
        let head = Head {
            scenario: "paddle-closed-loop".into(),
            content_hash: [7; 32],
            embedded: None,
            model_revision: 1,
            seed: 9,
            author: "A learner".into(),
            started: String::new(),
        };
        let mut attempt = Attempt::new(head);
        for (at, line) in [(0, "power on"), (900, "press SF2"), (1_100, "release SF2"), (4_000, "trip FC1")] {
            let act = Act::Bench(BenchAct::parse(line).unwrap());
            attempt.entries.push(Entry { at, wall_ms: Some(17), act });
        }
        attempt.entries.push(Entry { at: 4_000, wall_ms: None, act: Act::Run { to: 9_000 } });
        attempt
    }

    fn rows(attempt: &Attempt) -> Vec<String> {
        rows_of_attempt(attempt).into_iter().map(|(_, row)| row).collect()
    }

    #[test]
    fn any_cut_of_the_rows_opens_to_a_prefix() {
        let whole = attempt();
        let rows = rows(&whole);
        assert!(recover(&[]).is_none());
        for cut in 1..=rows.len() {
            let (found, lost) = recover(&rows[..cut]).unwrap();
            assert_eq!(found.head, whole.head);
            assert_eq!(found.entries, whole.entries[..cut - 1]);
            assert_eq!(lost, 0);
        }
    }

    #[test]
    fn a_row_that_is_missing_torn_or_changed_ends_the_stretch() {
        let whole = attempt();
        let sound = rows(&whole);
        for spoil in [
            (|row: &str| row[..row.len() / 2].to_string()) as fn(&str) -> String,
            |row: &str| row.replace("SF2", "SF3"),
            |_: &str| String::new(),
        ] {
            let mut rows = sound.clone();
            rows[2] = spoil(&rows[2]);
            let (found, lost) = recover(&rows).unwrap();
            assert_eq!(found.entries, whole.entries[..1]);
            assert_eq!(lost, 4);
        }
        let mut gap = sound.clone();
        gap.remove(3);
        assert_eq!(recover(&gap).unwrap().0.entries, whole.entries[..2]);
        assert!(recover(&["torn".to_string()]).is_none());
    }
}
