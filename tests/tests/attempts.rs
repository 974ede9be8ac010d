//! The five properties of the log (design of the attempt), on generated attempts: whatever is done, the state is a fold.
//!
//! Storage, the fifth, is tried where rows are written (web); here: any cut of the entries still folds.

use sealin_exercise::attempt::{Act, Attempt, Change};
use sealin_exercise::fold::{Fold, UnsafeAct, fold};
use sealin_exercise::session::Session;
use sealin_exercise::unsafe_acts::of_all_lines;
use sealin_tests::generate::{Flavour, Random, flavour, paddle, session, with_reference};
use std::collections::BTreeSet;
use std::rc::Rc;

/// Attempts that each property is tried on; many more by SEALIN_ATTEMPTS.
fn count(usual: u64) -> u64 {
    std::env::var("SEALIN_ATTEMPTS").ok().and_then(|n| n.parse().ok()).unwrap_or(usual)
}

fn hashes(fold: &Fold) -> (String, String) {
    use sealin_core::canon::hex;
    (hex(&fold.trace.trace_hash()), hex(&fold.trace.exact_hash()))
}

/// Takes the entries of a straight log one by one, handing the fold to `between` before each.
fn walk(attempt: &Attempt, between: &mut dyn FnMut(usize, &mut Fold)) -> Fold {
    let mut state = Fold::new(paddle()).unwrap();
    for (k, entry) in attempt.entries.iter().enumerate() {
        between(k, &mut state);
        state.take(entry).unwrap();
    }
    state
}

fn straight(attempt: &Attempt) -> bool {
    !attempt.entries.iter().any(|e| matches!(e.act, Act::Seek { .. }))
}

/// 1: the fold of the log is the state that was worked on, and going on from any value of the fold gives the same.
#[test]
fn folding_afresh_equals_the_session_and_every_snapshot() {
    let scenario = paddle();
    for seed in 0..count(60) {
        let live = session(&scenario, seed);
        let attempt = live.attempt();
        let again = fold(&scenario, &attempt).unwrap();
        assert_eq!(hashes(&again), hashes(live.fold()), "seed {seed}");
        assert_eq!(again.bench.state, live.bench().state, "seed {seed}");
        assert_eq!(again.project, *live.project(), "seed {seed}");
        assert_eq!(again.readings, live.fold().readings, "seed {seed}");
        assert_eq!(again.unsafe_acts, live.fold().unsafe_acts, "seed {seed}");
        assert_eq!(of_all_lines(&scenario, &attempt).unwrap(), live.unsafe_acts(), "seed {seed}");
        assert_eq!(again.records, live.fold().records, "seed {seed}");
        if straight(&attempt) {
            let cut = attempt.entries.len() / 2;
            let mut kept = None;
            walk(&attempt, &mut |k, state| {
                if k == cut {
                    kept = Some(state.clone());
                }
            });
            let mut resumed = kept.unwrap();
            for entry in &attempt.entries[cut..] {
                resumed.take(entry).unwrap();
            }
            assert_eq!(hashes(&resumed), hashes(&again), "seed {seed}, resumed at {cut}");
        }
    }
}

/// 2: a change of the design and its undo leave the same design and the same bits.
#[test]
fn undo_leaves_no_bit_behind() {
    let scenario = paddle();
    for seed in 0..count(60) {
        let plain = session(&scenario, seed);
        let mut edited = plain.clone();
        let target = edited.project().conductors.values().find(|c| c.id.starts_with('L')).cloned();
        let change = match target {
            Some(c) => Change::Remove(c),
            None => Change::program(&edited.project().source, "PROGRAM p\nEND_PROGRAM\n").unwrap(),
        };
        edited.change(change).unwrap();
        edited.undo().unwrap();
        assert_eq!(edited.project(), plain.project());
        let mut plain = plain;
        for _ in 0..3 {
            plain.advance(1);
            edited.advance(1);
            assert_eq!(edited.bench().plan(), plain.bench().plan());
            assert_eq!(edited.bench().state, plain.bench().state, "seed {seed}");
        }
    }
}

