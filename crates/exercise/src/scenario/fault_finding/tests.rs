//! What the shipped seals hold, against the open cases of tests/cases/fault-finding; and seals that hold no faults.

use super::*;
use crate::scenario::Scenario;
use crate::shipped;
use std::path::Path;

#[derive(serde::Deserialize)]
struct Case {
    hidden: Vec<Row>,
}

#[derive(serde::Deserialize)]
struct Row {
    fault: String,
    difficulty: u8,
}

fn case(id: &str) -> Case {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/fault-finding");
    let text =
        std::fs::read_to_string(folder.join(format!("{id}.toml"))).unwrap_or_else(|e| panic!("{id}: {e}"));
    toml::from_str(&text).unwrap_or_else(|e| panic!("{id}: {e}"))
}

/// Each seal holds what its case says, in its order and with its difficulty; sealed again, the same file comes out.
#[test]
fn the_shipped_seals() {
    let mut count = 0;
    for (id, text) in shipped::all() {
        let scenario = Scenario::parse(text).unwrap_or_else(|all| panic!("{id}: {all:?}"));
        let Some(finding) = scenario.fault_finding else { continue };
        let rows = case(id).hidden;
        let said: Vec<Hidden> = rows
            .iter()
            .map(|row| Hidden { fault: Fault::parse(&row.fault).unwrap(), difficulty: row.difficulty })
            .collect();
        assert_eq!(finding.list, said, "{id}");
        let mut open: String =
            text.split_inclusive('\n').filter(|line| !line.starts_with("sealed = ")).collect();
        for row in rows {
            let (fault, difficulty) = (row.fault, row.difficulty);
            open.push_str(&format!(
                "[[fault_finding.hidden]]\nfault = \"{fault}\"\ndifficulty = {difficulty}\n"
            ));
        }
        assert_eq!(seal(&open).as_deref(), Ok(text), "{id}");
        count += 1;
    }
    assert_eq!(count, 12);
}

#[test]
fn seals_that_hold_no_faults() {
    let rows = "2 QA1 coil open\n".repeat(MOST_HIDDEN + 1);
    for (text, says) in [
        ("", "it holds no faults"),
        ("QA1", "it holds no faults"),
        ("6 QA1 coil open", "it holds no faults"),
        ("2 QA1 coil bent", "does not fit this job"),
        (rows.as_str(), "at most 50 faults"),
    ] {
        let why = unsealed(&sealed::seal(text, "one-job"), "one-job", None).unwrap_err();
        assert!(why.contains(says) && !why.contains("QA1"), "{why}");
    }
    assert_eq!(
        unsealed(&sealed::seal("2 QA1 coil open", "one-job"), "one-job", None).map(|all| all.len()),
        Ok(1)
    );
}
