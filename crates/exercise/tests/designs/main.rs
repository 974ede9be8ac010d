//! Typical designs and single edits of the reference earn the marks that were reasoned for them, and every requirement
//! is told apart from every other.
//!
//! Each file of tests/cases/designs/SCENARIO is one design: a program (or edits of the reference), which of the
//! reference's wires are made and how, and the requirements that it loses, with the source of that expectation.
//! `implied.toml` beside them lists the requirements that cannot be lost without losing another, each with its reason.

mod case;

use case::{Case, has_controller, read};
use sealin_exercise::marking::{Marks, mark};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// What a design that does not think may earn of the requirements' marks, per cent.
const THOUGHTLESS_PER_CENT: u32 = 20;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Implied {
    /// Whoever loses the first loses the second, and why.
    pairs: Vec<(String, String, String)>,
}

fn folder(id: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/designs").join(id)
}

/// The scenarios that have requirements of their own: a job of fault finding has those of another.
fn scenarios() -> Vec<Scenario> {
    let all = shipped::all().map(|(_, text)| Scenario::parse(text).unwrap());
    all.filter(|s| !s.requirements.is_empty() && s.fault_finding.is_none()).collect()
}

/// The designs of a scenario by their names.
fn designs(id: &str) -> BTreeMap<String, Case> {
    let entries = std::fs::read_dir(folder(id)).unwrap_or_else(|e| panic!("tests/cases/designs/{id}: {e}"));
    let mut all = BTreeMap::new();
    for path in entries.map(|entry| entry.unwrap().path()) {
        let name = path.file_stem().unwrap().to_str().unwrap().to_string();
        if name != "implied" {
            all.insert(name, read(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display())));
        }
    }
    all
}

/// Does `deed` with each, on all cores, and gives what it says in the order of their names.
fn each<T: Sync>(all: &BTreeMap<String, T>, deed: impl Fn(&str, &T) -> String + Sync) -> Vec<String> {
    let (rest, said) = (Mutex::new(all.iter()), Mutex::new(BTreeMap::new()));
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..cores {
            scope.spawn(|| {
                loop {
                    let Some((name, what)) = rest.lock().unwrap().next() else { break };
                    said.lock().unwrap().insert(name, deed(name, what));
                }
            });
        }
    });
    said.into_inner().unwrap().into_values().filter(|said| !said.is_empty()).collect()
}

/// What the requirements have earned, without predictions and craft, and which of them are not kept.
fn requirements(scenario: &Scenario, marks: &Marks) -> (u32, Vec<String>) {
    let lines = marks.lines.iter().filter(|l| scenario.requirements.iter().any(|r| r.id == l.id));
    let lost = lines.clone().filter(|l| l.earned < l.of).map(|l| l.id.clone());
    (lines.clone().map(|l| l.earned).sum(), lost.collect())
}

fn marked(scenario: &Scenario, work: &Project) -> Marks {
    mark(scenario, work, &mut |_, _| true)
}

/// Where trials broke.
fn broken(marks: &Marks) -> String {
    let mut told = String::new();
    for line in &marks.lines {
        for trial in &line.trials {
            if let Some(f) = &trial.failure {
                let _ =
                    write!(told, "\n    {} {}: {} at {}: {}", line.id, trial.name, f.step, f.tick, f.seen);
            }
        }
    }
    told
}

/// What is wrong with a design's expectation; empty if nothing is.
fn unexpected(scenario: &Scenario, name: &str, case: &Case) -> String {
    let work = match case.work(scenario) {
        Ok(work) => work,
        Err(why) => return format!("{}/{name}: {why}", scenario.id),
    };
    let marks = marked(scenario, &work);
    if let Some(why) = &marks.unfit {
        return format!("{}/{name}: no bench can be built: {why}", scenario.id);
    }
    let (earned, lost) = requirements(scenario, &marks);
    if (earned, &lost) == (case.marks, &case.loses) {
        return String::new();
    }
    let (id, expected, loses) = (&scenario.id, case.marks, &case.loses);
    format!(
        "{id}/{name}: earns {earned} and loses {lost:?}; expected {expected} and {loses:?}{}",
        broken(&marks)
    )
}

