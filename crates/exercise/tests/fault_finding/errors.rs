//! What is wrong in a job of fault finding is told with its place and what was expected, and what is wrong with a seal tells nothing of what
//! is in it. Each row is one edit of a job that reads; `«` marks where the problem is told.

use sealin_exercise::scenario::{Problem, Scenario, seal};

pub const GOOD: &str = r#"
format = "sealin scenario"
version = 1
id = "find-it"
title = "Find it"
site = "Copper Reach lock"
machine = "Paddle gear PG-1"
level = 2
minutes = 45
sheets = ["brief"]
language = "en"
symbols = "IEC 60617"
region = "400 V 50 Hz"
pass_marks = 20
as_built = "paddle-closed-loop"
brief = "Find it."

[[load]]
motor = "MA1"
permille = 900

[fault_finding]
report = "It does not raise."
tools = ["volts", "swap"]
how = "drawn"
difficulty = 2

[fault_finding.marks]
part = 20

[[fault_finding.shown]]
text = "It raises"
when = "QA1.closed"
for_ms = 500

[[fault_finding.hidden]]
fault = "conductor C06 open"
difficulty = 1

[[fault_finding.hidden]]
fault = "QA2 coil open"
difficulty = 2
"#;

const EDITS: [(&str, &str, &str); 25] = [
    ("\"swap\"", "«\"mend\"", "`mend` is no tool; expected: volts, ohms, clamp"),
    ("\"swap\"", "«\"volts\"", "`volts` stands there twice"),
    ("how = \"drawn\"", "how = «\"at once\"", "one of drawn, together, in turn"),
    ("how = \"drawn\"", "", "`how`"),
    ("part = 20", "part = 20\nreadings = 5", "`needed_readings`: readings are marked"),
    ("part = 20", "part = 20\nneeded_readings = 5", "`needed_readings` is not known here"),
    ("part = 20", "part = 20\nworth = 5", "`suspects_left`: the worth of readings is marked"),
    (
        "how = \"drawn\"\ndifficulty = 2\n\n[fault_finding.marks]\npart = 20",
        "how = \"together\"\nsuspects_left = 2\n\n[fault_finding.marks]\npart = 20\nworth = 5",
        "`worth`: what is suspected is single faults",
    ),
    ("report = \"It does not raise.\"", "", "`report`"),
    (
        "difficulty = 2\n\n[fault_finding.marks]",
        "difficulty = «3\n\n[fault_finding.marks]",
        "is of this difficulty",
    ),
    ("\"drawn\"\ndifficulty = 2", "\"together\"\ndifficulty = «2", "only what is drawn is drawn by it"),
    ("difficulty = 2\n\n[fault_finding.marks]", "difficulty = «6\n\n[fault_finding.marks]", "from 1 to 5"),
    ("part = 20", "part = «2000", "from 0 to 1000"),
    ("part = 20", "«guess = 20", "`guess` is not known here; expected: part, fault, evidence"),
    ("when = \"QA1.closed\"", "when = \"«QA7.closed\"", "QA7"),
    ("when = \"QA1.closed\"", "when = \"QA1.closed or«\"", "expected"),
    ("for_ms = 500", "for_ms = «4000000", "from 0 to 3600000"),
    ("\"conductor C06 open\"", "«\"conductor C06 bent\"", "is no fault; expected"),
    ("\"conductor C06 open\"", "«\"conductor C99 open\"", "there is no conductor `C99`"),
    ("difficulty = 1", "difficulty = «9", "from 1 to 5"),
    ("\"paddle-closed-loop\"", "«\"free-bench\"", "`free-bench` is no job that ships with a reference"),
    ("\"paddle-closed-loop\"", "«\"nowhere\"", "`nowhere` is no job that ships with a reference"),
    (
        "brief = \"Find it.\"",
        "brief = \"Find it.\"\nalarms = «[\"QX0.4\"]",
        "`alarms`: it is taken from the job",
    ),
    ("motor = \"MA1\"", "motor = «\"QA1\"", "there is no motor `QA1` in the job that is taken over"),
    ("permille = 900", "permille = «9000", "from 1 to 3000"),
];

