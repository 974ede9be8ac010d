//! The benchmarks, run as a release by `cargo xtask bench [NAME] [--json]`: one JSON object a line.
//!
//! Each measures several times and reports the median, as other work on the machine only ever adds time. Where there is
//! a baseline it is measured in the same run, so that the ratio holds on any machine, and both must first agree on the
//! result. A line of [`BENCHMARKS`] adds one.

#[path = "sealin-bench/faults.rs"]
mod faults;
#[path = "sealin-bench/grade.rs"]
mod grade;
#[path = "sealin-bench/network.rs"]
mod network;
#[path = "sealin-bench/proof.rs"]
mod proof;
#[path = "sealin-bench/scan.rs"]
mod scan;
#[path = "sealin-bench/suspects.rs"]
mod suspects;

use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

use sealin_exercise::laps::Laps;
use sealin_tests::generate::{paddle, presses_and_reversals};

/// Measurements of which the median is reported.
const ROUNDS: usize = 9;

/// Laps of which the fastest is reported.
const LAPS: usize = 60;

/// What a benchmark found.
struct Finding {
    value: f64,
    unit: &'static str,
    /// Name and value, in the same unit.
    baseline: Option<(&'static str, f64)>,
    /// What else is told of the same run.
    also: Vec<(&'static str, f64)>,
}

/// A benchmark's name and what measures it.
type Benchmark = (&'static str, fn() -> Finding);

/// Every benchmark.
const BENCHMARKS: [Benchmark; 9] = [
    ("bench-realtime", bench_realtime),
    ("scan-1000-rungs", scan::one_lane),
    ("scan-1000-rungs-64-lanes", scan::sixty_four_lanes),
    ("network-60-nodes", network::sixty_nodes),
    ("fault-table", faults::fault_table),
    ("suspects", suspects::after_a_reading),
    ("proof-states", proof::states),
    ("proof-paddle", proof::paddle),
    ("grade-attempts", grade::grade_attempts),
];

fn main() -> ExitCode {
    let wanted = std::env::args().nth(1);
    let chosen: Vec<_> =
        BENCHMARKS.iter().filter(|(name, _)| wanted.as_ref().is_none_or(|wanted| wanted == name)).collect();
    if chosen.is_empty() {
        let names: Vec<_> = BENCHMARKS.iter().map(|(name, _)| *name).collect();
        eprintln!("there is no such benchmark; there are {}, frame, first-load", names.join(", "));
        return ExitCode::from(2);
    }
    for (name, run) in chosen {
        let finding = run();
        println!("{}", finding.json(name));
    }
    ExitCode::SUCCESS
}

impl Finding {
    fn json(&self, name: &str) -> String {
        let mut line = format!("{{\"name\":\"{name}\",\"value\":{},\"unit\":\"{}\"", self.value, self.unit);
        if let Some((baseline, value)) = self.baseline {
            line += &format!(
                ",\"baseline_name\":\"{baseline}\",\"baseline_value\":{value},\"ratio\":{}",
                self.value / value
            );
        }
        for (name, value) in &self.also {
            line += &format!(",\"{name}\":{value}");
        }
        line + "}"
    }
}

/// The median of several measurements.
fn median(mut measure: impl FnMut() -> f64) -> f64 {
    let mut values: Vec<f64> = (0..ROUNDS).map(|_| measure()).collect();
    values.sort_by(f64::total_cmp);
    values[ROUNDS / 2]
}

/// How many times faster than life the paddle job runs under activity, every tick computed; the baseline is the same with
/// quiet ticks passed over, as the screen and the marking do it. The fastest lap counts: other work only adds time.
fn bench_realtime() -> Finding {
    let scenario = paddle();
    let (attempt, from) = presses_and_reversals(&scenario);
    let laps =
        Laps::new(&scenario, &attempt, from).expect("the benchmark's attempt has acts on the bench only");
    assert!(laps.run(true) == laps.run(false), "both must come to the same");
    let fastest = |every_tick: bool| {
        (0..LAPS)
            .map(|_| times_real(&laps, every_tick))
            .fold(0.0, |best, now| if now > best { now } else { best })
    };
    Finding {
        value: fastest(true),
        unit: "x real time",
        baseline: Some(("quiet-ticks-passed-over", fastest(false))),
        also: Vec::new(),
    }
}

fn times_real(laps: &Laps, every_tick: bool) -> f64 {
    let start = Instant::now();
    let lap = black_box(laps.run(every_tick));
    // A tick is 1 ms.
    lap.ticks as f64 / 1000.0 / start.elapsed().as_secs_f64()
}
