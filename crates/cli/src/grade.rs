//! `sealin grade ATTEMPT…`: marks attempts again, one line each.

use crate::{Answer, input};
use rayon::prelude::*;
use sealin_core::canon::hex;
use sealin_exercise::attempt::Attempt;
use sealin_exercise::beside::{Evidence, Reason};
use sealin_exercise::grade::{Report, fits, grade, grade_proven, scenario_of};
use sealin_exercise::marking::MarkLine;
use sealin_exercise::proofs::{Decision, ProofVerdict};
use sealin_exercise::scenario::Scenario;
use sealin_proof::explore::DEFAULT_MAX_STATES;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::BufRead;
use std::path::PathBuf;
use std::rc::Rc;

/// Options of `grade`.
#[derive(clap::Args)]
pub struct Grade {
    /// Attempt files; `-` reads one attempt a line from standard input and writes one JSON object a line.
    #[arg(required = true, value_name = "ATTEMPT")]
    attempts: Vec<PathBuf>,
    /// Folder with scenarios that are not shipped: `DIR/ID/scenario.toml`.
    #[arg(long, value_name = "DIR")]
    scenarios: Option<PathBuf>,
    /// Prove every requirement with formulas first, and let the proof decide about its marks: proven earns them; broken, or never
    /// put to the test, loses them; where it comes to nothing, the trials decide. It takes minutes an attempt.
    #[arg(long)]
    prove: bool,
    /// With --prove: most states that are explored where a requirement gives no limit.
    #[arg(long, value_name = "N", requires = "prove", default_value_t = DEFAULT_MAX_STATES)]
    max_states: u64,
    /// One JSON object a line.
    #[arg(long)]
    json: bool,
    /// Marks of all attempts as a table, comma-separated.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Marks of all attempts as a page for the class.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

/// One attempt: its name, and its report or what is wrong with it.
type Line = (String, Result<Marked, String>);

/// What is told of a marked attempt; a report itself stays in its thread.
struct Marked {
    value: Value,
    text: String,
    passed: bool,
    acts: String,
}

impl Grade {
    /// Marks and tells. The answer is no when an attempt does not pass.
    pub fn run(self) -> Result<Answer, String> {
        let from_stdin = self.attempts.iter().any(|p| p.as_os_str() == "-");
        if from_stdin && self.attempts.len() > 1 {
            return Err("`-` stands alone: it reads one attempt a line".to_string());
        }
        if from_stdin {
            return self.lines();
        }
        let lines: Vec<Line> = self
            .attempts
            .par_iter()
            .map(|path| {
                let marked = input::text(path).and_then(|text| self.mark(&text));
                (path.display().to_string(), marked)
            })
            .collect();
        self.tell(&lines)?;
        outcome(&lines)
    }

    /// JSON lines in, JSON lines out, a batch at a time so that memory does not grow with the number of lines.
    fn lines(&self) -> Result<Answer, String> {
        const BATCH: usize = 256;
        let stdin = std::io::stdin();
        let mut input = stdin.lock().lines();
        let (mut number, mut wrong, mut failed) = (0usize, 0usize, 0usize);
        loop {
            let batch: Vec<(usize, std::io::Result<String>)> = input
                .by_ref()
                .take(BATCH)
                .map(|line| {
                    number += 1;
                    (number, line)
                })
                .collect();
            if batch.is_empty() {
                break;
            }
            let marked: Vec<Line> = batch
                .into_par_iter()
                .map(|(n, line)| {
                    (format!("line {n}"), line.map_err(|e| e.to_string()).and_then(|t| self.mark(&t)))
                })
                .collect();
            for (name, line) in marked {
                match line {
                    Ok(m) => {
                        failed += usize::from(!m.passed);
                        println!("{}", named(&name, m.value));
                    }
                    Err(message) => {
                        wrong += 1;
                        println!("{}", json!({ "attempt": name, "error": message }));
                    }
                }
            }
        }
        match (wrong, failed) {
            (0, 0) => Ok(Answer::Yes),
            (0, _) => Ok(Answer::No),
            _ => Err(format!("{wrong} of {number} attempts could not be read")),
        }
    }

    fn mark(&self, text: &str) -> Result<Marked, String> {
        let attempt = Attempt::parse(text).map_err(|e| e.to_string())?;
        let scenario = self.scenario(&attempt)?;
        let report = if self.prove {
            grade_proven(&scenario, &attempt, self.max_states)
        } else {
            grade(&scenario, &attempt)
        };
        let report = report.map_err(|e| e.to_string())?;
        Ok(Marked {
            value: value_of(&report),
            text: text_of(&report),
            passed: report.marks.passed,
            acts: hex(&report.acts_hash),
        })
    }

    fn scenario(&self, attempt: &Attempt) -> Result<Rc<Scenario>, String> {
        let id = &attempt.head.scenario;
        let plain = id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
        if let Some(dir) = &self.scenarios
            && plain
            && dir.join(id).join("scenario.toml").is_file()
        {
            let scenario = input::scenario(&dir.join(id).display().to_string())?;
            fits(attempt, &scenario).map_err(|e| e.to_string())?;
            return Ok(scenario);
        }
        scenario_of(attempt).map_err(|e| e.to_string())
    }

