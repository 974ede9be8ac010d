//! The attempts that lie in this browser: what the list of them says of each.

use super::model::Session;
use serde::{Deserialize, Serialize};

/// Most characters of a name.
pub const MOST_NAME: usize = 60;

/// What is known of an attempt without its log.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(default)]
pub struct KeptAttempt {
    /// Where it lies; never used again.
    pub place: u32,
    /// Id of its job.
    pub job: String,
    /// The name that a person gave it; empty: none.
    pub name: String,
    /// When it was begun, by the host's clock, ISO 8601.
    pub started: String,
    /// When it was written last, by the host's clock, ISO 8601.
    pub changed: String,
    /// Things done.
    pub acts: usize,
    /// Bench time, ms.
    pub bench_ms: u64,
    /// It was deleted, and goes for good when the page is opened next.
    pub deleted: bool,
}

impl KeptAttempt {
    /// What a session says of itself; place and name are not its own.
    pub fn of(session: &Session, changed: String) -> KeptAttempt {
        KeptAttempt {
            job: session.scenario().id.clone(),
            started: session.head().started.clone(),
            changed,
            acts: session.acts(),
            bench_ms: session.tick(),
            ..KeptAttempt::default()
        }
    }

    /// The same with another name, cut to what a name may have.
    pub fn named(&self, name: &str) -> KeptAttempt {
        KeptAttempt { name: name.trim().chars().take(MOST_NAME).collect(), ..self.clone() }
    }
}

/// Those that are there, the one that was written last first.
pub fn in_order(mut all: Vec<KeptAttempt>) -> Vec<KeptAttempt> {
    all.retain(|kept| !kept.deleted);
    all.sort_by(|a, b| b.changed.cmp(&a.changed).then(b.place.cmp(&a.place)));
    all
}

/// The attempt on a job that was written last.
pub fn newest<'k>(all: &'k [KeptAttempt], job: &str) -> Option<&'k KeptAttempt> {
    let of_job = all.iter().filter(|kept| kept.job == job && !kept.deleted);
    of_job.max_by(|a, b| a.changed.cmp(&b.changed).then(a.place.cmp(&b.place)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept(place: u32, job: &str, changed: &str) -> KeptAttempt {
        KeptAttempt { place, job: job.into(), changed: changed.into(), ..KeptAttempt::default() }
    }

    #[test]
    fn the_newest_comes_first_and_what_was_deleted_not_at_all() {
        let gone = KeptAttempt { deleted: true, ..kept(4, "a", "2026-11-09") };
        let all =
            vec![kept(1, "a", "2026-11-02"), kept(2, "b", "2026-11-05"), kept(3, "a", "2026-11-02"), gone];
        assert_eq!(newest(&all, "a").unwrap().place, 3);
        assert_eq!(newest(&all, "c"), None);
        let places: Vec<u32> = in_order(all).iter().map(|kept| kept.place).collect();
        assert_eq!(places, [2, 3, 1]);
    }

    #[test]
    fn a_name_is_trimmed_and_cut() {
        assert_eq!(kept(1, "a", "").named("  second go ").name, "second go");
        assert_eq!(kept(1, "a", "").named(&"ö".repeat(100)).name.chars().count(), MOST_NAME);
    }

    // What an earlier edition wrote without a key that came later can still be read.
    #[test]
    fn a_missing_key_is_no_reason_to_lose_an_attempt() {
        let read: KeptAttempt = serde_json::from_str(r#"{"place":3,"job":"a"}"#).unwrap();
        assert_eq!(read, kept(3, "a", ""));
    }
}
