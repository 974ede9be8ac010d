//! Types: typical figures of a kind of device, in one TOML file a kind under `types/`. A device names one by
//! `type = "…"` and takes its keys unless it gives its own.

use std::sync::OnceLock;
use toml::de::{DeTable, DeValue};

/// The kinds that have types, with their files. A line here and a file under `types/` gives a kind its types.
const FILES: &[(&str, &str)] = &[
    ("contactor", include_str!("types/contactor.toml")),
    ("relay", include_str!("types/relay.toml")),
    ("timer relay", include_str!("types/timer-relay.toml")),
];

/// All files, read once; one that is no TOML has no types (a test reads each).
fn tables() -> &'static Vec<(&'static str, DeTable<'static>)> {
    static TABLES: OnceLock<Vec<(&'static str, DeTable<'static>)>> = OnceLock::new();
    TABLES.get_or_init(|| {
        let read = |text| DeTable::parse(text).map(|t| t.into_inner()).unwrap_or_default();
        FILES.iter().map(|&(kind, text)| (kind, read(text))).collect()
    })
}

/// Names of the types of a kind of device, sorted.
pub fn names(kind: &str) -> Vec<&'static str> {
    let of = tables().iter().filter(|(k, _)| *k == kind);
    let mut all: Vec<&str> = of.flat_map(|(_, t)| t.keys().map(|k| k.get_ref().as_ref())).collect();
    all.sort_unstable();
    all
}

/// The keys of a type of a kind of device.
pub(super) fn find(kind: &str, name: &str) -> Option<&'static DeTable<'static>> {
    let (_, all) = tables().iter().find(|(k, _)| *k == kind)?;
    let (_, value) = all.iter().find(|(k, _)| k.get_ref() == name)?;
    match value.get_ref() {
        DeValue::Table(table) => Some(table),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::device::device_of_type;
    use super::*;

    /// Each type makes a whole device of its kind without a further key but its time, every key of it is one that the
    /// kind knows, and it says where its figures come from.
    #[test]
    fn every_type_makes_a_device() {
        for (kind, text) in FILES {
            DeTable::parse(text).unwrap_or_else(|e| panic!("{kind}: {e}"));
            assert!(!names(kind).is_empty(), "{kind}");
            for name in names(kind) {
                let own = find(kind, name).unwrap();
                let source =
                    own.iter().find(|(k, _)| k.get_ref() == "source").and_then(|(_, v)| v.get_ref().as_str());
                assert!(source.is_some_and(|s| s.len() > 10), "{kind} {name}");
                let more = if *kind == "timer relay" { "time_ms = 500" } else { "" };
                let (problems, known) = device_of_type(kind, name, more);
                assert!(problems.is_empty(), "{kind} {name}: {problems:?}");
                for (key, _) in own.iter().filter(|(k, _)| k.get_ref() != "source") {
                    assert!(known.contains(&key.get_ref().to_string()), "{kind} {name}: {}", key.get_ref());
                }
            }
        }
    }
}