fn place(text: &str, byte: usize) -> (u32, u32) {
    let before = &text[..byte];
    let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
    (before.matches('\n').count() as u32 + 1, column as u32)
}

fn problems(text: &str) -> Vec<Problem> {
    Scenario::parse(text).expect_err("it is wrong")
}

#[test]
fn every_problem_has_its_place_and_says_what_was_expected() {
    assert!(Scenario::parse(GOOD).is_ok(), "{:?}", problems(GOOD));
    for (old, new, says) in EDITS {
        assert_eq!(GOOD.matches(old).count(), 1, "{old}");
        let edited = GOOD.replacen(old, new, 1);
        let text = edited.replace('«', "");
        let found = &problems(&text)[0];
        assert!(found.message.contains(says), "{new}: {found}");
        if let Some(byte) = edited.find('«') {
            assert_eq!((found.line, found.column), place(&text, byte), "{new}: {found}");
        }
    }
}

#[test]
fn something_must_be_hidden() {
    let at = GOOD.find("[[fault_finding.hidden]]").unwrap();
    let found = &problems(&GOOD[..at])[0];
    assert!(
        found.message.contains("at least one [[fault_finding.hidden]], or `sealed`, is expected"),
        "{found}"
    );
    let fault = "[[fault_finding.hidden]]\nfault = \"QA1 coil open\"\ndifficulty = 2\n";
    let many = format!("{}{}", &GOOD[..at], fault.repeat(51));
    assert!(problems(&many)[0].message.contains("at most 50 tables"));
}

/// A seal is refused with everything that was not sealed with it, and the refusal names nothing that is in it.
#[test]
fn seals() {
    let sealed = seal(GOOD).unwrap();
    assert!(Scenario::parse(&sealed).is_ok());
    let line = sealed.lines().find(|line| line.starts_with("sealed = ")).unwrap();
    let changed = format!("{}A\"", &line[..line.len() - 2]);
    let both = format!("{sealed}\n[[fault_finding.hidden]]\nfault = \"QA1 coil open\"\ndifficulty = 2\n");
    let rows = [
        (sealed.replace("\"find-it\"", "\"find-that\""), "belongs to another job"),
        (sealed.replace(line, &changed), "it was changed"),
        (sealed.replace(line, "sealed = \"no seal\""), "it was changed"),
        (sealed.replace("paddle-closed-loop", "conveyor-seal-in"), "does not fit this job"),
        (sealed.replace("difficulty = 2", "difficulty = 5"), "none of what may be hidden"),
        (both, "the faults stand openly beside it"),
    ];
    for (text, says) in rows {
        let all = problems(&text);
        assert!(all[0].message.contains(says), "{says}: {all:?}");
        assert!(all.iter().all(|p| !p.message.contains("C06") && !p.message.contains("QA2")), "{all:?}");
    }
    for (text, says) in [
        (sealed.as_str(), "sealed already"),
        (
            &GOOD[..GOOD.find("[fault_finding]").unwrap()].replace("pass_marks = 20", "pass_marks = 0"),
            "there is no [fault_finding]",
        ),
        (&GOOD.replacen("\"swap\"", "\"mend\"", 1), "is no tool"),
        (&in_line(), "in an order that cannot be sealed"),
    ] {
        let why = seal(text).unwrap_err();
        assert!(why.contains(says), "{why}");
    }
}

/// The same faults, where no heading says where they begin.
fn in_line() -> String {
    let at = GOOD.find("[[fault_finding.hidden]]").unwrap();
    let faults = "hidden = [{ fault = \"QA2 coil open\", difficulty = 2 }]\n\n[fault_finding.marks]";
    GOOD[..at].replacen("\n[fault_finding.marks]", faults, 1)
}
