//! A timing diagram in letters: what led to the moment at which a script broke.

use sealin_core::Trace;
use std::fmt::Write as _;

/// Columns of the time axis (own choice): a diagram fits into a terminal of 80.
const COLUMNS: u64 = 56;

/// Most lines (own choice): what the broken step names, and what moved last.
const LINES: usize = 12;

/// Shortest time that is shown, ms (own choice): a column for each tick says nothing more than a figure would.
const LEAST_MS: u64 = 560;

/// What a step names and what moved before it broke, each signal a line: `▔` it is on, `▁` it is off, `│` it changes within the column.
pub fn diagram(trace: &Trace, step: &str, end: u64) -> String {
    let named = step
        .split(|c: char| !c.is_alphanumeric() && !matches!(c, '.' | '_' | '-'))
        .filter_map(|word| trace.number(word));
    let mut shown: Vec<u32> = Vec::new();
    let moved = trace.changes().iter().rev().filter(|change| change.tick <= end);
    let mut from = end.saturating_sub(LEAST_MS);
    for (name, tick) in named.map(|name| (name, end)).chain(moved.map(|change| (change.name, change.tick))) {
        if shown.contains(&name) {
            continue;
        }
        if shown.len() == LINES {
            break;
        }
        shown.push(name);
        from = from.min(tick);
    }
    let column = (end + 1 - from).div_ceil(COLUMNS);
    let from = (end + 1).saturating_sub(column * COLUMNS);
    let wide = shown.iter().map(|&name| trace.names()[name as usize].chars().count()).max().unwrap_or(0);
    let mut out = format!("  {from} to {end} ms, a column is {column} ms\n");
    for name in shown {
        let _ = write!(out, "  {:wide$} ", trace.names()[name as usize]);
        for start in (from..=end).step_by(column as usize) {
            let next = start + column;
            let changes =
                || trace.changes().iter().filter(|c| c.name == name && (start..next).contains(&c.tick));
            out.push(match (changes().next(), trace.value_at(name, start)) {
                (Some(_), _) => '│',
                (None, true) => '▔',
                (None, false) => '▁',
            });
        }
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use sealin_core::{Bench, BenchAct};
    use sealin_exercise::scenario::Scenario;
    use sealin_exercise::session::Session;
    use sealin_exercise::shipped;
    use std::rc::Rc;

    /// By hand: at 1 ms a press of STOP, let go at 301 ms; 861 ticks in 56 columns of 16 ms are 896, so the axis begins at 0 and the break
    /// at 860 ms stands in column 53. STOP changes in columns 0 and 18, and is held between.
    #[test]
    fn what_is_named_and_what_moved_stand_on_one_axis() {
        let scenario = Scenario::parse(shipped::get("conveyor-seal-in").unwrap()).unwrap();
        let session = Session::new(Rc::new(scenario), 0).unwrap();
        let mut bench = Bench::new(session.bench().plan().clone()).unwrap();
        let mut trace = Trace::default();
        trace.design_changed(&bench);
        for (act, until) in [("press SF1", 300), ("release SF1", 860)] {
            bench.act(BenchAct::parse(act).unwrap()).unwrap();
            bench.run_until(until, &mut |bench, tick, events| trace.take(bench, tick, &events));
        }
        let told = diagram(&trace, "expect QA1.closed within 100ms", 860);
        let lines: Vec<Vec<char>> = told.lines().map(|line| line.chars().collect()).collect();
        assert_eq!(told.lines().next(), Some("  0 to 860 ms, a column is 16 ms"), "{told}");
        let line = |name: &str| {
            let line =
                lines.iter().find(|line| line.iter().collect::<String>().trim_start().starts_with(name));
            line.unwrap_or_else(|| panic!("no {name} in {told}"))
                .iter()
                .rev()
                .take(54)
                .rev()
                .collect::<String>()
        };
        assert_eq!(line("QA1.closed"), "▁".repeat(54), "{told}");
        assert_eq!(line("SF1.pressed"), format!("│{}│{}", "▔".repeat(17), "▁".repeat(35)), "{told}");
    }
}
