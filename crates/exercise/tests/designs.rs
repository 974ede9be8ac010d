//! Typical designs and single edits of the reference earn the marks that were reasoned for them by hand.
//!
//! Each file of tests/cases/designs is one design: a program (or edits of the reference), which of the reference's
//! wires are made, and the requirements that it loses, with the source of that expectation.

use sealin_exercise::marking::{Marks, mark};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use std::path::Path;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    format: String,
    version: u32,
    scenario: String,
    /// Where the expectation comes from.
    source: String,
    /// `all`, `none`, or `all but L7`.
    wires: String,
    marks: u32,
    loses: Vec<String>,
    /// Replaces the given program.
    program: Option<String>,
    /// Old and new text in the reference program.
    edits: Option<Vec<(String, String)>>,
}

fn read(path: &Path) -> Case {
    let case: Case = toml::from_str(&std::fs::read_to_string(path).unwrap())
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    assert_eq!((case.format.as_str(), case.version), ("sealin design case", 1), "{}", path.display());
    assert!(!case.source.is_empty(), "{}: an expectation needs a source", path.display());
    case
}

fn project(case: &Case, scenario: &Scenario) -> Project {
    let reference = shipped::reference(&case.scenario).unwrap();
    let mut project = Project::given(scenario);
    if let Some(program) = &case.program {
        project.source = program.clone();
    } else if let Some(edits) = &case.edits {
        project.source = reference.program.to_string();
        for (old, new) in edits {
            assert_eq!(
                project.source.matches(old.as_str()).count(),
                1,
                "`{old}` stands once in the reference"
            );
            project.source = project.source.replace(old.as_str(), new);
        }
    }
    let left_out = match case.wires.as_str() {
        "all" => None,
        "none" => return project,
        other => Some(other.strip_prefix("all but ").expect("all, none, or all but ID")),
    };
    for c in parse_wires(reference.wires).unwrap() {
        if Some(c.id.as_str()) != left_out {
            project.conductors.insert(c.id.clone(), c);
        }
    }
    project
}

fn lost(marks: &Marks) -> Vec<String> {
    marks.lines.iter().filter(|l| l.earned < l.of).map(|l| l.id.clone()).collect()
}

#[test]
fn designs_earn_what_was_reasoned() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/designs");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    assert!(paths.len() >= 20, "the cases are there");
    let mut wrong = Vec::new();
    for path in paths {
        let case = read(&path);
        let scenario = Scenario::parse(shipped::get(&case.scenario).unwrap()).unwrap();
        let marks = mark(&scenario, &project(&case, &scenario), &mut |_, _| true);
        assert!(marks.unfit.is_none(), "{}: {:?}", path.display(), marks.unfit);
        if lost(&marks) != case.loses || marks.earned != case.marks {
            let mut told = format!(
                "{}: earns {} and loses {:?}; expected {} and {:?}",
                path.file_stem().unwrap().display(),
                marks.earned,
                lost(&marks),
                case.marks,
                case.loses
            );
            for line in &marks.lines {
                for t in line.trials.iter().filter(|t| !t.kept) {
                    let f = t.failure.as_ref().unwrap();
                    let at = format!("{} at {}: {}", f.step, f.tick, f.seen);
                    told.push_str(&format!("\n    {} {}: {at}", line.id, t.name));
                }
            }
            wrong.push(told);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