#[test]
fn designs_earn_what_was_reasoned() {
    let mut wrong = Vec::new();
    for scenario in scenarios() {
        let all = designs(&scenario.id);
        assert!(all.len() >= 2, "{}: designs are kept", scenario.id);
        wrong.extend(each(&all, |name, case| unexpected(&scenario, name, case)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// For every two requirements some design loses the one and keeps the other, so that neither's trials are the other's in disguise;
/// or it is written down why there can be none.
#[test]
fn every_requirement_is_told_apart_from_every_other() {
    let mut wrong = Vec::new();
    for scenario in scenarios() {
        wrong.extend(confused(&scenario).into_iter().map(|told| format!("{}: {told}", scenario.id)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn confused(scenario: &Scenario) -> Vec<String> {
    let implied = match std::fs::read_to_string(folder(&scenario.id).join("implied.toml")) {
        Ok(text) => toml::from_str(&text).unwrap_or_else(|e| panic!("{}/implied.toml: {e}", scenario.id)),
        Err(_) => Implied { pairs: Vec::new() },
    };
    let ids: Vec<&str> = scenario.requirements.iter().map(|r| r.id.as_str()).collect();
    let designs = designs(&scenario.id);
    let (mut listed, mut wrong) = (BTreeSet::new(), Vec::new());
    for (lost, too, reason) in &implied.pairs {
        let known = ids.contains(&lost.as_str()) && ids.contains(&too.as_str()) && lost != too;
        if !known || reason.trim().is_empty() || !listed.insert((lost.as_str(), too.as_str())) {
            wrong.push(format!(
                "implied.toml: [{lost}, {too}]: two requirements, once, and a reason are expected"
            ));
        }
    }
    for (a, b) in ids.iter().flat_map(|a| ids.iter().map(move |b| (*a, *b))).filter(|(a, b)| a != b) {
        let apart = |case: &&Case| case.loses.iter().any(|l| l == a) && case.loses.iter().all(|l| l != b);
        match (designs.iter().find(|(_, case)| apart(case)), listed.contains(&(a, b))) {
            (None, false) => wrong.push(format!("no design loses {a} and keeps {b}")),
            (Some((name, _)), true) => {
                wrong.push(format!("implied.toml: [{a}, {b}]: the design `{name}` loses {a} and keeps {b}"));
            }
            _ => {}
        }
    }
    wrong
}

/// The reference earns all that the requirements give, the given start does not, and programs that do not think earn little.
#[test]
fn reference_start_and_thoughtless_programs() {
    for scenario in scenarios() {
        let reference = shipped::reference(&scenario.id).expect("a scenario with marks has a reference");
        let work = reference.work(&scenario).unwrap();
        let mut all = BTreeMap::from([("given".to_string(), Project::given(&scenario))]);
        if has_controller(&scenario) {
            for (name, source) in thoughtless(&scenario) {
                all.insert(name.to_string(), Project { source, ..work.clone() });
            }
        }
        all.insert("reference".to_string(), work);
        let of: u32 = scenario.requirements.iter().map(|r| r.marks).sum();
        let wrong = each(&all, |name, work| {
            let marks = marked(&scenario, work);
            let (earned, lost) = requirements(&scenario, &marks);
            let right = match name {
                "reference" => lost.is_empty(),
                "given" => !lost.is_empty(),
                _ => earned * 100 <= of * THOUGHTLESS_PER_CENT,
            };
            let told = || format!("{}: {name} earns {earned} of {of}{}", scenario.id, broken(&marks));
            if right && (marks.unfit.is_none() || name == "given") { String::new() } else { told() }
        });
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
}

/// No rung; all outputs of the I/O list off; all of them on.
fn thoughtless(scenario: &Scenario) -> [(&'static str, String); 3] {
    let outputs = scenario.names.iter().filter(|row| row.address.starts_with("%Q"));
    let (mut vars, mut rungs) = (String::new(), String::new());
    for (n, row) in outputs.enumerate() {
        let _ = writeln!(vars, "    out_{n} AT {} : BOOL;", row.address);
        let _ = writeln!(rungs, "out_{n} := VALUE;");
    }
    let all =
        |value| format!("PROGRAM all\nVAR\n{vars}END_VAR\n{}END_PROGRAM\n", rungs.replace("VALUE", value));
    [("empty", "PROGRAM none\nEND_PROGRAM\n".to_string()), ("all off", all("FALSE")), ("all on", all("TRUE"))]
}
