//! What marking an attempt again reports of its file: chains, orders of ticks and of wall time, and marks that were kept.

use sealin_core::{BenchAct, Conductor};
use sealin_exercise::attempt::{Act, Attempt, Break, Change, Entry, Head};
use sealin_exercise::grade::{Judge, grade, kept, order};
use sealin_exercise::marking::Marks;
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::rc::Rc;

const PADDLE: &str = "paddle-closed-loop";

fn scenario() -> Rc<Scenario> {
    Rc::new(Scenario::parse(shipped::get(PADDLE).unwrap()).unwrap())
}

/// An attempt of bench acts at these ticks, with these wall times.
fn attempt(entries: &[(u64, Option<u32>)]) -> Attempt {
    let head = Head {
        scenario: PADDLE.to_string(),
        content_hash: scenario().content_hash(),
        embedded: None,
        model_revision: sealin_core::MODEL_REVISION,
        seed: 0,
        author: String::new(),
        started: String::new(),
    };
    let mut attempt = Attempt::new(head);
    let line = |k: usize| if k.is_multiple_of(2) { "press SF2" } else { "release SF2" };
    attempt.entries.extend(entries.iter().enumerate().map(|(k, &(at, wall_ms))| Entry {
        at,
        wall_ms,
        act: Act::Bench(BenchAct::parse(line(k)).unwrap()),
    }));
    attempt
}

/// Four entries as they stand in a file, which is changed and read again.
fn broken(change: impl FnOnce(String) -> String) -> Option<Break> {
    let text = attempt(&[(10, None), (20, None), (30, None), (40, None)]).to_json();
    let changed = change(text.clone());
    assert_ne!(text, changed);
    Attempt::parse(&changed).unwrap().chain_broken()
}

/// The text of an entry, as it stands in the file with the comma behind it.
fn entry(text: &str, at: u64) -> String {
    let start = text.find(&format!("    {{\n      \"at\": {at}")).unwrap();
    let end = start + text[start..].find("\n    }").unwrap() + "\n    }".len();
    text[start..end].to_string() + if text[end..].starts_with(',') { ",\n" } else { "" }
}

/// Each place is where the file was changed: value n of the chain is over all that stands before it, so the first link that differs is
/// that of the first entry that is not what it was.
#[test]
fn a_broken_chain_is_told_from_where_on() {
    let whole = attempt(&[(10, None), (20, None)]).to_json();
    let read = Attempt::parse(&whole).unwrap();
    assert_eq!((read.chain_holds(), read.chain_broken()), (Some(true), None));
    assert_eq!(broken(|t| t.replacen("\"at\": 30", "\"at\": 31", 1)), Some(Break::Entry(2)));
    assert_eq!(broken(|t| t.replacen("\"seed\": 0", "\"seed\": 1", 1)), Some(Break::Head));
    // One taken out: where it was now stands the next.
    assert_eq!(broken(|t| t.replacen(&entry(&t, 20), "", 1)), Some(Break::Entry(1)));
    // One put in.
    assert_eq!(broken(|t| t.replacen(&entry(&t, 20), &entry(&t, 20).repeat(2), 1)), Some(Break::Entry(2)));
    let last = |t: &str| format!(",\n{}", entry(t, 40));
    assert_eq!(broken(|t| t.replacen(&last(&t), "", 1)), Some(Break::Cut));
    let value = |t: &str| t[t.find("\"chain\": \"").unwrap() + 10..][..64].to_string();
    assert_eq!(broken(|t| t.replacen(&value(&t), &"0".repeat(64), 1)), Some(Break::Value));
    // Author and start are no part of it, and a link that was damaged alone is nothing.
    assert_eq!(broken(|t| t.replacen("\"author\": \"\"", "\"author\": \"Rook\"", 1)), None);
}

