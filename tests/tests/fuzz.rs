//! Broken input for every reader: none may panic, hang or overflow its stack, and what was read must survive being
//! written and read again.
//!
//! A line of the table adds a target. `cargo test` runs a few thousand cases of each, `cargo xtask fuzz` as many as
//! there is time for; [`sealin_tests::fuzzing`] tells how a case is run again by its number.

use sealin_core::{BenchAct, Fault, Repair, Terminal};
use sealin_exercise::attempt::lines::Lines;
use sealin_exercise::attempt::{Attempt, Entry};
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_ladder::xml::{Form, Heading};
use sealin_proof::Script;
use sealin_tests::fuzzing::{Answer, Target, gist, run};
use std::io::BufReader;

const SCENARIO: &str = include_str!("../../scenarios/paddle-closed-loop/scenario.toml");
const PROGRAM: &str = include_str!("../../scenarios/paddle-closed-loop/reference.st");
const WIRES: &str = include_str!("../../scenarios/paddle-closed-loop/reference.wires.toml");

/// An attempt with each kind of entry, after attempt.md's description of the file.
const ATTEMPT: &str = r#"{
  "head": {
    "format": "sealin attempt", "version": 1,
    "scenario": { "id": "paddle-closed-loop",
      "content_hash": "0000000000000000000000000000000000000000000000000000000000000000" },
    "model_revision": 1, "seed": 7, "author": "A learner", "started": "2026-01-01T00:00:00Z"
  },
  "entries": [
    { "at": 0, "act": { "bench": "power on" } },
    { "at": 10, "wall": 25, "act": { "bench": "press SF2" } },
    { "at": 20, "act": { "design": { "add": { "id": "901", "from": "QA1:14", "to": "KF1:I4",
      "section": 75, "colour": "dark blue", "number": "901" } } } },
    { "at": 20, "act": { "design": { "program": { "at": 0, "removed": "", "inserted": "(* a *)" } } } },
    { "at": 21, "act": { "transfer": "cold" } },
    { "at": 30, "act": { "reading": { "from": "QA1:14", "to": "GB1:-", "function": "volts DC", "shown": 24000 } } },
    { "at": 40, "act": { "seek": { "entry": 1, "tick": 15 } } },
    { "at": 99, "act": { "run": { "to": 99 } } }
  ]
}"#;

/// A search for a fault.
const HUNT: &str = include_str!("../cases/attempt/version-6.attempt.json");

/// A stream of attempts: one, an empty line, one that breaks off, one behind a carriage return.
const LINES: &str = concat!(
    "{\"head\":{\"format\":\"sealin attempt\",\"version\":1,\"scenario\":{\"id\":\"a\",\"content_hash\":",
    "\"0000000000000000000000000000000000000000000000000000000000000000\"},\"model_revision\":1,\"seed\":7,",
    "\"author\":\"\",\"started\":\"\"},\"entries\":[{\"at\":0,\"act\":{\"bench\":\"power on\"}}]}\n\n{\"head\":\r\n[]"
);

/// Most bytes of a line of a stream that is tried; the first line of [`LINES`] has fewer.
const MOST_LINE: usize = 300;

const LINE_WORDS: &[&str] =
    &["\n", "\r\n", "\n\n", "{}", "\"", "\0", "\u{feff}", "{\"head\":", "}", "a long word of many letters "];

const XML_LADDER: &str = include_str!("../cases/xml/coils-side-by-side.xml");
const XML_TEXT: &str = include_str!("../cases/xml/structured-text.xml");
const XML_BLOCKS: &str = include_str!("../cases/xml/counter-and-comparison.xml");

const XML_WORDS: &[&str] = &[
    "<contact localId=\"2\" negated=\"true\"><connectionPointIn><connection refLocalId=\"3\"/></connectionPointIn><variable>a</variable></contact>",
    "<coil localId=\"9\" storage=\"set\"><connectionPointIn><connection refLocalId=\"2\"/></connectionPointIn><variable>q</variable></coil>",
    "<connection refLocalId=\"2\"/>",
    "<connection refLocalId=\"1\"/>",
    "<connection refLocalId=\"5\" formalParameter=\"Q\"/>",
    "<leftPowerRail localId=\"1\"/>",
    "<block localId=\"5\" typeName=\"AND\">",
    "typeName=\"OR\"",
    "typeName=\"NOT\"",
    "typeName=\"CTUD\"",
    " negated=\"true\"",
    " edge=\"rising\"",
    " storage=\"reset\"",
    " executionOrderId=\"1\"",
    "formalParameter=\"IN2\"",
    "<expression>T#2s</expression>",
    "<expression>TRUE</expression>",
    "<addData/>",
    "<documentation><xhtml:p>x</xhtml:p></documentation>",
    "<variable name=\"first_scan\"><type><BOOL/></type></variable>",
    "address=\"%IX0.1\"",
    "<externalVars>",
    "<FBD>",
    "<![CDATA[",
    "]]>",
    "<!--",
    "<!DOCTYPE a [",
    "<?xml version=\"1.0\"?>",
    "&amp;",
    "&#x41;",
    "&#0;",
    "&b;",
    "xmlns=\"\"",
    "xmlns:a=\"http://www.plcopen.org/xml/tc6_0201\"",
    "/>",
    "</LD>",
    "\u{feff}",
    "\0",
];

