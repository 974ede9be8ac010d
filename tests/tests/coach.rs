//! The coach never loses what is hidden. In how many readings it comes to its end is asked by `cargo xtask coach-table`.
//!
//! Every twelfth suspect of the main job usually, a few of which are hidden; `SEALIN_SUSPECTS=1` suspects and hides every one.

use sealin_core::{Fault, Measurement};
use sealin_proof::suspects::{Rehearsal, Way, readings};
use sealin_tests::blind::{Blind, drawn};
use sealin_tests::coach::{Table, at_fault, by_suspect, main_job, off_list, rehearsed, tried};

/// Of the suspects of the main job one in so many is suspected, and of these one in so many is hidden.
fn scope() -> (usize, usize) {
    if std::env::var_os("SEALIN_SUSPECTS").is_some() { (1, 1) } else { (12, 4) }
}

#[test]
fn the_coach_never_loses_what_is_hidden() {
    let (of, hidden) = scope();
    let plan = main_job();
    let all: Vec<Vec<Fault>> = by_suspect(&plan).into_values().step_by(of).collect();
    let faults: Vec<Fault> = all.iter().flatten().cloned().collect();
    let rehearsal = rehearsed(&plan, &faults);
    let mut table = Table::new(&plan, all.len(), rehearsal.classes());
    for listed in all.iter().step_by(hidden) {
        table.add(tried(&rehearsal, &plan, &off_list(listed)));
    }
    println!("{table}");
    assert!(table.loses_none(), "{table}");
}

/// By hand: with nothing but eyes there is nothing to read, and a coil that is open shows as one that does not move.
#[test]
fn without_instruments_the_coach_looks_only() {
    let plan = main_job();
    let faults =
        ["QA1 coil open", "QA2 coil open", "FC1 dial at 7000"].map(|line| Fault::parse(line).unwrap());
    let mut rehearsal = Rehearsal::new(&plan, &faults, Way::usual(&plan, |_| false)).unwrap();
    while rehearsal.advance(50).unwrap().behind > 0 {}
    assert_eq!(rehearsal.classes(), 3);
    let path = rehearsal.path(&mut at_fault(&plan, &faults[0])).unwrap();
    assert_eq!((path.readings(), path.left.len()), (0, 1), "{path:?}");
}

/// Each kind of instrument by itself is one of those that are offered.
#[test]
fn the_usual_way_offers_what_there_are_instruments_for() {
    let plan = main_job();
    let clamp = |what: &Measurement| matches!(what, Measurement::Clamp { .. });
    let way = Way::usual(&plan, clamp);
    let live = &way.situations[0].offered;
    assert!(!live.is_empty() && live.iter().all(clamp));
    assert_eq!(live.len(), readings(&plan, true).iter().filter(|what| clamp(what)).count());
    assert!(way.situations.last().unwrap().offered.is_empty());
}

/// Whoever sees of the machine only what the page shows and does what the coach says finds what is hidden, puts it right and shows it. Many
/// more are searched for by `sealin-blind`.
#[test]
fn a_blinded_search_that_follows_the_coach_ends_with_the_machine_at_work() {
    let blind = Blind::of(12);
    let searched = (0..12).map(|seed| blind.search(&drawn(blind.all(), seed)).unwrap());
    let searched: Vec<_> = searched.filter(|search| search.shows).collect();
    assert!(searched.len() >= 3 && searched.iter().all(|search| search.is_found()), "{searched:#?}");
}