/// A file of version 3 has the value at the end alone: what was added behind it is found, a change in the midst is not placed.
#[test]
fn without_links_the_place_is_told_where_it_can_be() {
    let older = |text: &str| {
        let start = text.find(",\n  \"links\"").unwrap();
        let end = start + 2 + text[start + 2..].find(['\n']).unwrap();
        format!("{}{}", &text[..start], &text[end..]).replacen("\"version\": 6", "\"version\": 3", 1)
    };
    let (short, long) = (attempt(&[(10, None)]), attempt(&[(10, None), (20, None), (30, None)]));
    let value = |a: &Attempt| sealin_core::canon::hex(&a.chain());
    let text = older(&long.to_json());
    assert_eq!(Attempt::parse(&text).unwrap().chain_broken(), None);
    let added = text.replacen(&value(&long), &value(&short), 1);
    assert_eq!(Attempt::parse(&added).unwrap().chain_broken(), Some(Break::Entry(1)));
    let changed = text.replacen("\"at\": 20", "\"at\": 21", 1);
    assert_eq!(Attempt::parse(&changed).unwrap().chain_broken(), Some(Break::Unknown));
    let newer = long.to_json().replacen("\"version\": 6", "\"version\": 3", 1);
    assert!(Attempt::parse(&newer).unwrap_err().message.contains("version 4"));
}

#[test]
fn links_that_are_none_are_refused() {
    let text = attempt(&[(10, None)]).to_json();
    let start = text.find("\"links\": \"").unwrap() + 10;
    for wrong in ["12", "12345", "12g4", "+123"] {
        let changed = format!("{}{wrong}{}", &text[..start], &text[start + 8..]);
        assert!(Attempt::parse(&changed).unwrap_err().message.contains("links: "), "{wrong}");
    }
}

/// Entry 2 at tick 15 comes after tick 20 of entry 1. The log cannot be followed, and that is why.
#[test]
fn an_impossible_order_of_ticks_is_told() {
    let wrong = attempt(&[(10, None), (20, None), (15, None), (40, None)]);
    assert_eq!(order::backwards(&wrong), Some(order::Backwards { entry: 2, at: 15, now: 20 }));
    let error = grade(&scenario(), &wrong).unwrap_err().to_string();
    assert_eq!(error, "impossible order: entry 2 at tick 15 comes after tick 20 had been computed");
    assert_eq!(order::backwards(&attempt(&[(10, None), (10, None)])), None, "two at one tick are possible");
}

/// A way back to entry 0 at tick 12, made at tick 30: what follows may lie at tick 15. Made at tick 25, behind tick 30, it is
/// impossible, though the log can be followed.
#[test]
fn a_way_back_is_no_impossible_order() {
    let seek = |at| {
        let mut a = attempt(&[(10, None), (30, None), (at, None), (15, None)]);
        a.entries[2].act = Act::Seek { entry: 0, tick: 12 };
        a
    };
    assert_eq!(order::backwards(&seek(30)), None);
    let report = grade(&scenario(), &seek(25)).unwrap();
    assert_eq!(report.backwards, Some(order::Backwards { entry: 2, at: 25, now: 30 }));
    assert!(
        report.remarks().iter().any(|r| r.starts_with("impossible order: entry 2")),
        "{:?}",
        report.remarks()
    );
}

/// By hand: a page runs at most 1,000 ms of bench time a millisecond, counted over the wall time, an eighth of it and 100 ms. In 800 ms
/// that is (800 + 100 + 100) · 1,000 = 1,000,000 ticks.
#[test]
fn an_impossible_wall_time_is_told() {
    let ran = |ticks: u64| attempt(&[(10, Some(5)), (10 + ticks, Some(800))]);
    assert_eq!(order::too_fast(&ran(1_000_000)), None);
    let found = order::TooFast { entry: 1, ran_ms: 1_000_001, wall_ms: 800 };
    assert_eq!(order::too_fast(&ran(1_000_001)), Some(found));
    // No time at all: 100 ms are passed over.
    let none = |ticks: u64| attempt(&[(10, Some(5)), (10 + ticks, None)]);
    assert_eq!(order::too_fast(&none(100_000)), None);
    assert!(order::too_fast(&none(100_001)).is_some());
    // Without a clock there is no wall time.
    assert_eq!(order::too_fast(&attempt(&[(10, None), (50_000_000, None)])), None);
    // The open tail runs within its own wall time; what comes after it begins there.
    let mut tail = attempt(&[(10, Some(5)), (10, Some(100)), (900_000, Some(1))]);
    tail.entries[1].act = Act::Run { to: 900_000 };
    assert_eq!(order::too_fast(&tail), Some(order::TooFast { entry: 1, ran_ms: 899_990, wall_ms: 100 }));
    let report = grade(&scenario(), &ran(1_000_001)).unwrap();
    assert!(report.remarks().iter().any(|r| r.starts_with("impossible wall time: 1000001 ms")));
}

