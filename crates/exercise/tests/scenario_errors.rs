//! What is wrong in a scenario is told with its place and what was expected, and nothing makes the reader panic.
//!
//! Each file of tests/cases/scenario-errors is one edit of the shipped scenario; `«` marks where the problem is told.

use sealin_exercise::scenario::{MOST_BYTES, Scenario, parse_wires};
use sealin_exercise::shipped;
use std::path::Path;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    old: String,
    /// Without it the file ends where the old text begins.
    new: Option<String>,
    says: Vec<String>,
}

fn good() -> &'static str {
    shipped::get("paddle-closed-loop").unwrap()
}

fn place(text: &str, byte: usize) -> (u32, u32) {
    let before = &text[..byte];
    let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
    (before.matches('\n').count() as u32 + 1, column as u32)
}

#[test]
fn every_problem_has_its_place_and_says_what_was_expected() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/scenario-errors");
    let mut count = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let case: Case = toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let at = good().find(&case.old).unwrap_or_else(|| panic!("{name}: the old text is not there"));
        let edited = match &case.new {
            Some(new) => good().replacen(&case.old, new, 1),
            None => format!("{}'''", &good()[..at]),
        };
        let marked = edited.find('«');
        let text = edited.replace('«', "");
        let problems = Scenario::parse(&text).expect_err(&name);
        // What follows from the first problem may be told after it.
        let found = &problems[0];
        assert!(case.says.iter().all(|s| found.message.contains(s.as_str())), "{name}: {problems:#?}");
        if let Some(byte) = marked {
            assert_eq!((found.line, found.column), place(&text, byte), "{name}: {found}");
        } else {
            assert!(found.line >= 1 && found.column >= 1, "{name}");
        }
        count += 1;
    }
    assert!(count >= 30, "{count} cases");
}

#[test]
fn several_problems_are_told_at_once_in_order() {
    let text = good().replace("level = 3", "level = 7").replace("\"P03\"", "\"P02\"").replacen(
        "wait 80ms",
        "wait forever",
        1,
    );
    let problems = Scenario::parse(&text).unwrap_err();
    assert_eq!(problems.len(), 3, "{problems:#?}");
    assert!(problems.windows(2).all(|p| (p[0].line, p[0].column) <= (p[1].line, p[1].column)));
}

#[test]
fn formulas_are_read_and_count() {
    let first =
        "\"never (rose(QA1.closed) and prev(held(not QA1.closed, 20ms)) and not once(SF2.pressed, 100ms))\"";
    let text = good().replacen(first, "\"never (QX0.0 and QX0.1)\"", 1);
    let scenario = Scenario::parse(&text).unwrap();
    let formulas = &scenario.requirements.iter().find(|r| r.id == "R8").unwrap().formulas;
    assert_eq!(formulas.len(), 2);
    assert_eq!(formulas[0].verdict.to_string(), formulas[0].source);
    assert_ne!(scenario.content_hash(), Scenario::parse(good()).unwrap().content_hash());
    let spaced = text.replace("never (QX0.0 and QX0.1)", "never ( (QX0.0)  and QX0.1 )");
    assert_eq!(scenario.content_hash(), Scenario::parse(&spaced).unwrap().content_hash());
}

/// Two hours of trials at most, so that marking comes to an end.
#[test]
fn bench_time_of_all_trials_is_bounded() {
    let text = good().replace("wait 2s", "wait 1700s");
    let problems = Scenario::parse(&text).unwrap_err();
    assert!(problems[0].message.contains("at most 7200 s"), "{}", problems[0]);
}

/// Line endings, comments and layout do not count; anything that is meant does.
#[test]
fn content_hash_is_of_the_meaning() {
    let hash = |text: &str| Scenario::parse(text).unwrap().content_hash();
    let base = hash(good());
    assert_eq!(base, hash(&good().replace('\n', "\r\n")));
    assert_eq!(base, hash(&format!("# a remark\n{}", good().replace("level = 3", "level   =   3 # three"))));
    assert_eq!(base, hash(&good().replace("press SF2; wait 80ms;", "press SF2 # now\nwait 80ms;")));
    for (old, new) in [
        ("level = 3", "level = 4"),
        ("wait 80ms", "wait 81ms"),
        ("fault_current_ma = 6_000_000", "fault_current_ma = 6_000_001"),
        ("\"lamp OVERLOAD\"", "\"lamp overload\""),
        ("mirror = true", "mirror = false"),
        ("must = true\n", ""),
        ("AND NOT QA2_out;", "AND NOT QA2_out ;"),
        ("rail = 1\norder = 1", "rail = 2\norder = 1"),
        ("[\"D15\", \"earthing of 0 V\"]", "[\"D15\", \"earth of 0 V\"]"),
    ] {
        assert!(good().contains(old), "{old}");
        assert_ne!(base, hash(&good().replacen(old, new, 1)), "{old}");
    }
}