const STRUCTURED_TEXT_WORDS: &[&str] = &[
    "PROGRAM",
    "END_PROGRAM",
    "VAR",
    "VAR_INPUT",
    "END_VAR",
    "AT",
    "%IX0.0",
    "%QX0.1",
    "%MX9.9",
    "BOOL",
    "TON",
    "TOF",
    "CTU",
    "R_TRIG",
    "SR",
    "RS",
    "(",
    ")",
    ":=",
    ":",
    ";",
    ",",
    "=>",
    "AND",
    "OR",
    "XOR",
    "NOT",
    "IF",
    "THEN",
    "ELSE",
    "END_IF",
    "TRUE",
    "FALSE",
    "T#20ms",
    "T#1d",
    "T#-1s",
    "IN",
    "PT",
    ".Q",
    "(*",
    "*)",
    "//",
    "\u{feff}",
    "é",
    "\0",
];

const SCENARIO_WORDS: &[&str] = &[
    "[[requirement]]",
    "[[part]]",
    "[[circuit]]",
    "[head]",
    "conductors",
    "marks",
    "version = 2",
    "= [",
    "\"\"\"",
    "'''",
    "steps",
    "format",
    "id = \"\"",
    "as_built = \"conveyor-seal-in\"\n",
    "[[load]]\nmotor = \"MA1\"\npermille = 1_450\n",
    "[fault_finding]\nreport = \"a\"\nhow = \"drawn\"\ntools = [\"ohms\"]\n[fault_finding.marks]\npart = 1\n",
    "[[fault_finding.shown]]\ntext = \"a\"\nwhen = \"QA1.closed\"\nfor_ms = 5\n",
    "[[fault_finding.hidden]]\nfault = \"QA1 coil open\"\ndifficulty = 1\n",
    "sealed = \"\"\n",
    "true",
    "1979-05-27T07:32:00Z",
    "inf",
    "0x",
    "\\u0000",
    "#",
    "a.b.c = 1",
    "{}",
    "\r",
];

const STEP_WORDS: &[&str] = &[
    "press SF2",
    "release SF2",
    "wait",
    "200ms",
    "2s",
    "99999999999h",
    "trip FC1",
    "reset FC1",
    "power off",
    "jam MA1",
    "open FC4",
    "close",
    "push QA1",
    "expect",
    "not",
    "within",
    "for",
    "clear all",
    "inject",
    "conductor",
    "QA1.closed",
    "QA1 13-14 stuck open",
    "dirty 500",
    "poles welded",
    "#",
    "and",
    "or",
    "implies",
    "rose(",
    "once(",
    "held(",
    "since(",
    "always",
    "never",
    "prev(",
    ",",
    ")",
    "true",
];

const JSON_WORDS: &[&str] = &[
    "null",
    "true",
    "[]",
    "{}",
    "\"\\ud800\"",
    "\"\\u0000\"",
    "\"act\":",
    "\"at\":",
    "\"bench\":",
    "\"design\":",
    "\"undo\":",
    "\"redo\":",
    "\"of\":",
    "\"before\":",
    "\"after\":",
    "\"dial\":",
    "\"alter\":",
    "\"remove\":",
    "\"embedded\":",
    "\"chain\":",
    "\"claim\":",
    "18446744073709551615",
    "1.5",
    ",",
    ":",
];

