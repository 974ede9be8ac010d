//! JSON Schema, draft 2020-12, as far as our schemas go: the keywords of [`KEYWORDS`], and no other.

use regex_lite::Regex;
use serde_json::{Map, Value};

/// Every keyword that is judged here, and those that say nothing about an instance.
pub const KEYWORDS: [&str; 27] = [
    "$schema",
    "$defs",
    "$ref",
    "title",
    "description",
    "type",
    "enum",
    "const",
    "properties",
    "required",
    "additionalProperties",
    "minProperties",
    "maxProperties",
    "items",
    "prefixItems",
    "minItems",
    "maxItems",
    "minLength",
    "maxLength",
    "pattern",
    "minimum",
    "maximum",
    "allOf",
    "not",
    "if",
    "then",
    "else",
];

/// A schema with its definitions.
pub struct Schema {
    root: Value,
}

impl Schema {
    /// Reads a schema.
    pub fn new(text: &str) -> Schema {
        Schema { root: serde_json::from_str(text).expect("a schema is JSON") }
    }

    /// The schema of the whole.
    pub fn root(&self) -> &Value {
        &self.root
    }

    /// What is wrong with an instance, each with its place.
    pub fn errors(&self, instance: &Value) -> Vec<String> {
        let mut all = Vec::new();
        self.judge(&self.root, instance, "", &mut all);
        all
    }

    /// The schemas that say something about an instance: the given one, what it refers to, and what its conditions choose.
    pub fn applying<'s>(&'s self, schema: &'s Value, instance: &Value) -> Vec<&'s Value> {
        let mut all = vec![schema];
        let Some(map) = schema.as_object() else { return all };
        if let Some(name) = map.get("$ref") {
            all.extend(self.applying(self.definition(name), instance));
        }
        for part in map.get("allOf").and_then(Value::as_array).into_iter().flatten() {
            all.extend(self.applying(part, instance));
        }
        if let Some(condition) = map.get("if") {
            let chosen = if self.allows(condition, instance) { "then" } else { "else" };
            if let Some(chosen) = map.get(chosen) {
                all.extend(self.applying(chosen, instance));
            }
        }
        all
    }

    /// The same for the value at a pointer into an instance of the whole.
    pub fn applying_at(&self, whole: &Value, at: &str) -> Vec<&Value> {
        let mut all = self.applying(&self.root, whole);
        let mut value = whole;
        for step in at.split('/').skip(1) {
            let is_list = value.is_array();
            let inside: Vec<&Value> = all
                .iter()
                .filter_map(
                    |schema| if is_list { schema.get("items") } else { schema.get("properties")?.get(step) },
                )
                .collect();
            value = if is_list { &value[step.parse::<usize>().expect("a number")] } else { &value[step] };
            all = inside.into_iter().flat_map(|inner| self.applying(inner, value)).collect();
        }
        all
    }

    fn definition(&self, name: &Value) -> &Value {
        let name =
            name.as_str().and_then(|name| name.strip_prefix("#/$defs/")).expect("a definition of ours");
        self.root["$defs"].get(name).unwrap_or_else(|| panic!("there is no definition `{name}`"))
    }

    fn allows(&self, schema: &Value, instance: &Value) -> bool {
        let mut all = Vec::new();
        self.judge(schema, instance, "", &mut all);
        all.is_empty()
    }

    fn judge(&self, schema: &Value, instance: &Value, at: &str, all: &mut Vec<String>) {
        for part in self.applying(schema, instance) {
            match part {
                Value::Bool(true) => {}
                Value::Object(map) => self.judge_one(map, instance, at, all),
                _ => all.push(format!("{at}: nothing may stand here")),
            }
        }
    }

