//! Every older form of the attempt file stays readable: one file a version, as it was written then.

use sealin_exercise::attempt::{Act, Attempt, Change};
use sealin_exercise::setting::Setting;

/// What was read writes the same file again.
fn writes_itself_again(attempt: &Attempt) {
    assert_eq!(Attempt::parse(&attempt.to_json()).unwrap().chain(), attempt.chain());
}

/// A file of the version before has none of the acts that are new in this one.
fn is_refused_in_an_older_form(text: &str, version: u32) {
    let older =
        text.replacen(&format!("\"version\": {version}"), &format!("\"version\": {}", version - 1), 1);
    assert_ne!(older, text);
    assert!(Attempt::parse(&older).unwrap_err().message.contains(&format!("version {version}")));
}

/// Version 1: each kind of act once.
#[test]
fn version_1_reads() {
    let attempt = Attempt::parse(include_str!("../cases/attempt/version-1.attempt.json")).unwrap();
    assert_eq!(attempt.head.scenario, "paddle-closed-loop");
    assert_eq!(attempt.chain_holds(), Some(true));
    assert!(attempt.claim.is_some());
    let has = |test: fn(&Act) -> bool| attempt.entries.iter().any(|e| test(&e.act));
    assert!(has(|a| matches!(a, Act::Bench(_))));
    assert!(has(|a| matches!(a, Act::Design(_))));
    assert!(has(|a| matches!(a, Act::Undo { .. })));
    assert!(has(|a| matches!(a, Act::Redo { .. })));
    assert!(has(|a| matches!(a, Act::Transfer { cold: true })));
    assert!(has(|a| matches!(a, Act::Reading(_))));
    assert!(has(|a| matches!(a, Act::Seek { .. })));
    assert!(has(|a| matches!(a, Act::Run { .. })));
    writes_itself_again(&attempt);
}

/// Version 2: readings of every instrument and a record by hand, besides. The chain of version 1 goes on.
#[test]
fn version_2_reads() {
    let text = include_str!("../cases/attempt/version-2.attempt.json");
    let attempt = Attempt::parse(text).unwrap();
    assert_eq!(attempt.chain_holds(), Some(true));
    let words: Vec<&str> = attempt
        .entries
        .iter()
        .filter_map(|e| match &e.act {
            Act::Measure(what) => Some(what.word()),
            _ => None,
        })
        .collect();
    let wanted = [
        "volts DC",
        "volts AC",
        "ohms",
        "detector",
        "continuity",
        "insulation",
        "clamp",
        "proving unit",
        "phase sequence",
    ];
    assert_eq!(words, wanted);
    assert!(attempt.entries.iter().any(|e| matches!(e.act, Act::Record { .. })));
    writes_itself_again(&attempt);
    is_refused_in_an_older_form(text, 2);
}

/// Version 3: parts from stores taken, moved, given back with their conductors, and all of it undone. The chain of version 1
/// goes on.
#[test]
fn version_3_reads() {
    let text = include_str!("../cases/attempt/version-3.attempt.json");
    let attempt = Attempt::parse(text).unwrap();
    assert_eq!(attempt.head.scenario, "free-bench");
    assert_eq!(attempt.chain_holds(), Some(true));
    let has = |test: fn(&Act) -> bool| attempt.entries.iter().any(|e| test(&e.act));
    assert!(has(|a| matches!(a, Act::Design(Change::Mount(_)))));
    assert!(has(|a| matches!(a, Act::Design(Change::Move { .. }))));
    assert!(has(
        |a| matches!(a, Act::Design(Change::Unmount(m)) if m.conductors.len() == 1 && m.dial_ma == Some(1_600))
    ));
    assert!(has(|a| matches!(a, Act::Undo { change: Change::Mount(m), .. } if m.conductors.len() == 1)));
    assert!(has(|a| matches!(a, Act::Redo { change: Change::Unmount(_), .. })));
    writes_itself_again(&attempt);
    is_refused_in_an_older_form(text, 3);
}

/// Version 4: an answer to a prediction and a hint, on a scenario that the file carries. The chain of version 1 goes on.
#[test]
fn version_4_reads() {
    let text = include_str!("../cases/attempt/version-4.attempt.json");
    let attempt = Attempt::parse(text).unwrap();
    assert_eq!(attempt.head.scenario, "hard-wired-hold");
    assert!(attempt.head.embedded.is_some());
    assert_eq!(attempt.chain_holds(), Some(true));
    let has = |test: fn(&Act) -> bool| attempt.entries.iter().any(|e| test(&e.act));
    assert!(has(|a| matches!(a, Act::Predict { prediction, answer: 2 } if prediction == "P1")));
    assert!(has(|a| matches!(a, Act::Hint { hint } if hint == "H1")));
    writes_itself_again(&attempt);
    is_refused_in_an_older_form(text, 4);
}

/// Version 5: a device that is set, besides dials. The chain of version 1 goes on.
#[test]
fn version_5_reads() {
    let text = include_str!("../cases/attempt/version-5.attempt.json");
    let attempt = Attempt::parse(text).unwrap();
    assert_eq!(attempt.head.scenario, "condemned-panel");
    assert_eq!(attempt.chain_holds(), Some(true));
    let fitted = |act: &Act| matches!(act, Act::Design(Change::Set { part, after: Setting::Interlock(true), .. }) if part == "QA1");
    assert!(attempt.entries.iter().any(|e| fitted(&e.act)));
    writes_itself_again(&attempt);
    is_refused_in_an_older_form(text, 5);
}

/// Version 6: a search for a fault, from a look to the hand-in, with the readings that were given as evidence. The chain of version 1 goes
/// on.
#[test]
fn version_6_reads() {
    let text = include_str!("../cases/attempt/version-6.attempt.json");
    let attempt = Attempt::parse(text).unwrap();
    assert_eq!(attempt.head.scenario, "gate-pump-wont-start");
    assert_eq!(attempt.chain_holds(), Some(true));
    let has = |test: fn(&Act) -> bool| attempt.entries.iter().any(|e| test(&e.act));
    assert!(has(|a| matches!(a, Act::Look)));
    assert!(has(|a| matches!(a, Act::Repair(repair) if repair.to_string() == "remake L1")));
    assert!(has(|a| matches!(a, Act::HandIn)));
    let diagnosis = attempt.entries.iter().find_map(|e| match &e.act {
        Act::Diagnose(diagnosis) => Some(diagnosis),
        _ => None,
    });
    let diagnosis = diagnosis.expect("a diagnosis was written down");
    assert_eq!(diagnosis.fault.to_string(), "conductor L1 open");
    assert_eq!(diagnosis.evidence.len(), 4);
    for number in &diagnosis.evidence {
        assert!(matches!(attempt.entries[*number as usize].act, Act::Measure(_)), "entry {number}");
    }
    writes_itself_again(&attempt);
    is_refused_in_an_older_form(text, 6);
}
