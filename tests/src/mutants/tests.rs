//! Edits counted by hand, and that marking stops early without coming to another end.

use super::job::{Job, Marked};
use super::{Half, Mutants, program, wires};
use sealin_exercise::marking::mark;
use sealin_ladder::{Address, Area, parse};
use std::collections::BTreeSet;

fn channels() -> Vec<Address> {
    let of = |area, count: u8| (0..count).map(move |bit| Address { area, byte: 0, bit });
    of(Area::Input, 3).chain(of(Area::Output, 2)).collect()
}

fn names(vars: &str, rungs: &str) -> Vec<String> {
    let text = format!("PROGRAM p\nVAR\n{vars}END_VAR\n{rungs}END_PROGRAM\n");
    let edits = program::edits(&parse(&text).unwrap(), &channels());
    edits.into_iter().map(|(name, _)| name).collect()
}

/// One hold. Its three contacts have four edits each: opposite, edge, two other bits. Of the branches two can be dropped, and both
/// put in a row: 3. Of the row two can be dropped and both put beside each other, and the stop goes into either branch: 5. The rung can
/// be dropped: 1; the coil is of five other kinds, and no other bit can be written: 5. `a` and `b` change over, each may be at %IX0.2, and
/// `x` at %QX0.1: 4.
#[test]
fn edits_of_a_hold() {
    let vars = "a AT %IX0.0 : BOOL;\nb AT %IX0.1 : BOOL;\nx AT %QX0.0 : BOOL;\n";
    let names = names(vars, "x := (a OR x) AND NOT b;\n");
    assert_eq!(names.len(), 12 + 3 + 5 + 1 + 5 + 4, "{names:#?}");
    for name in [
        "rung 1, contact 3 b: opposite",
        "rung 1, contact 2 x: as a rising edge",
        "rung 1, contacts 1 to 2: dropped",
        "rung 1, contact 3 b: moved into the branch of contact 2 x",
        "rung 1, set coil of x",
        "a and b: addresses changed over",
        "x: at %QX0.1",
    ] {
        assert!(names.iter().any(|n| n == name), "{name} is not among {names:#?}");
    }
}

/// Two rungs. The timer's can be dropped and changed over with the next: 2; its contact has five edits, as it is dropped too, with two
/// other bits and edge and kind; two other timers and four presets: 6. The other rung can be dropped: 1; its contact has five edits, and
/// the coil five other kinds. `a` may be at two other places, `x` at one: 3.
#[test]
fn edits_of_a_timer() {
    let vars = "a AT %IX0.0 : BOOL;\nx AT %QX0.0 : BOOL;\nt : TON;\n";
    let names = names(vars, "t(IN := a, PT := T#100ms);\nx := t.Q;\n");
    assert_eq!(names.len(), 2 + 5 + 6 + 1 + 5 + 5 + 3, "{names:#?}");
    assert!(names.iter().any(|name| name == "rung 1, t: preset T#50ms"));
}

/// A branch of two beside a contact. Each of the two can be moved out, into a branch of its own, and into the next branch: 6.
#[test]
fn moves_out_of_a_branch() {
    let vars = "a AT %IX0.0 : BOOL;\nb AT %IX0.1 : BOOL;\nx AT %QX0.0 : BOOL;\n";
    let names = names(vars, "x := a AND b OR x;\n");
    assert_eq!(names.iter().filter(|name| name.contains("moved")).count(), 6, "{names:#?}");
}

/// L4 goes from FC1:98 to XD2:4. An overload has nine other terminals and there is no other overload; XD2 has 1 2 3 5 PE besides, and XD4
/// and XE1 have a terminal 4; or it is missing. L1 with each of the three others: two ends by two. The reference sets no
/// dial.
#[test]
fn edits_of_wires() {
    let job = Job::open("conveyor-seal-in").unwrap();
    let names: Vec<String> =
        wires::edits(&job.scenario, &job.reference).into_iter().map(|(name, _)| name).collect();
    let count = |start: &str| names.iter().filter(|name| name.starts_with(start)).count();
    assert_eq!(count("L4:"), 1 + 9 + 5 + 2, "{names:#?}");
    assert_eq!(count("L1 and "), 3 * 4);
    assert_eq!(count("FC1: dial"), 0);
}

/// Names tell mutants apart, and a sample is spread over all of them.
#[test]
fn every_mutant_has_a_name_of_its_own() {
    for id in Job::ids() {
        let mutants = Mutants::of(&Job::open(id).unwrap());
        let names: BTreeSet<&str> = mutants.all.iter().map(|mutant| mutant.name.as_str()).collect();
        assert_eq!(names.len(), mutants.all.len(), "{id}");
        let sample = mutants.sample(50, 7);
        let places: Vec<usize> = sample
            .iter()
            .map(|chosen| mutants.all.iter().position(|mutant| mutant.name == chosen.name).unwrap())
            .collect();
        let stretch = mutants.all.len().div_ceil(50);
        assert_eq!(places.len(), 50.min(mutants.all.len()), "{id}");
        assert!(
            places.windows(2).all(|two| two[0] < two[1] && two[1] - two[0] < 2 * stretch),
            "{id}: {places:?}"
        );
    }
}

/// To stop at the first broken trial comes to the same as all marks, and the reference keeps them.
#[test]
fn a_mutant_that_loses_loses_by_the_marks() {
    let job = Job::open("conveyor-controller").unwrap();
    let mutants = Mutants::of(&job);
    let loses = |work| {
        let marks = mark(&job.scenario, work, &mut |_, _| true);
        marks.lines.iter().any(|line| line.earned < line.of)
    };
    let programs = mutants.sample(24, 3).into_iter().filter(|mutant| mutant.of == Half::Program);
    let lost: Vec<&str> = programs
        .filter(|mutant| loses(&mutant.work))
        .map(|mutant| {
            assert_eq!(job.marked(&mutant.work), Marked::Loses, "{}", mutant.name);
            mutant.name.as_str()
        })
        .collect();
    assert!(lost.len() > 3, "{lost:?}");
    assert!(!loses(&job.reference));
    assert_eq!(job.marked(&job.reference), Marked::Keeps);
}
