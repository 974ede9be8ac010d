//! The published schemas: what ships and what is made validates, what has errors of structure does not, and schemas and readers know
//! the same keys, words and bounds (`in_step.rs`).
//!
//! The validator is our own, for the few keywords that the schemas use, as those that are to be had bring fifty packages with them.

mod attempts;
mod in_step;
mod validator;

use sealin_exercise::attempt;
use sealin_exercise::scenario::{self, Scenario};
use sealin_exercise::shipped;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use validator::{KEYWORDS, Schema, keywords};

const NEW: &str = include_str!("../../../crates/cli/src/new/scenario.toml");

/// Cases of tests/cases/scenario-errors that no schema can refuse, each with the reason.
const BEYOND: [(&str, &str); 38] = [
    ("bad-formula", "a formula is a text with a grammar of its own"),
    ("bad-program", "a program is a text with a grammar of its own"),
    ("bad-section", "decimals of a number"),
    ("bad-step", "a script is a text with a grammar of its own"),
    ("bad-time", "a script is a text with a grammar of its own"),
    ("contact-of-no-number", "what the digits of a contact mean"),
    ("contacts-share-a-terminal", "one row against another"),
    ("dial-outside", "one number against another"),
    ("diode-on-an-ac-coil", "one key against another, which may come from a type"),
    ("drop-out-too-low", "a bound that depends on another key"),
    ("formula-off-the-grid", "a time in a formula against the scan period"),
    ("formula-too-large", "memory of a formula"),
    ("harm-unknown-control", "a name that must be there"),
    ("hint-twice", "one table against another"),
    ("hint-unknown-requirement", "a name that must be there"),
    ("interlock-without-partner", "a name that must be there"),
    ("learners-conductor", "a name that must be there"),
    ("no-device", "a name that must be there"),
    ("no-terminal", "a name that must be there"),
    ("pass-above-marks", "a sum"),
    ("prediction-always-kept", "what a script does"),
    ("prediction-bad-step", "a script is a text with a grammar of its own"),
    ("prediction-of-no-reference", "what ships"),
    ("prediction-same-answers", "one table against another"),
    ("prediction-takes-an-id", "one table against another"),
    ("prediction-unknown-signal", "a name that must be there"),
    ("program-channel", "a name that must be there"),
    ("program-variable", "a name that must be there"),
    ("timed-contact-without-timer", "what the digits of a contact mean"),
    ("trial-twice", "one table against another"),
    ("trip-signal-without-breaker", "what the digits of a contact mean"),
    ("twice-a-tag", "one table against another"),
    ("twice-an-id", "one row against another"),
    ("unknown-machine", "types are a table of their own"),
    ("unknown-requirement", "a name that must be there"),
    ("unknown-signal", "a name that must be there"),
    ("unknown-tag", "a name that must be there"),
    ("unknown-type", "types are a table of their own"),
];

fn scenario_schema() -> Schema {
    Schema::new(scenario::SCHEMA)
}

fn attempt_schema() -> Schema {
    Schema::new(attempt::SCHEMA)
}

fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("cases")
}

fn toml(text: &str) -> Option<Value> {
    toml::from_str(text).ok()
}

/// Everything that ships, and what `sealin new` writes.
fn scenarios() -> Vec<(String, String)> {
    let shipped = shipped::all().map(|(id, text)| (id.to_string(), text.to_string()));
    shipped.chain([("new".to_string(), NEW.replacen("\"ID\"", "\"bilge-pump\"", 1))]).collect()
}

#[test]
fn the_schemas_have_no_keyword_that_is_not_judged() {
    for schema in [scenario_schema(), attempt_schema()] {
        let all = keywords(schema.root());
        assert!(all.len() > 200);
        let strange: Vec<_> = all.iter().filter(|word| !KEYWORDS.contains(word)).collect();
        assert!(strange.is_empty(), "{strange:?}");
        assert_eq!(schema.root()["$schema"], "https://json-schema.org/draft/2020-12/schema");
    }
}