/// A test function and a target for each line: name, examples, words, reader.
macro_rules! targets {
    ($($(#[$about:meta])* $name:ident: [$($example:expr),+], $words:expr, $read:expr;)+) => {
        $(
            $(#[$about])*
            #[test]
            fn $name() {
                run(Target {
                    name: stringify!($name),
                    examples: &[$($example),+],
                    words: $words,
                    read: |input| ($read)(&String::from_utf8_lossy(input)),
                });
            }
        )+
    };
}

targets! {
    /// Programs: read, written again, compiled, drawn, remarked on.
    program: [PROGRAM, "PROGRAM p\nVAR a AT %IX0.0 : BOOL; END_VAR\nEND_PROGRAM"], STRUCTURED_TEXT_WORDS, read_program;
    /// Projects in TC6 XML 0201: what was read is written and read again, and is the same with nothing strange in it.
    xml: [XML_LADDER, XML_TEXT, XML_BLOCKS], XML_WORDS, read_xml;
    /// Scenario files.
    scenario: [SCENARIO], SCENARIO_WORDS, |text: &str| match Scenario::parse(text) {
        Ok(scenario) => {
            assert!(scenario.requirements.len() <= text.len());
            "read".into()
        }
        Err(problems) => {
            assert!(!problems.is_empty(), "refused without a reason");
            within(text, problems.iter().map(|problem| (problem.line, problem.column)));
            gist(&problems[0].message)
        }
    };
    /// Files of wires.
    wires: [WIRES], SCENARIO_WORDS, |text: &str| match parse_wires(text) {
        Ok(conductors) => format!("read {}", conductors.len().min(5)),
        Err(problems) => {
            assert!(!problems.is_empty(), "refused without a reason");
            within(text, problems.iter().map(|problem| (problem.line, problem.column)));
            gist(&problems[0].message)
        }
    };
    /// Attempt files: what was read is written and read again, and is the same.
    attempt: [ATTEMPT, HUNT], JSON_WORDS, |text: &str| match Attempt::parse(text) {
        Ok(attempt) => {
            let again = Attempt::parse(&attempt.to_json()).expect("what was written must be readable");
            assert_eq!(again.entries, attempt.entries);
            assert_eq!(again.chain(), attempt.chain());
            format!("read, {} on the line", attempt.line().len())
        }
        Err(error) => gist(&error.message),
    };
    /// Streams of attempts, one a line: cut as splitting the whole text cuts it, however much of it is there at a time.
    lines: [LINES], LINE_WORDS, read_lines;
    /// Single entries, as the browser stores them.
    entry: ["{\"at\":10,\"wall\":25,\"act\":{\"bench\":\"press SF2\"}}"], JSON_WORDS, |text: &str| match Entry::parse(text) {
        Ok(entry) => {
            assert_eq!(Entry::parse(&entry.to_json()).as_ref(), Ok(&entry));
            "read".into()
        }
        Err(message) => gist(&message),
    };
    /// Scripts of steps.
    script: ["press SF2\nwait 200ms\nrelease SF2\nexpect QA1.closed within 100ms\nexpect not QA1.closed for 2s\nclear all\n"],
        STEP_WORDS, |text: &str| match Script::parse(text) {
            Ok(script) => format!("read {}", script.longest_ms().min(1)),
            Err(errors) => {
                assert!(!errors.is_empty(), "refused without a reason");
                within(text, errors.iter().map(|error| (error.line, error.column)));
                gist(&errors[0].message)
            }
        };
    /// Requirements and the expressions in them.
    requirement: ["always (QA1.closed implies not QA2.closed)", "never held(once(rose(SF2.pressed), 500ms), 2s)"],
        STEP_WORDS, |text: &str| {
            let part = text.split_once(' ').map_or(text, |(_, rest)| rest);
            if let Ok(expr) = sealin_proof::expr::parse(part) {
                assert_eq!(sealin_proof::expr::parse(&expr.to_string()).as_ref(), Ok(&expr), "{expr}");
            }
            match sealin_proof::expr::parse_requirement(text) {
                Ok(_) => "read".into(),
                Err(error) => gist(&error.message),
            }
        };
    /// Acts, faults and terminals, which are lines of text in logs and scripts.
    act: ["inject QA1 13-14 dirty 500", "press FC1.stop", "power off", "terminate QA1:13", "swap QA1"], STEP_WORDS, |text: &str| {
        if let Ok(fault) = Fault::parse(text) {
            assert_eq!(Fault::parse(&fault.to_string()).as_ref(), Ok(&fault));
        }
        if let Some(terminal) = Terminal::parse(text) {
            assert_eq!(Terminal::parse(&terminal.to_string()), Some(terminal));
        }
        if let Ok(repair) = Repair::parse(text) {
            assert_eq!(Repair::parse(&repair.to_string()).as_ref(), Ok(&repair));
        }
        match BenchAct::parse(text) {
            Ok(act) => {
                assert_eq!(BenchAct::parse(&act.to_string()).as_ref(), Ok(&act));
                "read".into()
            }
            Err(message) => gist(&message),
        }
    };
}

fn read_program(text: &str) -> Answer {
    let reading = sealin_ladder::read(text);
    for rung in &reading.program.rungs {
        sealin_ladder::lay_out(rung);
    }
    match sealin_ladder::parse(text) {
        Ok(program) => {
            let printed = sealin_ladder::print(&program);
            let again = sealin_ladder::parse(&printed).expect("what was written must be readable");
            assert_eq!(sealin_ladder::print(&again), printed);
            let (mut before, mut after) = (Vec::new(), Vec::new());
            sealin_ladder::canonical_bytes(&program, &mut before);
            sealin_ladder::canonical_bytes(&again, &mut after);
            assert_eq!(before, after, "the program changed by being written");
            sealin_ladder::compile(&program, 20);
            let remarks = sealin_ladder::remarks(&program);
            format!("read, {} rungs, {} remarks", program.rungs.len().min(9), remarks.len().min(9))
        }
        Err(diagnostics) => {
            within(text, diagnostics.iter().map(|diagnostic| (diagnostic.line, diagnostic.column)));
            diagnostics.first().map(|diagnostic| gist(&diagnostic.message)).expect("refused without a reason")
        }
    }
}

fn read_lines(text: &str) -> Answer {
    let mut wanted: Vec<&str> = text.split('\n').collect();
    if wanted.last().is_some_and(|last| last.is_empty()) {
        wanted.pop();
    }
    let cut = |bytes| Lines::bounded(BufReader::with_capacity(bytes, text.as_bytes()), MOST_LINE);
    let mut read = 0;
    for bytes in [1, 7, 8192] {
        read = 0;
        let mut lines = cut(bytes);
        for (number, line_wanted) in wanted.iter().enumerate() {
            let line = lines.next().expect("a line for each line");
            // A carriage return goes with the end of its line; the last line of a text may have none.
            let ended = number + 1 < wanted.len() || text.ends_with('\n');
            match line {
                Ok(line) => {
                    assert!(line_wanted.len() <= MOST_LINE);
                    let whole = if ended {
                        line_wanted.strip_suffix('\r').unwrap_or(line_wanted)
                    } else {
                        line_wanted
                    };
                    assert_eq!(String::from_utf8_lossy(&line), *whole);
                    read += u32::from(Attempt::parse(&String::from_utf8_lossy(&line)).is_ok());
                }
                Err(message) => {
                    assert!(line_wanted.len() > MOST_LINE && message.contains("300 bytes"), "{message}")
                }
            }
        }
        assert!(lines.next().is_none(), "and no more");
    }
    format!("{} lines, {} attempts", wanted.len().min(9), read.min(3))
}

fn read_xml(text: &str) -> Answer {
    let heading = Heading { created: "2026-01-31T12:00:00", period_ms: 5 };
    match sealin_ladder::xml::read(text) {
        Ok(found) => {
            within(text, found.notes.iter().map(|note| (note.line, note.column)));
            let written = sealin_ladder::xml::write(&found.program, Form::Tc6, &heading);
            let again = sealin_ladder::xml::read(&written).expect("what was written must be readable");
            assert_eq!(again.notes, [], "what was written must be understood");
            assert_eq!(again.program, found.program);
            sealin_ladder::xml::write(&found.program, Form::Iec10, &heading);
            let printed = sealin_ladder::print(&found.program);
            if printed.len() <= sealin_ladder::MAX_SOURCE_BYTES {
                assert_eq!(sealin_ladder::parse(&printed).as_ref(), Ok(&found.program), "{printed}");
            }
            let told = found.notes.first().map(|note| gist(&note.done)).unwrap_or_default();
            format!(
                "read, {} rungs, {} notes: {told}",
                found.program.rungs.len().min(9),
                found.notes.len().min(9)
            )
        }
        Err(error) => {
            within(text, std::iter::once((error.line, error.column)));
            gist(&error.message)
        }
    }
}

/// Every place must lie in the text, or just behind it.
fn within(text: &str, places: impl Iterator<Item = (u32, u32)>) {
    let lines: Vec<&str> = text.split('\n').collect();
    for (line, column) in places {
        let length =
            line.checked_sub(1).and_then(|index| lines.get(index as usize)).map(|line| line.chars().count());
        // One past the end of the last line is where a text ends too early.
        let inside = match length {
            Some(length) => column >= 1 && column as usize <= length + 1,
            None => line as usize == lines.len() + 1 && column == 1,
        };
        assert!(inside, "line {line}, column {column} is not in a text of {} lines", lines.len());
    }
}

/// A damaged example reaches deep only if the whole one is accepted.
#[test]
fn the_examples_are_whole() {
    assert_eq!(sealin_ladder::parse(PROGRAM).map(|_| ()), Ok(()));
    for project in [XML_LADDER, XML_TEXT, XML_BLOCKS] {
        assert!(sealin_ladder::xml::read(project).is_ok_and(|found| found.program.rungs.len() > 1));
    }
    assert_eq!(Scenario::parse(SCENARIO).map(|_| ()), Ok(()));
    assert_eq!(parse_wires(WIRES).map(|_| ()), Ok(()));
    assert_eq!(Attempt::parse(ATTEMPT).map(|_| ()), Ok(()));
    assert_eq!(Attempt::parse(HUNT).map(|_| ()), Ok(()));
    assert!(LINES.lines().next().is_some_and(|line| line.len() <= MOST_LINE && Attempt::parse(line).is_ok()));
}