#[test]
fn what_is_too_large_or_no_text_is_refused_at_once() {
    // 50 MB of noise, by a linear congruential generator (Numerical Recipes).
    let mut seed = 1u32;
    let noise: Vec<u8> = (0..50_000_000)
        .map(|_| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 24) as u8
        })
        .collect();
    let problems = Scenario::read(&noise).unwrap_err();
    assert_eq!(problems.len(), 1);
    assert!(problems[0].message.contains("at most 1048576"), "{}", problems[0]);
    let problems = Scenario::read(&noise[..MOST_BYTES]).unwrap_err();
    assert!(problems[0].message.contains("UTF-8 is expected"), "{}", problems[0]);
    let problems = Scenario::read(b"format = \"sealin \xff").unwrap_err();
    assert_eq!((problems[0].line, problems[0].column), (1, 18));
    assert!(Scenario::parse("").is_err());
    assert!(parse_wires(&"x".repeat(1 << 20)).is_err());
}

#[test]
fn deep_nesting_is_an_error() {
    for open in ["[", "{a=", "a=[", "[[", "{"] {
        let text = format!("format = \"sealin scenario\"\nversion = 1\nx = {}", open.repeat(100_000));
        assert!(Scenario::parse(&text).is_err());
        assert!(Scenario::parse(&open.repeat(100_000)).is_err());
    }
    let deep = good().replacen("expect not QA2.closed", &format!("expect {}true", "not ".repeat(1000)), 1);
    assert!(Scenario::parse(&deep).unwrap_err()[0].message.contains("nested deeper than 64"));
}

/// Random edits of the file: each is read or refused with a place inside it.
#[test]
fn no_edit_makes_the_reader_panic() {
    let mut seed = 20_260_101u64;
    let mut next = move |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((seed >> 33) as usize) % below
    };
    let bits =
        ["'''", "\"", "[", "]", "=", "\n", "é", "0", "-", ";", "(", "not ", ":", "#", "\0", "9999999999"];
    let mut refused = 0;
    for _ in 0..400 {
        let mut text = good().to_string();
        for _ in 0..=next(3) {
            let mut at = next(text.len());
            while !text.is_char_boundary(at) {
                at -= 1;
            }
            match next(3) {
                0 => text.insert_str(at, bits[next(bits.len())]),
                1 => {
                    text.remove(at);
                }
                _ => {
                    let mut end = (at + next(200)).min(text.len());
                    while !text.is_char_boundary(end) {
                        end -= 1;
                    }
                    text.replace_range(at..end.max(at), "");
                }
            }
        }
        if let Err(problems) = Scenario::parse(&text) {
            refused += 1;
            let lines = text.matches('\n').count() as u32 + 1;
            assert!(!problems.is_empty());
            assert!(problems.iter().all(|p| (1..=lines).contains(&p.line) && p.column >= 1), "{problems:?}");
        }
    }
    assert!(refused > 100, "{refused} of 400 edits were refused");
}

/// Open stores, no marks: nothing need be required. Marks for a pass, or closed stores, want a requirement.
#[test]
fn only_a_job_without_marks_needs_no_requirement() {
    let free = shipped::get("free-bench").unwrap();
    assert!(Scenario::parse(free).unwrap().requirements.is_empty());
    for (old, new) in [("pass_marks = 0", "pass_marks = 1"), ("stores = true", "stores = false")] {
        let edited = free.replacen(old, new, 1);
        assert_ne!(edited, free);
        let problems = Scenario::parse(&edited).unwrap_err();
        assert!(problems[0].message.contains("at least one [[requirement]]"), "{problems:#?}");
    }
}
