//! The scenario schema against the reader, which is asked itself: a key that it does not know makes it list those it knows, and a value out of
//! bounds makes it tell the bounds.

use super::validator::Schema;
use super::{scenario_schema, scenarios};
use sealin_exercise::scenario::{Scenario, types};
use sealin_exercise::stores::FAMILIES;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// A key that no reader knows.
const STRANGE: &str = "zz-unknown";

/// A table of a scenario that is read without problems.
struct Example {
    scenario: Value,
    /// Where it stands, as a JSON pointer.
    at: String,
}

/// Tables that are read alike, by name: the path to them without numbers, and a device's kind.
type Groups = BTreeMap<String, Vec<Example>>;

/// What a reader says of a scenario.
fn told(scenario: &Value) -> Vec<String> {
    let text = toml::to_string(scenario).expect("a scenario is TOML");
    Scenario::parse(&text).err().unwrap_or_default().into_iter().map(|problem| problem.message).collect()
}

/// The same scenario with a value put into a table of it.
fn with(example: &Example, key: &str, value: Value) -> Vec<String> {
    let mut scenario = example.scenario.clone();
    scenario.pointer_mut(&example.at).expect("it stands there")[key] = value;
    told(&scenario)
}

/// A job with open stores with one device more, of each kind and type, and a few of no type: what hangs on a key must be asked for somewhere.
fn devices() -> Vec<Value> {
    let mut all = Vec::new();
    let mut device = |kind: &str, keys: Value| {
        let mut table = json!({ "tag": "ZZ9", "kind": kind, "function": "a device more", "place": "panel" });
        table.as_object_mut().unwrap().extend(keys.as_object().unwrap().clone());
        all.push(table);
    };
    let motor = "4 kW 400 V 50 Hz";
    for family in FAMILIES {
        for model in family.models() {
            let mut keys = match family.kind {
                "timer relay" => json!({ "time_ms": 500 }),
                "lamp" => json!({ "colour": "white" }),
                "position switch" => json!({ "motor": "MA8", "from_um": 0, "to_um": 1 }),
                "brake" => json!({ "motor": "MA8" }),
                _ => json!({}),
            };
            keys["type"] = json!(model);
            device(family.kind, keys);
        }
    }
    for machine in types::names("machine") {
        device("motor", json!({ "type": motor, "machine": machine }));
    }
    device(
        "motor",
        json!({ "type": motor, "drum_mm": 300, "gear_permille": 20, "mass_kg": 10, "least_um": 0 }),
    );
    device("motor", json!({ "model": motor, "rated_ma": 8000 }));
    device("button", json!({ "contact": "make", "colour": "black" }));
    device("strip", json!({ "terminals": ["1", "2"], "bridges": [["1", "2"]] }));
    let coil = json!({ "coil_mv": 24_000, "sealed_mva": 3_000, "coil_current": "DC" });
    device("relay", coil.clone());
    device("contactor", coil);
    device("selector", json!({ "positions": 3, "contacts": [["13-14", "3"]], "colour": "black" }));
    all
}

fn examples() -> Vec<Value> {
    let shipped: Vec<Value> = scenarios().iter().map(|(_, text)| toml::from_str(text).unwrap()).collect();
    let bench = shipped.iter().find(|s| s["stores"] == true).expect("a job with open stores ships");
    let hoist = json!({ "tag": "MA8", "kind": "motor", "function": "what others name", "place": "field",
        "type": "4 kW 400 V 50 Hz", "machine": "hoist, 500 kg on 6 m" });
    let with_device = |device: Value| {
        let mut scenario = bench.clone();
        scenario["device"].as_array_mut().unwrap().extend([hoist.clone(), device]);
        scenario
    };
    let more: Vec<Value> = devices().into_iter().map(with_device).collect();
    // What ships hides its faults; here they stand openly.
    let mut open = shipped.iter().find(|s| s["load"].is_array()).expect("a job with a load ships").clone();
    open["fault_finding"].as_object_mut().unwrap().remove("sealed");
    open["fault_finding"]["hidden"] = json!([{ "fault": "FC1 dial at 9000", "difficulty": 1 }]);
    let all: Vec<Value> = shipped.into_iter().chain(more).chain([open]).collect();
    // One that speaks of a reference that does not ship under its id is read all the same.
    let unsound = |s: &Value| told(s).into_iter().find(|message| !message.contains("no reference ships"));
    let of = |s: &Value| Some((unsound(s)?, s["device"].as_array()?.last()?.to_string()));
    let wrong: Vec<_> = all.iter().filter_map(of).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    all
}

