//! The attempt schema against the reader of attempt files: which files both take, and which keys both know.

use super::{attempt_schema, cases};
use sealin_exercise::attempt::{Attempt, VERSION};
use sealin_tests::generate::{attempt, paddle};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// A key that no reader knows.
const STRANGE: &str = "zz-unknown";

/// An attempt with each key that a file of the newest version can have.
fn every_key() -> Value {
    let conductor = json!({ "id": "901", "from": "QA1:14", "to": "KF1:I4", "section": 75, "colour": "dark blue", "number": "901" });
    let part = json!({ "tag": "PF9", "kind": "lamp", "type": "24 V DC", "keys": "colour = \"white\"", "function": "a lamp", "place": "station" });
    let mounted = json!({ "part": part, "conductors": [conductor], "dial": 8_200 });
    let changes = [
        json!({ "add": conductor }),
        json!({ "remove": conductor }),
        json!({ "alter": { "before": conductor, "after": conductor } }),
        json!({ "program": { "at": 0, "removed": "a", "inserted": "b" } }),
        json!({ "dial": { "part": "FC1", "before": 8_200, "after": 9_000 } }),
        json!({ "set": { "part": "FC1", "before": "manual reset", "after": "automatic reset" } }),
        json!({ "mount": mounted }),
        json!({ "unmount": mounted }),
        json!({ "move": { "before": part, "after": part } }),
    ];
    let mut acts: Vec<Value> = changes.iter().map(|change| json!({ "design": change })).collect();
    acts.extend([
        json!({ "bench": "press SF2" }),
        json!({ "undo": { "of": 0, "change": changes[1] } }),
        json!({ "redo": { "of": 0, "change": changes[0] } }),
        json!({ "transfer": "cold" }),
        json!({ "transfer": "warm" }),
        json!({ "reading": { "from": "QA1:14", "to": "TB1:-", "function": "volts DC", "shown": null } }),
        json!({ "measure": { "with": "ohms", "at": ["QA1:14", "TB1:-"] } }),
        json!({ "measure": { "with": "clamp", "at": ["901"] } }),
        json!({ "measure": { "with": "proving unit", "at": [] } }),
        json!({ "measure": { "with": "phase sequence", "at": ["QA1:1", "QA1:3", "QA1:5"] } }),
        json!({ "record": { "check": "dead", "text": "seen" } }),
        json!({ "predict": { "prediction": "P1", "answer": 2 } }),
        json!({ "hint": "H1" }),
        json!({ "repair": "swap QA1" }),
        json!({ "diagnose": { "fault": "QA1 coil open", "evidence": [3, 4] } }),
        json!({ "look": {} }),
        json!({ "hand_in": {} }),
        json!({ "seek": { "entry": 0, "tick": 0 } }),
        json!({ "run": { "to": 9 } }),
    ]);
    let entries: Vec<Value> = acts.iter().map(|act| json!({ "at": 0, "wall": 4, "act": act })).collect();
    json!({
        "head": { "format": "sealin attempt", "version": VERSION,
            "scenario": { "id": "paddle-closed-loop", "content_hash": "0".repeat(64) },
            "embedded": "…", "model_revision": 3, "seed": u64::MAX, "author": "", "started": "" },
        "entries": entries, "chain": "ab".repeat(32), "links": "12ab".repeat(2), "claim": { "trace_hash": "0".repeat(64) }
    })
}

