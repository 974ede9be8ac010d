//! What is told of one attempt: as JSON, and as lines of text.

use sealin_core::canon::{Hash, hex};
use sealin_exercise::attempt::Break;
use sealin_exercise::beside::{Evidence, Line, Reason};
use sealin_exercise::grade::Report;
use sealin_exercise::marking::{MarkLine, TrialResult};
use sealin_exercise::proofs::{Decision, ProofVerdict};
use sealin_exercise::scenario::Scenario;
use serde_json::{Value, json};
use std::rc::Rc;

/// One attempt: its report as it is told, or what is wrong with it. A report itself stays in its thread.
pub struct Told {
    /// Path of its file, with the line; none for a line of standard input.
    pub name: Option<String>,
    /// Which of the sources it is from.
    pub source: usize,
    /// As JSON.
    pub value: Value,
    /// In words: its marks, or why there are none.
    pub text: Result<String, String>,
    /// Hash and number of its acts; none where there are none.
    pub acts: Option<(Hash, usize)>,
    /// Enough marks, and every requirement kept that is a must.
    pub passed: bool,
}

impl Told {
    /// Of a report, or of what is wrong; with the hash of the bytes, where they could be read.
    pub fn new(
        name: Option<String>,
        source: usize,
        sum: Option<Hash>,
        report: Result<(Rc<Scenario>, Report), String>,
    ) -> Told {
        let mut value = match &report {
            Ok((scenario, report)) => value_of(scenario, report),
            Err(reason) => json!({ "error": reason }),
        };
        if let Value::Object(map) = &mut value {
            map.extend(name.clone().map(|name| ("attempt".to_string(), Value::String(name))));
            map.extend(sum.map(|sum| ("sha256".to_string(), Value::String(hex(&sum)))));
        }
        let marked = report.as_ref().ok().map(|(_, report)| report);
        Told {
            name,
            source,
            value,
            acts: marked.filter(|r| r.acts > 0).map(|r| (r.acts_hash, r.acts)),
            passed: marked.is_some_and(|r| r.marks.passed),
            text: report.map(|(_, report)| text_of(&report)),
        }
    }
}

/// A report as JSON.
fn value_of(scenario: &Scenario, r: &Report) -> Value {
    let lines: Vec<Value> =
        r.marks.lines.iter().map(line_value).chain(r.marks.beside.iter().map(beside_value)).collect();
    let broken = r.chain_broken.map(|broken| match broken {
        Break::Head => json!("head"),
        Break::Entry(entry) => json!(entry),
        Break::Cut => json!("cut"),
        Break::Value => json!("value"),
        Break::Unknown => json!("unknown"),
    });
    json!({
        "scenario": r.scenario, "title": scenario.title, "content_hash": hex(&scenario.content_hash()),
        "author": r.author, "entries": r.entries, "acts": r.acts, "acts_hash": hex(&r.acts_hash),
        "bench_ms": r.bench_ms,
        "earned": r.marks.earned, "of": r.marks.of, "open": r.marks.open, "passed": r.marks.passed,
        "trace_hash": hex(&r.trace_hash), "exact_hash": hex(&r.exact_hash),
        "chain": r.chain, "chain_broken_from": broken, "claim": r.claim,
        "impossible_order_at": r.backwards.map(|found| found.entry),
        "impossible_wall_time_at": r.too_fast.map(|found| found.entry),
        "made_under": r.made_under, "remarks": r.remarks(), "lines": lines,
    })
}

fn line_value(l: &MarkLine) -> Value {
    let trial = |t: &TrialResult| {
        let failure = t.failure.as_ref().map(|f| {
            json!({ "line": f.line, "step": f.step, "expected": f.expected, "seen": f.seen, "tick": f.tick })
        });
        json!({ "name": t.name, "kept": t.kept, "failure": failure })
    };
    let why = (l.earned < l.of).then(|| why(l));
    json!({ "id": l.id, "kind": "requirement", "text": l.text, "earned": l.earned, "of": l.of, "must": l.must,
            "bonus": l.bonus, "open": l.decision() == Decision::Open, "why": why,
            "proof": l.proof.map(ProofVerdict::words), "trials": l.trials.iter().map(trial).collect::<Vec<_>>() })
}

/// What was earned beside the requirements.
fn beside_value(l: &Line) -> Value {
    let why = is_less(l).then(|| reasons(l));
    json!({ "id": l.id, "kind": l.kind.word(), "text": l.text, "earned": l.earned, "of": l.of, "why": why,
            "reasons": l.reasons.iter().map(reason_value).collect::<Vec<_>>() })
}

fn is_less(l: &Line) -> bool {
    i64::from(l.earned) < i64::from(l.of)
}

fn reasons(l: &Line) -> String {
    l.reasons.iter().map(|reason| reason.text.as_str()).collect::<Vec<_>>().join("; ")
}

/// Why a line has its marks, and where that can be seen.
fn reason_value(reason: &Reason) -> Value {
    let mut value = json!({ "text": reason.text });
    let more = match &reason.at {
        Evidence::Entry { entry, tick } => json!({ "entry": entry, "tick": tick }),
        Evidence::Conductor(id) => json!({ "conductor": id }),
        Evidence::Terminal(terminal) => json!({ "terminal": terminal.to_string() }),
        Evidence::Rung(rung, var) => json!({ "rung": rung + 1, "variable": var }),
        Evidence::Variable(var) => json!({ "variable": var }),
        Evidence::Marks | Evidence::Nowhere => json!({}),
    };
    if let (Value::Object(value), Value::Object(more)) = (&mut value, more) {
        value.extend(more);
    }
    value
}

/// A report as one line of text, and below what was lost and why.
fn text_of(r: &Report) -> String {
    let mut text = format!(
        "{} of {} marks, {}; trace {}",
        r.marks.earned,
        r.marks.of,
        if r.marks.passed { "passed" } else { "not passed" },
        hex(&r.trace_hash)
    );
    for remark in r.remarks() {
        text.push_str("; ");
        text.push_str(&remark);
    }
    for line in r.marks.lines.iter().filter(|l| l.earned < l.of) {
        text.push_str(&format!(
            "\n  {:<4} {} of {}{}  {}",
            line.id,
            line.earned,
            line.of,
            if line.must { " (must)" } else { "" },
            why(line)
        ));
    }
    for line in r.marks.beside.iter().filter(|l| is_less(l)) {
        text.push_str(&format!("\n  {:<4} {} of {}  {}", line.id, line.earned, line.of, reasons(line)));
    }
    text
}

/// Why a requirement has not earned its marks: its proof, and the first trial that was not kept.
fn why(line: &MarkLine) -> String {
    let proof =
        line.proof.filter(|_| line.decision() != Decision::Scripts).map(|proof| format!("by proof: {proof}"));
    let trial = line.trials.iter().find_map(|t| {
        let f = t.failure.as_ref()?;
        Some(format!("{}: `{}` at {} ms: {}", t.name, f.step, f.tick, f.seen))
    });
    proof.into_iter().chain(trial).collect::<Vec<_>>().join("; ")
}
