//! Runs a reader on broken input until a number of cases or a time is reached.
//!
//! Environment, as `cargo xtask fuzz` sets it:
//!
//! | variable | meaning |
//! | --- | --- |
//! | `SEALIN_FUZZ_RUNS` | cases for each target; 2,000 if neither this nor the next is set |
//! | `SEALIN_FUZZ_SECONDS` | time for each target |
//! | `SEALIN_FUZZ_SEED` | where the sequence starts; 1 if unset |
//! | `SEALIN_FUZZ_CASE` | the one case to run; the cases before it are run too, as they shape the examples |
//! | `SEALIN_FUZZ_DIR` | a folder for the input in hand, so that one that ends the process is not lost |

use std::collections::BTreeSet;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use crate::mutate::Mutator;

/// The stack of the thread that reads: as large as that of a WebAssembly module built by rustc (1 MiB), where too deep
/// a recursion would end the bench.
const STACK_BYTES: usize = 1 << 20;

/// A case that takes this long counts as a hang. Inputs have at most 64 KiB, so this is generous on any machine.
const HANG: Duration = Duration::from_secs(30);

/// What a reader made of an input: any text that tells one way of answering from another. An input with an answer not
/// seen before is kept as an example, so it should name the kind of error, and not hold numbers from the input.
pub type Answer = String;

/// A reader under test.
#[derive(Clone, Copy)]
pub struct Target {
    /// What it is called in the output.
    pub name: &'static str,
    /// Whole inputs to start from.
    pub examples: &'static [&'static str],
    /// Words of the format.
    pub words: &'static [&'static str],
    /// Reads the input. Panics if a promise is broken.
    pub read: fn(&[u8]) -> Answer,
}

/// Runs a target.
///
/// # Panics
/// If the reader panics or hangs; the message names the target, seed and case.
pub fn run(target: Target) {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let seed = number("SEALIN_FUZZ_SEED").unwrap_or(1);
    let last_case = number("SEALIN_FUZZ_CASE");
    let time = number("SEALIN_FUZZ_SECONDS").map(Duration::from_secs);
    let runs = match (last_case, number("SEALIN_FUZZ_RUNS"), time) {
        (Some(case), ..) => case + 1,
        (None, Some(runs), _) => runs,
        (None, None, Some(_)) => u64::MAX,
        (None, None, None) => 2_000,
    };
    let time = time.filter(|_| last_case.is_none());
    let file = std::env::var_os("SEALIN_FUZZ_DIR").map(|dir| PathBuf::from(dir).join(target.name));

    let (send, receive) = channel();
    let cases = move || {
        let start = Instant::now();
        let examples: Vec<&[u8]> = target.examples.iter().map(|example| example.as_bytes()).collect();
        let mut mutator = Mutator::new(seed, &examples, target.words);
        let mut seen = BTreeSet::new();
        for case in 0..runs {
            if time.is_some_and(|limit| start.elapsed() >= limit) {
                break;
            }
            let input = mutator.next_input();
            keep_on_disk(file.as_ref(), &input);
            // Every case is announced, so that a hang is known by its number.
            if send.send(Ok(case)).is_err() {
                return;
            }
            match catch_unwind(AssertUnwindSafe(|| (target.read)(&input))) {
                Ok(answer) => {
                    if seen.insert(short(&answer)) {
                        mutator.keep(input);
                    }
                }
                Err(_) => {
                    let _ = send.send(Err((case, input)));
                    return;
                }
            }
        }
    };
    let thread =
        std::thread::Builder::new().stack_size(STACK_BYTES).spawn(cases).expect("a thread to read in");

    let mut count = 0;
    let again = |case: u64| format!("cargo xtask fuzz {} --seed {seed} --case {case}", target.name);
    loop {
        match receive.recv_timeout(HANG) {
            Ok(Ok(case)) => count = case + 1,
            Ok(Err((case, input))) => {
                panic!(
                    "{}: seed {seed}, case {case} panicked; again by: {}\n{}",
                    target.name,
                    again(case),
                    String::from_utf8_lossy(&input[..input.len().min(2000)])
                )
            }
            Err(RecvTimeoutError::Disconnected) => break,
            Err(RecvTimeoutError::Timeout) => {
                let case = count.saturating_sub(1);
                panic!("{}: seed {seed}, case {case} hangs; again by: {}", target.name, again(case))
            }
        }
    }
    thread.join().expect("the reading thread reports its panics");
    assert!(count > 0, "{}: no case was run", target.name);
    println!("{}: seed {seed}, {count} cases", target.name);
}

/// Writes the input where it is found if it ends the process (a stack overflow cannot be caught).
fn keep_on_disk(file: Option<&PathBuf>, input: &[u8]) {
    let Some(file) = file else { return };
    if let Some(dir) = file.parent() {
        let _ = std::fs::create_dir_all(dir);
    }
    std::fs::write(file, input).expect("the input in hand must be kept");
}

/// The kind of a message: its letters, without what stands in quotes or backquotes, for use as an [`Answer`].
pub fn gist(message: &str) -> String {
    let outside = message.split(['`', '"', '\'']).step_by(2);
    outside.flat_map(str::chars).filter(|letter| letter.is_alphabetic()).take(200).collect()
}

fn short(answer: &str) -> u64 {
    let mut hash = DefaultHasher::new();
    answer.hash(&mut hash);
    hash.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reader(read: fn(&[u8]) -> Answer) -> Target {
        Target { name: "test", examples: &["(a)"], words: &["b"], read }
    }

    #[test]
    fn a_sound_reader_passes() {
        run(reader(|input| format!("{}", input.len().min(3))));
    }

    #[test]
    fn a_gist_leaves_out_what_comes_from_the_input() {
        assert_eq!(gist("line 3: `foo` is not known"), gist("line 17: `barbar` is not known"));
        assert_ne!(gist("a name is expected"), gist("a number is expected"));
    }

    // The reader has a fault that only an input out of the ordinary reaches.
    #[test]
    #[should_panic(expected = "panicked; again by")]
    fn a_reader_that_panics_is_found() {
        run(reader(|input| {
            assert!(!input.windows(3).any(|part| part == b"((("), "too deep");
            String::new()
        }));
    }
}