fn golden() -> Value {
    let path = cases().join("attempt").join(format!("version-{VERSION}.attempt.json"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn refusal(file: &Value) -> Option<String> {
    Attempt::parse(&file.to_string()).err().map(|e| e.message)
}

#[test]
fn attempts_of_the_newest_form_validate() {
    let schema = attempt_schema();
    let scenario = paddle();
    let generated = (0..10).map(|seed| serde_json::from_str(&attempt(&scenario, seed).to_json()).unwrap());
    for file in [golden(), every_key()].into_iter().chain(generated) {
        assert_eq!(refusal(&file), None);
        let errors = schema.errors(&file);
        assert!(errors.is_empty(), "{errors:#?}");
    }
    // Older forms are read, and are of another schema.
    let older = std::fs::read_to_string(cases().join("attempt/version-1.attempt.json")).unwrap();
    assert!(!schema.errors(&serde_json::from_str(&older).unwrap()).is_empty());
}

/// Pointers to every value of a file.
fn places(value: &Value, at: String, all: &mut Vec<String>) {
    match value {
        Value::Object(map) => map.iter().for_each(|(key, value)| places(value, format!("{at}/{key}"), all)),
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(n, value)| places(value, format!("{at}/{n}"), all))
        }
        _ => {}
    }
    all.push(at);
}

/// A key taken out, a strange one put in, a value of another type or out of bounds: the reader refuses it if and only if the schema does.
#[test]
fn schema_and_reader_refuse_the_same() {
    let (schema, file) = (attempt_schema(), every_key());
    let mut all = Vec::new();
    places(&file, String::new(), &mut all);
    let strange = [
        Value::Null,
        json!(true),
        json!(-1),
        json!(1.5),
        json!(1_u64 << 40),
        json!("zz"),
        json!("x".repeat(70_000)),
        json!([]),
        json!(["zz"]),
        json!({}),
    ];
    let (mut taken, mut refused) = (0, 0);
    let mut tried = |edited: &Value, what: &str| {
        let (reader, errors) = (refusal(edited), schema.errors(edited));
        assert_eq!(reader.is_some(), !errors.is_empty(), "{what}: {reader:?} {errors:?}");
        if reader.is_some() { refused += 1 } else { taken += 1 }
    };
    for at in &all {
        let Some((parent, key)) = at.rsplit_once('/') else { continue };
        let mut without = file.clone();
        if let Some(map) = without.pointer_mut(parent).unwrap().as_object_mut() {
            map.remove(key);
            tried(&without, &format!("{at} taken out"));
        }
        // What the text of an act says has a grammar of its own.
        let grammar = ["/act/bench", "/act/repair", "/diagnose/fault"].iter().any(|end| at.ends_with(end));
        for value in strange.iter().filter(|value| !grammar || !value.is_string()) {
            let mut other = file.clone();
            *other.pointer_mut(at).unwrap() = value.clone();
            tried(&other, &format!("{at} = {:.60}", value.to_string()));
        }
    }
    assert!(taken > 100 && refused > 1_000, "{taken} {refused}");
}

/// Each key, kind of act and kind of change that the reader lists when it meets a strange one stands in the schema, and no other.
#[test]
fn keys() {
    let (schema, file) = (attempt_schema(), every_key());
    let mut all = Vec::new();
    places(&file, String::new(), &mut all);
    let mut tables = 0;
    for at in all.iter().filter(|at| file.pointer(at).unwrap().is_object()) {
        let mut edited = file.clone();
        let map = edited.pointer_mut(at).unwrap().as_object_mut().unwrap();
        let published = published(&schema, &file, at);
        if published.1 {
            map.clear();
        }
        map.insert(STRANGE.to_string(), json!({}));
        let told = refusal(&edited).unwrap();
        let told = told.replace(", there are no fields", ", expected nothing");
        let (start, list) = told.split_once(", expected ").unwrap_or_else(|| panic!("{at}: {told}"));
        assert!(start.contains(STRANGE), "{at}: {told}");
        let known: BTreeSet<&str> = list.split('`').skip(1).step_by(2).collect();
        assert_eq!(known, published.0, "{at}");
        tables += 1;
    }
    assert!(tables > 60, "{tables}");
}

/// The properties of an object by the schema, and whether it has exactly one of them.
fn published<'s>(schema: &'s super::Schema, file: &Value, at: &str) -> (BTreeSet<&'s str>, bool) {
    let all = schema.applying_at(file, at);
    let closed: Vec<&&Value> = all.iter().filter(|schema| schema["additionalProperties"] == false).collect();
    let names =
        closed.iter().filter_map(|schema| schema["properties"].as_object()).flat_map(|map| map.keys());
    (names.map(String::as_str).collect(), closed.iter().any(|schema| schema["maxProperties"] == 1))
}