/// All tables of all examples, one for each set of keys.
fn groups() -> Groups {
    let (mut groups, mut seen) = (Groups::new(), BTreeSet::new());
    for scenario in examples() {
        let mut found = Vec::new();
        tables(&scenario, "", "", &mut found);
        for (group, at, keys) in found {
            if seen.insert((group.clone(), keys)) {
                groups.entry(group).or_default().push(Example { scenario: scenario.clone(), at });
            }
        }
    }
    groups
}

fn tables(value: &Value, group: &str, at: &str, found: &mut Vec<(String, String, Vec<String>)>) {
    match value {
        Value::Object(map) => {
            let kind = map.get("kind").filter(|_| group == "/device").and_then(Value::as_str);
            let group = kind.map_or(group.to_string(), |kind| format!("{group} {kind}"));
            let mut keys: Vec<String> = map.keys().cloned().collect();
            // What a type gives hangs on the type.
            keys.extend(
                ["type", "machine", "coil_current", "protection"]
                    .iter()
                    .filter_map(|key| Some(map.get(*key)?.to_string())),
            );
            found.push((group.clone(), at.to_string(), keys));
            for (key, value) in map {
                tables(value, &format!("{group}/{key}"), &format!("{at}/{key}"), found);
            }
        }
        Value::Array(list) => {
            for (n, value) in list.iter().enumerate() {
                tables(value, group, &format!("{at}/{n}"), found);
            }
        }
        _ => {}
    }
}

/// The properties of a table by the schema.
fn properties(schema: &Schema, example: &Example) -> Map<String, Value> {
    let all = schema.applying_at(&example.scenario, &example.at);
    let closed = all.iter().filter(|schema| schema["additionalProperties"] == false);
    closed.filter_map(|schema| schema["properties"].as_object()).flat_map(Map::clone).collect()
}