    /// What this schema says by itself; what it refers to and chooses is judged for itself.
    fn judge_one(&self, map: &Map<String, Value>, instance: &Value, at: &str, all: &mut Vec<String>) {
        for (key, value) in map {
            let kept = match key.as_str() {
                "type" => one_or_more(value).any(|name| is_of_type(instance, name)),
                "enum" => value.as_array().is_some_and(|words| words.contains(instance)),
                "const" => value == instance,
                "not" => !self.allows(value, instance),
                "pattern" => {
                    let pattern = Regex::new(value.as_str().unwrap_or("")).expect("a pattern of ours reads");
                    instance.as_str().is_none_or(|text| pattern.is_match(text))
                }
                "minimum" => number(instance).is_none_or(|n| n >= number(value).unwrap_or(f64::NAN)),
                "maximum" => number(instance).is_none_or(|n| n <= number(value).unwrap_or(f64::NAN)),
                "minLength" => length(instance).is_none_or(|n| n >= bound(value)),
                "maxLength" => length(instance).is_none_or(|n| n <= bound(value)),
                "minItems" => instance.as_array().is_none_or(|list| list.len() >= bound(value)),
                "maxItems" => instance.as_array().is_none_or(|list| list.len() <= bound(value)),
                "minProperties" => instance.as_object().is_none_or(|map| map.len() >= bound(value)),
                "maxProperties" => instance.as_object().is_none_or(|map| map.len() <= bound(value)),
                "required" => {
                    one_or_more(value).all(|name| instance.as_object().is_none_or(|o| o.contains_key(name)))
                }
                _ => true,
            };
            if !kept {
                all.push(format!("{at}: {key} {value}"));
            }
        }
        self.judge_members(map, instance, at, all);
        self.judge_items(map, instance, at, all);
    }

    fn judge_members(&self, map: &Map<String, Value>, instance: &Value, at: &str, all: &mut Vec<String>) {
        let known = map.get("properties").and_then(Value::as_object);
        for (name, member) in instance.as_object().into_iter().flatten() {
            let at = format!("{at}/{name}");
            match (known.and_then(|known| known.get(name)), map.get("additionalProperties")) {
                (Some(schema), _) | (None, Some(schema)) => self.judge(schema, member, &at, all),
                (None, None) => {}
            }
        }
    }

    fn judge_items(&self, map: &Map<String, Value>, instance: &Value, at: &str, all: &mut Vec<String>) {
        let first = map.get("prefixItems").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
        for (n, item) in instance.as_array().into_iter().flatten().enumerate() {
            if let Some(schema) = first.get(n).or_else(|| map.get("items")) {
                self.judge(schema, item, &format!("{at}/{n}"), all);
            }
        }
    }
}

/// Every keyword of a schema, wherever one can stand.
pub fn keywords(schema: &Value) -> Vec<&str> {
    let Some(map) = schema.as_object() else { return Vec::new() };
    let mut all = Vec::new();
    for (key, value) in map {
        all.push(key.as_str());
        let inside: Vec<&Value> = match key.as_str() {
            "properties" | "$defs" => value.as_object().into_iter().flat_map(Map::values).collect(),
            "allOf" | "prefixItems" => value.as_array().into_iter().flatten().collect(),
            "items" | "not" | "if" | "then" | "else" | "additionalProperties" => vec![value],
            _ => Vec::new(),
        };
        all.extend(inside.into_iter().flat_map(keywords));
    }
    all
}

fn one_or_more(value: &Value) -> impl Iterator<Item = &str> {
    let several = value.as_array().into_iter().flatten().filter_map(Value::as_str);
    value.as_str().into_iter().chain(several)
}

fn is_of_type(instance: &Value, name: &str) -> bool {
    match name {
        "object" => instance.is_object(),
        "array" => instance.is_array(),
        "string" => instance.is_string(),
        "boolean" => instance.is_boolean(),
        "null" => instance.is_null(),
        "number" => instance.is_number(),
        "integer" => {
            instance.is_i64() || instance.is_u64() || number(instance).is_some_and(|n| n.fract() == 0.0)
        }
        _ => panic!("there is no type `{name}`"),
    }
}

fn number(value: &Value) -> Option<f64> {
    value.as_f64()
}

fn length(instance: &Value) -> Option<usize> {
    instance.as_str().map(|text| text.chars().count())
}

fn bound(value: &Value) -> usize {
    value.as_u64().expect("a bound is a whole number") as usize
}