/// 3: going back to entry k and doing the same again gives the same trace.
#[test]
fn seek_and_the_same_again_is_the_same() {
    let scenario = paddle();
    for seed in (0..count(60)).filter(|s| flavour(*s) != Flavour::Edit) {
        let live = session(&scenario, seed);
        let entries = live.attempt().entries;
        // After the work on wires and program, which is tried by the other properties.
        let power = entries.iter().position(|e| matches!(e.act, Act::Bench(_))).unwrap();
        let middle = power + (entries.len() - power) / 2;
        let mut again: Session = live.clone();
        again.seek(middle as u32, again.tick_after(middle as u32)).unwrap();
        for entry in &entries[middle + 1..] {
            again.advance(entry.at - again.tick());
            match &entry.act {
                Act::Bench(act) => again.bench_act(act.clone()).unwrap(),
                Act::Run { to } => drop(again.advance(to - again.tick())),
                Act::Measure(what) => drop(again.measure(what.clone()).unwrap()),
                Act::Record { check, text } => again.record(check, text).unwrap(),
                other => unreachable!("{other:?}"),
            }
        }
        assert_eq!(hashes(again.fold()), hashes(live.fold()), "seed {seed}");
        // And the log that says so folds to it, too.
        assert_eq!(hashes(&fold(&scenario, &again.attempt()).unwrap()), hashes(live.fold()), "seed {seed}");
    }
}

/// 4: the cache emptied at random ticks, and quiet ticks computed instead of passed over: the same bits.
#[test]
fn cache_and_quiet_skip_change_no_bit() {
    let scenario = paddle();
    for seed in 0..count(30) {
        let attempt = session(&scenario, seed).attempt();
        if !straight(&attempt) {
            continue;
        }
        let usual = walk(&attempt, &mut |_, _| {});
        let slow = walk(&attempt, &mut |_, state| state.bench.set_skip(false));
        assert_eq!(hashes(&slow), hashes(&usual), "seed {seed}: without skip");
        let mut random = Random::new(seed);
        let emptied = walk(&attempt, &mut |k, state| {
            let to = state.bench.tick() + random.below(300);
            state.run_to(to.min(attempt.entries[k].at));
            state.bench.empty_cache();
        });
        assert_eq!(hashes(&emptied), hashes(&usual), "seed {seed}: cache emptied");
    }
}

/// 5: any cut of the log is a log.
#[test]
fn any_cut_folds() {
    let scenario = paddle();
    for seed in 0..count(20) {
        let attempt = session(&scenario, seed).attempt();
        for cut in 0..=attempt.entries.len() {
            let mut short = attempt.clone();
            short.entries.truncate(cut);
            assert!(fold(&scenario, &short).is_ok(), "seed {seed}, cut at {cut}");
        }
    }
}

/// The generated attempts are what they say: motors run up and turn back, overloads trip by heat.
#[test]
fn generated_attempts_cover_what_they_should() {
    let scenario = paddle();
    let seen = |seed: u64, name: &str| {
        let s = session(&scenario, seed);
        let trace = s.trace();
        let number = trace.number(name);
        trace.changes().iter().any(|c| Some(c.name) == number && c.value)
    };
    for (seed, signal) in [
        (1, "FC1.tripped"),
        (6, "FC1.tripped"),
        (2, "MA1.clockwise"),
        (2, "MA1.counterclockwise"),
        (3, "MA1.turning"),
    ] {
        assert!(seen(seed, signal), "seed {seed}: {signal}");
    }
    assert!((4..60).step_by(5).any(|seed| !straight(&session(&scenario, seed).attempt())));
    // Every instrument and function has been read, and some readings were unsafe.
    let all: Vec<Session> = (0..60).map(|seed| session(&scenario, seed)).collect();
    let words: BTreeSet<&str> =
        all.iter().flat_map(|s| s.fold().readings.iter().map(|taken| taken.what.word())).collect();
    assert_eq!(words.len(), 9, "{words:?}");
    let unsafe_reading = |act: &UnsafeAct| matches!(act, UnsafeAct::Reading { .. });
    assert!(all.iter().any(|s| s.fold().unsafe_acts.iter().any(|(_, act)| unsafe_reading(act))));
}

/// The state of the paddle job stays small enough to be cloned for every branch of a search.
#[test]
fn state_is_at_most_4_kb() {
    let s = with_reference(&paddle());
    let bytes = s.bench().state.bytes();
    assert!(bytes <= 4096, "{bytes} bytes");
}

/// A file and back, a broken chain, a wrong claim.
#[test]
fn files_and_their_damage() {
    let scenario = paddle();
    for seed in 0..10 {
        let attempt = sealin_tests::generate::attempt(&scenario, seed);
        let read = Attempt::parse(&attempt.to_json()).unwrap();
        assert_eq!(read.chain_holds(), Some(true));
        assert_eq!(read.entries, attempt.entries);
        assert_eq!(read.claim, attempt.claim);
        let mut damaged = read.clone();
        damaged.entries[0].at += 1;
        assert_eq!(damaged.chain_holds(), Some(false));
        let session = Session::open(Rc::clone(&scenario), read).unwrap();
        assert_eq!(Some(session.trace().trace_hash()), attempt.claim);
    }
}
