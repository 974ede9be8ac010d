//! The coach never loses what is hidden. In how many readings it comes to its end is asked by `cargo xtask coach-table`.
//!
//! Every twelfth suspect of the main job usually, a few of which are hidden; `SEALIN_SUSPECTS=1` suspects and hides every one.

use sealin_core::{Fault, Measurement};
use sealin_proof::suspects::{Rehearsal, Way, readings};
use sealin_tests::blind::{Blind, drawn};
use sealin_tests::coach::{Table, Ways, at_fault, by_suspect, main_job, off_list, rehearsed, tried};

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
    let (mut table, ways) = (Table::new(&plan, all.len(), &rehearsal), Ways::default());
    for listed in all.iter().step_by(hidden) {
        table.add(tried(&rehearsal, &plan, &off_list(listed), &ways));
    }
    println!("{table}");
    assert!(table.loses_none(), "{table}");
}

/// By hand: a coil that is open shows in the operation. A protective conductor that is open for one does not, and a reading on it tells it. A
/// dial that stands higher is told by none: no current is that large. So two are left where nothing shows, one of which can be ruled out, and
/// on a bench where nothing is answered otherwise the coach's way is the one that it went before.
#[test]
fn where_nothing_shows_a_reading_tells_its_own_place() {
    let plan = main_job();
    let faults =
        ["QA1 coil open", "conductor E04 open", "FC1 dial at 7000"].map(|line| Fault::parse(line).unwrap());
    let rehearsal = rehearsed(&plan, &faults);
    let silence = rehearsal.silence();
    assert_eq!((silence.left, silence.by_all()), (2, 1));
    assert_eq!(silence.readings_at_least(), 1);
    let ways = Ways::default();
    let dial = tried(&rehearsal, &plan, &faults[2], &ways);
    assert_eq!((dial.shows, dial.readings, dial.left, dial.kept), (false, 1, 1, true), "{dial:?}");
    // Of another dial the same is seen and read, so it is the same way: it ends with the dial that was suspected.
    let other = tried(&rehearsal, &plan, &Fault::parse("FC1 dial at 6500").unwrap(), &ways);
    assert_eq!((other.readings, other.left), (1, 1), "{other:?}");
    let open = tried(&rehearsal, &plan, &faults[1], &ways);
    assert_eq!((open.shows, open.readings, open.left, open.kept), (false, 1, 1, true), "{open:?}");
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