/// Cases of the validator itself, after the definitions of the keywords in JSON Schema core and validation, 2020-12.
#[test]
fn the_validator_keeps_to_the_standard() {
    let cases = [
        (json!({ "type": "integer" }), json!([1, -1, 1.0]), json!([1.5, "1", null])),
        (json!({ "type": ["string", "null"] }), json!(["", null]), json!([0, {}])),
        (json!({ "minimum": 2, "maximum": 3 }), json!([2, 3, "9"]), json!([1, 4])),
        (json!({ "minLength": 2, "maxLength": 2 }), json!(["ÄÖ", 7]), json!(["Ä", "abc"])),
        (json!({ "pattern": "^a.$" }), json!(["ab", 1]), json!(["b", "xab"])),
        (json!({ "enum": ["a", 1] }), json!(["a", 1]), json!(["b", null])),
        (
            json!({ "prefixItems": [{ "const": 1 }], "items": { "const": 2 } }),
            json!([[], [1], [1, 2, 2]]),
            json!([[2], [1, 1]]),
        ),
        (json!({ "minItems": 1, "maxItems": 1 }), json!([[1], "x"]), json!([[], [1, 2]])),
        (
            json!({ "minProperties": 1, "maxProperties": 1 }),
            json!([{ "a": 1 }, 1]),
            json!([{}, { "a": 1, "b": 2 }]),
        ),
        (
            json!({ "properties": { "a": { "const": 1 } }, "additionalProperties": false }),
            json!([{}, { "a": 1 }]),
            json!([{ "a": 2 }, { "b": 1 }]),
        ),
        (json!({ "properties": { "a": false } }), json!([{}, { "b": 1 }]), json!([{ "a": 1 }])),
        (json!({ "required": ["a"] }), json!([{ "a": null }, 1]), json!([{}])),
        (json!({ "allOf": [{ "minimum": 1 }, { "maximum": 2 }] }), json!([1, 2]), json!([0, 3])),
        (json!({ "not": { "const": 1 } }), json!([2]), json!([1])),
        (
            json!({ "if": { "minimum": 5 }, "then": { "maximum": 6 }, "else": { "minimum": 2 } }),
            json!([5, 6, 2, 4]),
            json!([7, 1]),
        ),
        (json!({ "$ref": "#/$defs/a", "$defs": { "a": { "const": 1 } } }), json!([1]), json!([2])),
    ];
    for (schema, good, bad) in cases {
        let judged = Schema::new(&schema.to_string());
        for (list, is_good) in [(good, true), (bad, false)] {
            for instance in list.as_array().unwrap() {
                assert_eq!(judged.errors(instance).is_empty(), is_good, "{schema} {instance}");
            }
        }
    }
}

#[test]
fn what_ships_and_what_is_started_validates() {
    let schema = scenario_schema();
    for (name, text) in scenarios() {
        assert!(Scenario::parse(&text).is_ok() || name == "new", "{name}");
        let errors = schema.errors(&toml(&text).unwrap());
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
}

/// An error of structure is refused by the schema, too; what is beyond it says why, and is not refused.
#[test]
fn errors_of_structure_are_refused() {
    #[derive(serde::Deserialize)]
    struct Case {
        old: String,
        new: Option<String>,
    }
    let schema = scenario_schema();
    let good = shipped::get("paddle-closed-loop").unwrap();
    let (mut accepted, mut refused) = (Vec::new(), 0);
    for entry in std::fs::read_dir(cases().join("scenario-errors")).unwrap() {
        let path = entry.unwrap().path();
        let case: Case = toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let Some(new) = case.new else { continue };
        let text = good.replacen(&case.old, &new.replace('«', ""), 1);
        assert_ne!(text, good);
        // What is no TOML is no instance.
        let Some(instance) = toml(&text) else { continue };
        if schema.errors(&instance).is_empty() {
            accepted.push(path.file_stem().unwrap().to_str().unwrap().to_string());
        } else {
            refused += 1;
        }
    }
    accepted.sort();
    let beyond: Vec<&str> = BEYOND.iter().map(|(name, _)| *name).collect();
    assert_eq!(accepted, beyond);
    assert!(refused >= 20, "{refused}");
}
