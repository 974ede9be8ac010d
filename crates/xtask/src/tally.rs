//! Counting tests over several runners, by the closing lines they print.

/// How many tests passed and failed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Tests that passed.
    pub passed: u64,
    /// Tests that failed, ran out of time or could not be started.
    pub failed: u64,
}

/// Who runs the tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Runner {
    /// Rust's own.
    Rust,
    /// cargo-nextest. It shows what a failed test has printed, the closing line of Rust's runner within.
    Nextest,
}

impl Tally {
    /// Adds what a line of output says, if it is the closing line of the runner.
    pub fn read_line(&mut self, line: &str, runner: Runner) {
        let plain = without_colour(line);
        let text = plain.trim_start();
        match runner {
            Runner::Rust => {
                if let Some(counts) = text.strip_prefix("test result: ") {
                    self.read_counts(counts.split(". ").nth(1).unwrap_or(""), ';');
                }
            }
            Runner::Nextest => {
                if text.starts_with("Summary [")
                    && let Some((_, counts)) = text.split_once(" run: ")
                {
                    self.read_counts(counts, ',');
                }
            }
        }
    }

    /// Adds another tally.
    pub fn add(&mut self, other: Tally) {
        self.passed += other.passed;
        self.failed += other.failed;
    }

    fn read_counts(&mut self, counts: &str, separator: char) {
        for part in counts.split(separator) {
            let mut words = part.split_whitespace();
            let Some(count) = words.next().and_then(|word| word.parse::<u64>().ok()) else { continue };
            match words.next() {
                Some("passed") => self.passed += count,
                Some("failed" | "exec" | "timed") => self.failed += count,
                _ => {}
            }
        }
    }
}

/// The line without the escape sequences that colour it: ESC, `[`, parameters, a letter (ECMA-48, 5.4).
fn without_colour(line: &str) -> String {
    let mut plain = String::with_capacity(line.len());
    let mut letters = line.chars();
    while let Some(letter) = letters.next() {
        if letter == '\u{1b}' {
            letters.by_ref().find(char::is_ascii_alphabetic);
        } else {
            plain.push(letter);
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(lines: &[&str], runner: Runner) -> Tally {
        let mut tally = Tally::default();
        lines.iter().for_each(|line| tally.read_line(line, runner));
        tally
    }

    // The lines are of the two runners' documentation.
    #[test]
    fn reads_rusts_own_runner() {
        let ok =
            "test result: ok. 12 passed; 0 failed; 3 ignored; 0 measured; 1 filtered out; finished in 0.01s";
        let bad = "test result: FAILED. 5 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out";
        assert_eq!(read(&[ok, bad], Runner::Rust), Tally { passed: 17, failed: 2 });
    }

    #[test]
    fn reads_nextest() {
        let ok = "     Summary [   0.006s] 3 tests run: 3 passed (1 slow), 7 skipped";
        let bad =
            "     Summary [  10.1s] 4/9 tests run: 1 passed, 1 failed, 1 exec failed, 1 timed out, 0 skipped";
        assert_eq!(read(&[ok, bad], Runner::Nextest), Tally { passed: 4, failed: 3 });
    }

    #[test]
    fn sees_through_colour_and_ignores_other_lines() {
        let coloured = "\u{1b}[32;1m     Summary\u{1b}[0m [   0.006s] \u{1b}[1m1\u{1b}[0m test run: \u{1b}[1m1\u{1b}[0m \u{1b}[32;1mpassed\u{1b}[0m, 0 skipped";
        let other = "Summary of the job: 5 run: 5 passed";
        let lines = [coloured, other, "3 passed, 4 failed"];
        assert_eq!(read(&lines, Runner::Nextest), Tally { passed: 1, failed: 0 });
    }

    #[test]
    fn a_failed_test_whose_output_nextest_shows_counts_once() {
        let shown = "    test result: FAILED. 0 passed; 1 failed; 0 ignored; 0 measured; 4 filtered out";
        let closing = "     Summary [   2.0s] 5 tests run: 4 passed, 1 failed, 0 skipped";
        assert_eq!(read(&[shown, closing], Runner::Nextest), Tally { passed: 4, failed: 1 });
    }
}
