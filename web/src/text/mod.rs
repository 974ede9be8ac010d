//! Every word of the screen, by key.
//!
//! The tables are in `en/`, one a sheet, in the simple part of the Fluent syntax: `key = text`, indented lines go on,
//! `{ $name }` is a place to fill in, `#` starts a comment. Used by `t!`; a test checks that every key that is used
//! exists and every key that exists is used.

pub mod device;
pub mod instrument;
pub mod markdown;
pub mod quantity;
pub mod time;

use std::collections::HashMap;
use std::sync::OnceLock;

const TABLES: &[&str] = &[
    include_str!("en/common.ftl"),
    include_str!("en/device.ftl"),
    include_str!("en/frame.ftl"),
    include_str!("en/brief.ftl"),
    include_str!("en/hints.ftl"),
    include_str!("en/stores.ftl"),
    include_str!("en/wiring.ftl"),
    include_str!("en/circuit.ftl"),
    include_str!("en/program.ftl"),
    include_str!("en/commissioning.ftl"),
    include_str!("en/proof.ftl"),
    include_str!("en/fault-table.ftl"),
    include_str!("en/faults.ftl"),
    include_str!("en/signoff.ftl"),
    include_str!("en/loop-strip.ftl"),
    include_str!("en/diagram.ftl"),
    include_str!("en/charts.ftl"),
    include_str!("en/documents.ftl"),
    include_str!("en/why.ftl"),
];

/// Text by key: `t!("frame-sheet")`, or with places filled in: `t!("frame-acts", count = 3)`.
///
/// Without places it is a `&'static str`, with places a `String`.
#[macro_export]
macro_rules! t {
    ($key:literal) => { $crate::text::get($key) };
    ($key:literal, $($name:ident = $value:expr),+ $(,)?) => {
        $crate::text::fill($key, &[$((stringify!($name), ($value).to_string())),+])
    };
}

/// The text of a key; the key itself if it has none, so that a gap is seen and not silent.
pub fn get(key: &'static str) -> &'static str {
    table().get(key).map_or(key, String::as_str)
}

/// The text of a key with its places filled in.
pub fn fill(key: &'static str, values: &[(&str, String)]) -> String {
    let mut rest = get(key);
    let mut filled = String::with_capacity(rest.len() + 16);
    while let Some(start) = rest.find("{ $") {
        let Some(length) = rest[start..].find(" }") else { break };
        let name = &rest[start + 3..start + length];
        filled.push_str(&rest[..start]);
        if let Some((_, value)) = values.iter().find(|(given, _)| *given == name) {
            filled.push_str(value);
        }
        rest = &rest[start + length + 2..];
    }
    filled.push_str(rest);
    filled
}

fn table() -> &'static HashMap<&'static str, String> {
    static TABLE: OnceLock<HashMap<&'static str, String>> = OnceLock::new();
    TABLE.get_or_init(|| TABLES.iter().flat_map(|table| read(table)).collect())
}

fn read(table: &'static str) -> Vec<(&'static str, String)> {
    let mut entries: Vec<(&'static str, String)> = Vec::new();
    for line in table.lines() {
        if line.starts_with(char::is_whitespace) {
            if let Some((_, text)) = entries.last_mut() {
                if !text.is_empty() {
                    text.push(' ');
                }
                text.push_str(line.trim());
            }
        } else if let Some((key, text)) = line.split_once('=').filter(|_| !line.starts_with('#')) {
            entries.push((key.trim(), text.trim().to_string()));
        }
    }
    entries
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::path::Path;

    fn sources(dir: &Path, into: &mut Vec<String>) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, into);
            } else if path.extension().is_some_and(|extension| extension == "rs")
                && !path.ends_with("text/mod.rs")
            {
                into.push(std::fs::read_to_string(&path).unwrap());
            }
        }
    }

    /// Keys that the sources use, with the names of the places they fill in.
    fn used() -> BTreeSet<String> {
        let mut texts = Vec::new();
        sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut texts);
        let mut keys = BTreeSet::new();
        for text in texts {
            for (at, _) in text.match_indices("t!(") {
                if text[..at].ends_with(|before: char| before.is_alphanumeric() || before == '_') {
                    continue;
                }
                let rest = text[at + 3..].trim_start();
                if let Some(rest) = rest.strip_prefix('"') {
                    keys.insert(rest[..rest.find('"').unwrap()].to_string());
                }
            }
        }
        keys
    }

    #[test]
    fn every_key_that_is_used_exists_and_every_key_that_exists_is_used() {
        let known: BTreeSet<String> = table().keys().map(|key| key.to_string()).collect();
        let used = used();
        assert!(!used.is_empty());
        let missing: Vec<_> = used.difference(&known).collect();
        assert!(missing.is_empty(), "no text for {missing:?}");
        let idle: Vec<_> = known.difference(&used).collect();
        assert!(idle.is_empty(), "nothing uses {idle:?}");
    }

    #[test]
    fn no_key_stands_twice_and_none_is_empty() {
        let mut seen = BTreeSet::new();
        for (key, text) in TABLES.iter().flat_map(|table| read(table)) {
            assert!(seen.insert(key), "{key} stands twice");
            assert!(!text.is_empty(), "{key} is empty");
        }
    }

    #[test]
    fn places_are_filled_in_and_lines_go_on() {
        let entries = read("# a comment\na = one { $n }\n    and { $m }\n\nb = two\n");
        assert_eq!(entries, vec![("a", "one { $n } and { $m }".to_string()), ("b", "two".to_string())]);
        assert_eq!(fill("no-such { $n } key", &[("n", "3".into())]), "no-such 3 key");
    }
}
