//! Single edits of references lose marks, a few of some jobs: each of them is the reference in other words, loses marks, or stands in
//! `tests/cases/mutants` with the reason. `cargo xtask mutate-designs` has all jobs and thousands of them.

use sealin_tests::mutants::Mutants;
use sealin_tests::mutants::job::Job;
use sealin_tests::mutants::listed;
use sealin_tests::mutants::report::Counts;
use sealin_tests::mutants::run::{Options, Outcome, run};
use sealin_tests::mutants::same::Bounds;

/// Jobs whose trials are short.
const JOBS: [&str; 3] = ["conveyor-seal-in", "conveyor-controller", "paddle-open-loop"];

#[test]
fn a_few_mutants_lose_marks() {
    let options = Options { most: 30, seed: 11, bounds: Bounds { scans: 200_000, states: 2_000 } };
    let mut all = Vec::new();
    for id in JOBS {
        let found = run(id, &options, &|_| ()).unwrap();
        let unlisted: Vec<_> = found
            .outcomes
            .iter()
            .filter(|(_, outcome)| matches!(outcome, Outcome::Survived { listed: None, .. }))
            .collect();
        assert!(unlisted.is_empty(), "{id}: {unlisted:#?}");
        all.push(Counts::of(&found));
    }
    let all = Counts::sum(&all);
    assert_eq!(all.mutants, JOBS.len() * options.most);
    assert!(all.killed > all.mutants / 2, "{all:?}");
}

/// What is listed is there, and what a brief is said to say stands in it word for word.
#[test]
fn the_lists_of_survivors_are_true() {
    let (mut wrong, mut mutants) = (Vec::new(), 0);
    for id in Job::ids() {
        let job = Job::open(id).unwrap();
        let all = Mutants::of(&job);
        wrong.extend(listed::check(&job, &all, &listed::read(id).unwrap()));
        mutants += all.all.len();
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(mutants >= 3_000, "{mutants} mutants of all jobs together");
}