/// A work with these of the reference's wires, in this order, and the reference's program, changed.
fn work(scenario: &Scenario, without: &[&str], reversed: bool, edit: (&str, &str)) -> Project {
    let reference = shipped::reference(PADDLE).unwrap();
    let mut wires = parse_wires(reference.wires).unwrap();
    wires.retain(|w| !without.contains(&w.id.as_str()));
    if reversed {
        wires.reverse();
    }
    let mut project = Project::given(scenario);
    for (n, wire) in wires.into_iter().enumerate() {
        let id = format!("L{}", n + 1);
        project.apply(scenario, &Change::Add(Conductor { id, ..wire })).unwrap();
    }
    project.source = reference.program.replacen(edit.0, edit.1, 1);
    project
}

/// Kept or computed, of works that earn everything, little, and nothing: the same marks with every word of evidence. A kept text
/// serves whatever has its key: wires made in another order, a program with other comments.
#[test]
fn what_is_kept_is_what_is_computed() {
    let scenario = scenario();
    let marks = |p: &Project| Judge::Trials.marks(&scenario, p);
    let key = |p: &Project| kept::key(&scenario, p, Judge::Trials);
    let read = |text: &str| kept::read(&scenario, text).unwrap();
    let comment = ("\n", "\n(* mine *)\n");
    let whole = work(&scenario, &[], false, ("", ""));
    let works = [
        (whole.clone(), work(&scenario, &[], true, comment)),
        (work(&scenario, &["L7"], false, ("", "")), work(&scenario, &["L7"], true, comment)),
        (work(&scenario, &[], false, (" NOT ", " ")), work(&scenario, &[], true, (" NOT ", " "))),
        (Project::given(&scenario), Project::given(&scenario)),
    ];
    let mut all: Vec<Marks> = Vec::new();
    for (one, other) in &works {
        let text = kept::write(&marks(one)).unwrap();
        assert_eq!(key(one), key(other));
        assert_eq!(read(&text), marks(one));
        assert_eq!(read(&text), marks(other));
        all.push(read(&text));
    }
    assert_eq!((all[0].earned, all[0].passed), (100, true), "the reference earns full marks");
    assert!(
        all.iter()
            .skip(1)
            .all(|m| m.earned < 100 && m.lines.iter().any(|l| l.trials.iter().any(|t| !t.kept)))
    );
    let keys: std::collections::BTreeSet<_> = works.iter().map(|(one, _)| key(one)).collect();
    assert_eq!(keys.len(), 4, "different works have different keys");
    let proven = |most| kept::key(&scenario, &whole, Judge::Proofs(most));
    assert!(key(&whole) != proven(1) && proven(1) != proven(2), "who decides counts");
}

/// What cannot be built has a reason with places in the text, which comments shift: it is not kept. Nor does a text of another
/// scenario fit.
#[test]
fn what_depends_on_more_is_not_kept() {
    let scenario = scenario();
    let unreadable = work(&scenario, &[], false, (":=", "="));
    let marks = Judge::Trials.marks(&scenario, &unreadable);
    assert!(marks.unfit.is_some());
    assert_eq!(kept::write(&marks), None);
    let text = kept::write(&Judge::Trials.marks(&scenario, &Project::given(&scenario))).unwrap();
    let mut other = Scenario::clone(&scenario);
    other.requirements.pop();
    assert_eq!(kept::read(&other, &text), None);
    assert_eq!(kept::read(&scenario, &text[..text.len() - 1]), None);
}

/// The acts count, not when they were begun, by whom, or by which clock.
#[test]
fn equal_acts_are_equal_whoever_did_them() {
    let hash = |a: &Attempt| grade(&scenario(), a).unwrap().acts_hash;
    let one = attempt(&[(10, None), (20, None)]);
    let mut copied = attempt(&[(10, Some(9)), (20, Some(7))]);
    copied.head.author = "Rook".to_string();
    copied.head.seed = 9;
    assert_eq!(hash(&one), hash(&copied));
    copied.entries.push(Entry { at: 20, wall_ms: None, act: Act::Run { to: 500 } });
    assert_eq!(hash(&one), hash(&copied), "how long the bench ran after it is no act");
    assert_ne!(hash(&one), hash(&attempt(&[(10, None), (21, None)])));
    let session = Session::new(scenario(), 0).unwrap();
    assert_eq!(grade(&scenario(), &session.attempt()).unwrap().acts, 0);
}
