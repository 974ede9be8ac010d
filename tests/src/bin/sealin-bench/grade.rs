//! How many attempts a second and core the tool marks, and how much memory that takes however many there are.

use crate::Finding;
use sealin_exercise::attempt::{Act, Attempt, Change, Entry};
use sealin_tests::generate::{paddle, prepared, ten_minutes};
use serde_json::Value;
use std::io::{BufRead, BufReader, Write};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Instant;

/// The built tool, as `cargo xtask bench` names it.
const TOOL: &str = "SEALIN_TOOL";

/// Attempts for each core of which the rate without kept marks, and with them, is taken.
const FOR_EACH_CORE: usize = 100;

/// Designs of a stream of which the memory is taken: fewer than the tool keeps the marks of.
const DESIGNS: usize = 400;

/// Attempts a second and core, each of ten minutes of bench time and another design, by their trials; with the marks of the design
/// kept; by proof. Peak memory of one stream of 1,000 attempts and one of 10,000.
pub fn grade_attempts() -> Finding {
    let base = ten_minutes(&paddle());
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let many = FOR_EACH_CORE * cores;
    let rate = |run: &Run, attempts: usize| attempts as f64 / run.seconds / cores as f64;
    let different: Vec<usize> = (0..many).collect();
    let without = rate(&marked(&base, &different, &[]), many);
    let kept = rate(&marked(&base, &vec![0; many], &[]), many);
    let by_proof = rate(&marked(&base, &different[..cores], &["--prove"]), cores);
    let peak = peak_bytes_of_a_stream;
    let (few, lots) = (peak(1_000), peak(10_000));
    Finding {
        value: without,
        unit: "attempts/s/core",
        baseline: None,
        also: vec![
            ("kept", kept),
            ("by_proof", by_proof),
            ("peak_bytes_1000", few),
            ("peak_bytes_10000", lots),
            ("peak_ratio", lots / few),
        ],
    }
}

/// Peak memory of a stream of different attempts. They are short, and on [`DESIGNS`] designs: what one does on the bench is gone with it,
/// and ten minutes each, marked afresh, would take an hour.
fn peak_bytes_of_a_stream(attempts: usize) -> f64 {
    let short = prepared(&paddle());
    let attempt = |number: usize| {
        let mut attempt = short.clone();
        let act = Act::Record { check: "number".to_string(), text: number.to_string() };
        attempt.entries.insert(0, Entry { at: 0, wall_ms: None, act });
        attempt
    };
    let lines = (0..attempts).map(|number| line(&attempt(number), number % DESIGNS));
    stream(lines, attempts, &[]).peak_bytes
}

/// What a run of the tool took.
struct Run {
    seconds: f64,
    peak_bytes: f64,
}

/// Has the tool mark a stream of attempts with these designs.
fn marked(base: &Attempt, designs: &[usize], args: &[&str]) -> Run {
    // Made before time is taken: the tool is measured, not what feeds it.
    let lines: Vec<String> = designs.iter().map(|&design| line(base, design)).collect();
    stream(lines.into_iter(), designs.len(), args)
}

/// Has the tool mark a stream of so many attempts. All must earn full marks.
fn stream(lines: impl Iterator<Item = String> + Send, count: usize, args: &[&str]) -> Run {
    let tool = std::env::var_os(TOOL).expect("the tool is built and named by `cargo xtask bench`");
    let start = Instant::now();
    let mut child = Command::new(tool)
        .args(["grade", "-"])
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the tool starts");
    let mut stdin = child.stdin.take().expect("it is a pipe");
    let answers = BufReader::new(child.stdout.take().expect("it is a pipe")).lines();
    let run = thread::scope(|scope| {
        let feeder = scope.spawn(move || {
            for line in lines {
                stdin.write_all(line.as_bytes()).expect("the tool reads on");
            }
            stdin
        });
        for answer in answers.take(count) {
            let answer: Value = serde_json::from_str(&answer.expect("the tool answers")).expect("JSON");
            assert!(
                answer["passed"] == true && answer["chain"] == true && answer["claim"] == true,
                "{answer}"
            );
        }
        let run = Run { seconds: start.elapsed().as_secs_f64(), peak_bytes: peak_bytes(&child) };
        // Until here its input was open, so that it is still there to be asked for its memory.
        drop(feeder.join());
        run
    });
    let _ = child.wait();
    run
}

/// The same attempt with another wire number: another design with the same trace. On one line.
fn line(base: &Attempt, design: usize) -> String {
    let mut attempt = base.clone();
    let made = attempt.entries.iter_mut().find_map(|entry| match &mut entry.act {
        Act::Design(Change::Add(conductor)) => Some(conductor),
        _ => None,
    });
    made.expect("a conductor is made").number = format!("{}", 10_000 + design);
    let file: Value = serde_json::from_str(&attempt.to_json()).expect("a file of ours is JSON");
    format!("{file}\n")
}

/// The most memory that the process had, where the system tells it.
fn peak_bytes(child: &Child) -> f64 {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().strip_suffix("kB")?.trim().parse::<f64>().ok());
    kilobytes.map_or(f64::NAN, |kb| kb * 1024.0)
}
