//! Every older form of the attempt file stays readable: one file a version, as it was written then.

use sealin_exercise::attempt::{Act, Attempt};

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
    // What was read writes the same file again.
    assert_eq!(Attempt::parse(&attempt.to_json()).unwrap().chain(), attempt.chain());
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
    assert_eq!(Attempt::parse(&attempt.to_json()).unwrap().chain(), attempt.chain());
    // A file of version 1 has none of these.
    let older = text.replacen("\"version\": 2", "\"version\": 1", 1);
    assert!(Attempt::parse(&older).unwrap_err().message.contains("version 2"));
}