    fn tell(&self, lines: &[Line]) -> Result<(), String> {
        for (name, line) in lines {
            match line {
                Ok(m) if self.json => println!("{}", named(name, m.value.clone())),
                Ok(m) => println!("{name}: {}", m.text),
                Err(message) if self.json => println!("{}", json!({ "attempt": name, "error": message })),
                Err(message) => eprintln!("{name}: {message}"),
            }
        }
        let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
        for (name, line) in lines {
            if let Ok(m) = line
                && let Some(other) = seen.insert(&m.acts, name)
            {
                eprintln!("{name}: the same acts at the same ticks as {other}");
            }
        }
        let write = |path: &PathBuf, text: &[u8]| {
            std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))
        };
        if let Some(path) = &self.csv {
            write(path, &table(lines).map_err(|e| e.to_string())?)?;
        }
        if let Some(path) = &self.html {
            write(path, html(lines).as_bytes())?;
        }
        Ok(())
    }
}

fn outcome(lines: &[Line]) -> Result<Answer, String> {
    let wrong = lines.iter().filter(|(_, l)| l.is_err()).count();
    if wrong > 0 {
        return Err(format!("{wrong} of {} attempts could not be marked", lines.len()));
    }
    let all = lines.iter().all(|(_, l)| l.as_ref().is_ok_and(|m| m.passed));
    Ok(if all { Answer::Yes } else { Answer::No })
}

fn named(name: &str, mut value: Value) -> Value {
    if let Value::Object(map) = &mut value {
        map.insert("attempt".to_string(), Value::String(name.to_string()));
    }
    value
}

/// A report as JSON.
fn value_of(r: &Report) -> Value {
    let requirements = r.marks.lines.iter().map(|l| {
        let trials: Vec<Value> = l
            .trials
            .iter()
            .map(|t| {
                let failure = t.failure.as_ref().map(|f| {
                    json!({ "line": f.line, "step": f.step, "expected": f.expected, "seen": f.seen,
                                "tick": f.tick })
                });
                json!({ "name": t.name, "kept": t.kept, "failure": failure })
            })
            .collect();
        json!({ "id": l.id, "kind": "requirement", "earned": l.earned, "of": l.of, "must": l.must,
                    "bonus": l.bonus, "trials": trials, "proof": l.proof.map(ProofVerdict::words) })
    });
    let beside = r.marks.beside.iter().map(|l| {
        let reasons: Vec<Value> = l.reasons.iter().map(reason_value).collect();
        json!({ "id": l.id, "kind": l.kind.word(), "text": l.text, "earned": l.earned, "of": l.of, "reasons": reasons })
    });
    let lines: Vec<Value> = requirements.chain(beside).collect();
    json!({
        "scenario": r.scenario, "author": r.author, "entries": r.entries, "bench_ms": r.bench_ms,
        "earned": r.marks.earned, "of": r.marks.of, "open": r.marks.open, "passed": r.marks.passed,
        "trace_hash": hex(&r.trace_hash), "exact_hash": hex(&r.exact_hash),
        "chain": r.chain, "claim": r.claim, "made_under": r.made_under,
        "remarks": r.remarks(), "lines": lines,
    })
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
    for line in r.marks.beside.iter().filter(|l| i64::from(l.earned) < i64::from(l.of)) {
        let why: Vec<String> = line.reasons.iter().map(|reason| reason.text.clone()).collect();
        text.push_str(&format!("\n  {:<4} {} of {}  {}", line.id, line.earned, line.of, why.join("; ")));
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

/// The class as a table of comma-separated values.
fn table(lines: &[Line]) -> Result<Vec<u8>, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(["attempt", "author", "scenario", "earned", "of", "passed", "remarks", "error"])?;
    for (name, line) in lines {
        match line {
            Ok(m) => {
                let text = |key: &str| m.value[key].as_str().unwrap_or_default().to_string();
                let number = |key: &str| m.value[key].to_string();
                let remarks: Vec<&str> =
                    m.value["remarks"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
                let (author, scenario) = (text("author"), text("scenario"));
                let (earned, of, passed) = (number("earned"), number("of"), m.passed.to_string());
                table.write_record([
                    name,
                    &author,
                    &scenario,
                    &earned,
                    &of,
                    &passed,
                    &remarks.join("; "),
                    "",
                ])?;
            }
            Err(message) => table.write_record([name, "", "", "", "", "", "", message])?,
        }
    }
    table.into_inner().map_err(|e| e.into_error().into())
}

fn html(lines: &[Line]) -> String {
    let safe =
        |t: &str| t.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
    let mut rows = String::new();
    for (name, line) in lines {
        let (marks, result, remarks) = match line {
            Ok(m) => (
                format!("{} of {}", m.value["earned"], m.value["of"]),
                if m.passed { "passed" } else { "not passed" }.to_string(),
                m.text.clone(),
            ),
            Err(message) => (String::new(), "could not be marked".to_string(), message.clone()),
        };
        rows.push_str(&format!(
            "<tr><td>{}</td><td>{}</td><td>{}</td><td><pre>{}</pre></td></tr>\n",
            safe(name),
            safe(&marks),
            safe(&result),
            safe(&remarks)
        ));
    }
    format!(
        "<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>Marks of the class</title>\n\
         <h1>Marks of the class</h1>\n\
         <p>Training model: simplified, not evidence of competence. A chain detects damage to a file, not forgery: \
         a well-made log is simply an attempt, marked for what it does.</p>\n\
         <table border=\"1\"><tr><th>attempt</th><th>marks</th><th>result</th><th>remarks</th></tr>\n{rows}</table>\n\
         </html>\n"
    )
}
