//! The attempt file: JSON in and out, bounded, with the place of an error.

mod change;

use super::chain::link_of;
use super::*;
use crate::hunt::MOST_EVIDENCE;
use change::ChangeDoc;
use sealin_core::Fault;
use sealin_core::canon::{from_hex, hex};
use serde::de::{Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

/// Why a file is no attempt.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {message}")]
pub struct AttemptError {
    /// Line from 1.
    pub line: usize,
    /// Column from 1, in bytes.
    pub column: usize,
    /// What is wrong and what was expected.
    pub message: String,
}

fn whole(message: impl Into<String>) -> AttemptError {
    AttemptError { line: 1, column: 1, message: message.into() }
}

const FORMAT: &str = "sealin attempt";

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileDoc {
    head: HeadDoc,
    entries: Vec<EntryForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    chain: Option<String>,
    /// Four digits for the head and for each entry: the beginnings of the chain's values.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    links: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    claim: Option<ClaimDoc>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ClaimDoc {
    trace_hash: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct HeadDoc {
    format: String,
    version: u32,
    scenario: ScenarioDoc,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    embedded: Option<String>,
    model_revision: u32,
    seed: u64,
    author: String,
    started: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScenarioDoc {
    id: String,
    content_hash: String,
}

/// Only what tells the form of a file.
#[derive(Deserialize)]
struct FormDoc {
    head: FormHeadDoc,
}

#[derive(Deserialize)]
struct FormHeadDoc {
    format: String,
    version: u32,
}

/// An entry, checked while it is read, so that what is wrong with it is told with its place.
#[derive(Clone, Serialize, Deserialize)]
#[serde(try_from = "EntryDoc", into = "EntryDoc")]
struct EntryForm(Entry);

impl TryFrom<EntryDoc> for EntryForm {
    type Error = String;

    fn try_from(doc: EntryDoc) -> Result<Self, String> {
        doc.entry().map(EntryForm)
    }
}

impl From<EntryForm> for EntryDoc {
    fn from(form: EntryForm) -> Self {
        EntryDoc::of(&form.0)
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct EntryDoc {
    at: u64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wall: Option<u32>,
    act: ActDoc,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum ActDoc {
    Bench(String),
    Design(ChangeDoc),
    Undo(UndoDoc),
    Redo(UndoDoc),
    Transfer(StartDoc),
    Reading(ReadingDoc),
    Measure(MeasureDoc),
    Record(RecordDoc),
    Predict(PredictDoc),
    Hint(String),
    Repair(String),
    Diagnose(DiagnoseDoc),
    Look(Nothing),
    HandIn(Nothing),
    Seek(SeekDoc),
    Run(RunDoc),
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct UndoDoc {
    of: u32,
    change: ChangeDoc,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
enum StartDoc {
    Cold,
    Warm,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReadingDoc {
    from: String,
    to: String,
    function: String,
    shown: Option<i64>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MeasureDoc {
    with: String,
    at: Vec<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RecordDoc {
    check: String,
    text: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PredictDoc {
    prediction: String,
    answer: u32,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct DiagnoseDoc {
    fault: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    evidence: Vec<u32>,
}

/// An act of which there is nothing more to say: an object without keys, and no list.
#[derive(Serialize)]
struct Nothing {}

impl<'de> Deserialize<'de> for Nothing {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Nothing, D::Error> {
        struct Empty;
        impl<'de> Visitor<'de> for Empty {
            type Value = Nothing;

            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("an object without keys")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Nothing, A::Error> {
                match map.next_key::<String>()? {
                    None => Ok(Nothing {}),
                    Some(key) => Err(A::Error::unknown_field(&key, &[])),
                }
            }
        }
        from.deserialize_map(Empty)
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SeekDoc {
    entry: u32,
    tick: u64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RunDoc {
    to: u64,
}

/// Most characters of a name, number, tag or record in a file.
const MOST_NAME: usize = MOST_RECORD;

/// What a reading of version 1 can be of.
const METER: [Function; 3] = [Function::VoltsDc, Function::VoltsAc, Function::Ohms];

impl Attempt {
    /// Reads an attempt file. Bounds are checked before anything is read.
    pub fn parse(text: &str) -> Result<Attempt, AttemptError> {
        if text.len() > MOST_BYTES {
            return Err(whole(format!(
                "the file has {} bytes; an attempt has at most {MOST_BYTES}",
                text.len()
            )));
        }
        let place = |e: serde_json::Error| AttemptError {
            line: e.line().max(1),
            column: e.column().max(1),
            message: plain(&e),
        };
        let form: FormDoc = serde_json::from_str(text).map_err(place)?;
        if form.head.format != FORMAT {
            return Err(whole(format!("format `{}`: `{FORMAT}` was expected", form.head.format)));
        }
        if form.head.version == 0 || form.head.version > VERSION {
            return Err(whole(format!(
                "the file has version {}; this program reads versions 1 to {VERSION}, so a newer program is needed",
                form.head.version
            )));
        }
        let doc: FileDoc = serde_json::from_str(text).map_err(place)?;
        for (entry, form_of_entry) in doc.entries.iter().enumerate() {
            let first = first_version(&form_of_entry.0.act);
            if form.head.version < first {
                return Err(whole(format!(
                    "entry {entry} is of a kind that a file of version {first} has first"
                )));
            }
        }
        if doc.links.is_some() && form.head.version < 4 {
            return Err(whole("links are what a file of version 4 has first"));
        }
        doc.attempt().map_err(whole)
    }

    /// The attempt as a file, with its chain.
    pub fn to_json(&self) -> String {
        let (mut links, mut chain) = (String::with_capacity(4 * self.entries.len() + 4), Hash::default());
        for value in self.chain_values() {
            links.extend(link_of(&value).map(|byte| format!("{byte:02x}")));
            chain = value;
        }
        let doc = FileDoc {
            head: HeadDoc {
                format: FORMAT.to_string(),
                version: VERSION,
                scenario: ScenarioDoc {
                    id: self.head.scenario.clone(),
                    content_hash: hex(&self.head.content_hash),
                },
                embedded: self.head.embedded.clone(),
                model_revision: self.head.model_revision,
                seed: self.head.seed,
                author: self.head.author.clone(),
                started: self.head.started.clone(),
            },
            entries: self.entries.iter().cloned().map(EntryForm).collect(),
            chain: Some(hex(&chain)),
            links: Some(links),
            claim: self.claim.map(|h| ClaimDoc { trace_hash: hex(&h) }),
        };
        serde_json::to_string_pretty(&doc).unwrap_or_default()
    }
}

/// The version of the file that has acts of this kind first.
fn first_version(act: &Act) -> u32 {
    match act {
        Act::Repair(_) | Act::Diagnose(_) | Act::Look | Act::HandIn => 6,
        Act::Predict { .. } | Act::Hint { .. } => 4,
        Act::Measure(_) | Act::Record { .. } => 2,
        Act::Design(change) | Act::Undo { change, .. } | Act::Redo { change, .. } => match change {
            Change::Set { .. } => 5,
            Change::Mount(_) | Change::Unmount(_) | Change::Move { .. } => 3,
            _ => 1,
        },
        _ => 1,
    }
}

impl Entry {
    /// One entry as a line of JSON, for storage.
    pub fn to_json(&self) -> String {
        serde_json::to_string(&EntryForm(self.clone())).unwrap_or_default()
    }

    /// Reads what [`Entry::to_json`] wrote.
    pub fn parse(text: &str) -> Result<Entry, String> {
        serde_json::from_str::<EntryForm>(text).map(|form| form.0).map_err(|e| plain(&e))
    }
}

/// The message of a JSON error without its place, which is told apart from it.
fn plain(e: &serde_json::Error) -> String {
    let text = e.to_string();
    let text = text.split(" at line ").next().unwrap_or(&text).to_string();
    match e.classify() {
        serde_json::error::Category::Eof => format!("the file ends too early: {text}"),
        serde_json::error::Category::Syntax => format!("this is not JSON: {text}"),
        _ => text,
    }
}

fn bounded(text: String, what: &str) -> Result<String, String> {
    if text.chars().count() > MOST_NAME {
        Err(format!("{what} has more than {MOST_NAME} characters"))
    } else {
        Ok(text)
    }
}

fn hash(text: &str, what: &str) -> Result<Hash, String> {
    from_hex(text).ok_or_else(|| format!("{what}: 64 hexadecimal digits are expected"))
}

/// Links from their text: four hexadecimal digits each, at most one for the head and one for each possible entry.
fn links(text: &str) -> Result<Vec<Link>, String> {
    if text.len() > 4 * (MOST_ENTRIES + 1) || !text.len().is_multiple_of(4) {
        return Err("links: four hexadecimal digits for the head and for each entry are expected".to_string());
    }
    let link = |four: &[u8]| {
        let four = std::str::from_utf8(four).ok().filter(|four| four.bytes().all(|b| b.is_ascii_hexdigit()));
        four.and_then(|four| u16::from_str_radix(four, 16).ok()).map(u16::to_be_bytes)
    };
    let all: Option<Vec<Link>> = text.as_bytes().chunks(4).map(link).collect();
    all.ok_or_else(|| "links: hexadecimal digits are expected".to_string())
}

impl FileDoc {
    fn attempt(self) -> Result<Attempt, String> {
        if self.entries.len() > MOST_ENTRIES {
            return Err(format!(
                "the log has {} entries; at most {MOST_ENTRIES} are possible",
                self.entries.len()
            ));
        }
        let head = Head {
            content_hash: hash(&self.head.scenario.content_hash, "head.scenario.content_hash")?,
            scenario: bounded(self.head.scenario.id, "head.scenario.id")?,
            embedded: self.head.embedded,
            model_revision: self.head.model_revision,
            seed: self.head.seed,
            author: bounded(self.head.author, "head.author")?,
            started: bounded(self.head.started, "head.started")?,
        };
        Ok(Attempt {
            head,
            entries: self.entries.into_iter().map(|form| form.0).collect(),
            claim: self.claim.map(|c| hash(&c.trace_hash, "claim.trace_hash")).transpose()?,
            chain_read: self.chain.map(|c| hash(&c, "chain")).transpose()?,
            links_read: self.links.map(|text| links(&text)).transpose()?,
        })
    }
}

impl EntryDoc {
    fn of(entry: &Entry) -> EntryDoc {
        let undo = |of: u32, change: &Change| UndoDoc { of, change: ChangeDoc::of(change) };
        let act = match &entry.act {
            Act::Bench(act) => ActDoc::Bench(act.to_string()),
            Act::Design(change) => ActDoc::Design(ChangeDoc::of(change)),
            Act::Undo { of, change } => ActDoc::Undo(undo(*of, change)),
            Act::Redo { of, change } => ActDoc::Redo(undo(*of, change)),
            Act::Transfer { cold: true } => ActDoc::Transfer(StartDoc::Cold),
            Act::Transfer { cold: false } => ActDoc::Transfer(StartDoc::Warm),
            Act::Reading(r) => ActDoc::Reading(ReadingDoc {
                from: r.from.to_string(),
                to: r.to.to_string(),
                function: r.function.word().to_string(),
                shown: r.shown,
            }),
            Act::Measure(what) => {
                ActDoc::Measure(MeasureDoc { with: what.word().to_string(), at: what.places() })
            }
            Act::Record { check, text } => {
                ActDoc::Record(RecordDoc { check: check.clone(), text: text.clone() })
            }
            Act::Predict { prediction, answer } => {
                ActDoc::Predict(PredictDoc { prediction: prediction.clone(), answer: *answer })
            }
            Act::Hint { hint } => ActDoc::Hint(hint.clone()),
            Act::Repair(repair) => ActDoc::Repair(repair.to_string()),
            Act::Diagnose(d) => {
                ActDoc::Diagnose(DiagnoseDoc { fault: d.fault.to_string(), evidence: d.evidence.clone() })
            }
            Act::Look => ActDoc::Look(Nothing {}),
            Act::HandIn => ActDoc::HandIn(Nothing {}),
            Act::Seek { entry, tick } => ActDoc::Seek(SeekDoc { entry: *entry, tick: *tick }),
            Act::Run { to } => ActDoc::Run(RunDoc { to: *to }),
        };
        EntryDoc { at: entry.at, wall: entry.wall_ms, act }
    }

    fn entry(self) -> Result<Entry, String> {
        let act = match self.act {
            ActDoc::Bench(line) => Act::Bench(BenchAct::parse(&bounded(line, "the act")?)?),
            ActDoc::Design(change) => Act::Design(change.change()?),
            ActDoc::Undo(u) => Act::Undo { of: u.of, change: u.change.change()? },
            ActDoc::Redo(u) => Act::Redo { of: u.of, change: u.change.change()? },
            ActDoc::Transfer(start) => Act::Transfer { cold: matches!(start, StartDoc::Cold) },
            ActDoc::Reading(r) => Act::Reading(Reading {
                from: terminal(&r.from)?,
                to: terminal(&r.to)?,
                function: Function::parse(&r.function)
                    .filter(|f| METER.contains(f))
                    .ok_or_else(|| format!("`{}`: volts DC, volts AC or ohms is expected", r.function))?,
                shown: r.shown,
            }),
            ActDoc::Measure(m) => {
                let at = m.at.into_iter().map(|place| bounded(place, "a place"));
                Act::Measure(Measurement::parse(&m.with, &at.collect::<Result<Vec<_>, _>>()?)?)
            }
            ActDoc::Record(r) => {
                Act::Record { check: bounded(r.check, "a check's name")?, text: bounded(r.text, "a record")? }
            }
            ActDoc::Predict(p) => {
                Act::Predict { prediction: bounded(p.prediction, "a prediction's id")?, answer: p.answer }
            }
            ActDoc::Hint(hint) => Act::Hint { hint: bounded(hint, "a hint's id")? },
            ActDoc::Repair(line) => Act::Repair(Repair::parse(&bounded(line, "a repair")?)?),
            ActDoc::Diagnose(d) => {
                if d.evidence.len() > MOST_EVIDENCE {
                    return Err(format!("at most {MOST_EVIDENCE} readings are given as evidence"));
                }
                let fault = Fault::parse(&bounded(d.fault, "a fault")?)?;
                Act::Diagnose(Diagnosis { fault, evidence: d.evidence })
            }
            ActDoc::Look(_) => Act::Look,
            ActDoc::HandIn(_) => Act::HandIn,
            ActDoc::Seek(s) => Act::Seek { entry: s.entry, tick: s.tick },
            ActDoc::Run(r) => Act::Run { to: r.to },
        };
        Ok(Entry { at: self.at, wall_ms: self.wall, act })
    }
}

fn terminal(text: &str) -> Result<Terminal, String> {
    Terminal::parse(&bounded(text.to_string(), "a terminal")?)
        .ok_or_else(|| format!("`{text}`: a terminal such as QA1:14 is expected"))
}