/// Each key that the reader knows stands in the schema, and each that stands there the reader knows.
#[test]
fn keys() {
    let schema = scenario_schema();
    let groups = groups();
    // 17 kinds of device; the head and the seventeen kinds of table.
    assert_eq!(groups.len(), 17 + 18, "{:?}", groups.keys());
    let mut wrong = Vec::new();
    for (group, examples) in &groups {
        let (mut known, mut published) = (BTreeSet::new(), BTreeSet::new());
        for example in examples {
            published.extend(properties(&schema, example).into_iter().map(|(key, _)| key));
            let start = format!("`{STRANGE}` is not known here; expected: ");
            let all = with(example, STRANGE, json!(0));
            let list = all.iter().find_map(|message| message.strip_prefix(&start));
            let list = list.unwrap_or_else(|| panic!("{group}, {}: {all:?}", example.at));
            known.extend(list.split(", ").map(str::to_string));
        }
        let differs: Vec<&String> = known.symmetric_difference(&published).collect();
        wrong.extend(differs.into_iter().map(|key| format!("{group}/{key}, known: {}", known.contains(key))));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// What a value is refused with that no reader takes, and what the schema says in the same place.
#[derive(Debug, PartialEq, Eq)]
enum Bound {
    Numbers(i64, i64),
    Bytes(u64),
    Words(BTreeSet<String>),
    Members(u64),
    Flag,
}

/// What the schema says of a property, and a value that is against it.
fn published(property: &Value) -> Option<(Bound, Value)> {
    let text = |n: u64| json!("x".repeat(n as usize + 1));
    let huge = json!(1_000_000_000_000_000_000_i64);
    if let Some(words) = property["enum"].as_array() {
        if let [first, .., last] = &words[..]
            && let (Some(first), Some(last)) = (first.as_i64(), last.as_i64())
        {
            return Some((Bound::Numbers(first, last), huge));
        }
        let words = words.iter().map(|word| word.as_str().unwrap().to_string()).collect();
        return Some((Bound::Words(words), json!("zz")));
    }
    match property["type"].as_str()? {
        "integer" => {
            Some((Bound::Numbers(property["minimum"].as_i64()?, property["maximum"].as_i64()?), huge))
        }
        "string" => property["maxLength"].as_u64().map(|n| (Bound::Bytes(n), text(n))),
        "boolean" => Some((Bound::Flag, json!("zz"))),
        "array" => {
            let most = property["maxItems"].as_u64()?;
            let item = if property["items"]["type"] == "string" { json!("x") } else { json!({}) };
            Some((Bound::Members(most), json!(vec![item; most as usize + 1])))
        }
        _ => None,
    }
}

/// The bound that a message tells.
fn bound(message: &str) -> Option<Bound> {
    let number = |text: &str| text.split(' ').next()?.parse::<i64>().ok();
    if message.contains("true or false is expected") {
        return Some(Bound::Flag);
    }
    if let Some((_, rest)) = message.split_once(" from ").filter(|(start, _)| start.contains("whole ")) {
        let (least, most) = rest.split_once(" to ")?;
        return Some(Bound::Numbers(number(least)?, number(most)?));
    }
    if let Some((_, rest)) = message.split_once("a text of at most ") {
        return Some(Bound::Bytes(number(rest)? as u64));
    }
    if let Some((_, rest)) = message.split_once(": at most ") {
        return Some(Bound::Members(number(rest)? as u64));
    }
    let (_, rest) = message.split_once(": one of ")?;
    let words = rest.strip_suffix(" is expected")?;
    Some(Bound::Words(words.split(", ").map(str::to_string).collect()))
}

/// Two bounds of one key that hangs on another: from the least to the most.
fn widest(a: Option<Bound>, b: Bound) -> Bound {
    match (a, b) {
        (Some(Bound::Numbers(a, b)), Bound::Numbers(c, d)) => Bound::Numbers(a.min(c), b.max(d)),
        (_, b) => b,
    }
}

/// Keys whose bounds the reader tells in words of its own: a cross-section with decimals.
const TOLD_OTHERWISE: [&str; 1] = ["section_mm2"];

/// Every number, length, word and count that the schema allows is what the reader allows.
#[test]
fn bounds() {
    let schema = scenario_schema();
    let (mut tried, mut wrong) = (0, Vec::new());
    for (group, examples) in &groups() {
        let mut found: BTreeMap<String, (Option<Bound>, Bound)> = BTreeMap::new();
        for example in examples {
            let table = example.scenario.pointer(&example.at).unwrap();
            for (key, property) in properties(&schema, example) {
                let whole = schema.applying(&property, table.get(&key).unwrap_or(&Value::Null));
                let Some((says, value)) = whole.iter().find_map(|schema| published(schema)) else { continue };
                let entry = found.entry(key.clone()).or_insert((None, says));
                // A number may hang on another key; for the rest one example is as good as another.
                if entry.0.is_some() && !matches!(entry.1, Bound::Numbers(..))
                    || entry.0.as_ref() == Some(&entry.1)
                {
                    continue;
                }
                let before = told(&example.scenario);
                let after = with(example, &key, value);
                if let Some(bound) = after.iter().filter(|m| !before.contains(m)).find_map(|m| bound(m)) {
                    entry.0 = Some(widest(entry.0.take(), bound));
                }
            }
        }
        for (key, (reader, says)) in found {
            tried += 1;
            if reader.as_ref() != Some(&says) && !TOLD_OTHERWISE.contains(&key.as_str()) {
                wrong.push(format!("{group}/{key}: the reader has {reader:?}, the schema {says:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(tried > 200, "{tried}");
}
