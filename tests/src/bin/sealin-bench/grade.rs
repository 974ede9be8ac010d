//! How many attempts a second and core the tool marks, and how much memory that takes however many there are.

use crate::Finding;
use sealin_exercise::attempt::{Act, Attempt, Change};
use sealin_tests::generate::{paddle, ten_minutes};
use serde_json::Value;
use std::io::{BufRead, BufReader, Write};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Instant;

/// The built tool, as `cargo xtask bench` names it.
const TOOL: &str = "SEALIN_TOOL";

/// Attempts for each core of which the rate without kept marks, and with them, is taken.
const FOR_EACH_CORE: usize = 100;

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
    let peak = |attempts: usize| marked(&base, &(0..attempts).collect::<Vec<_>>(), &[]).peak_bytes;
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

/// What a run of the tool took.
struct Run {
    seconds: f64,
    peak_bytes: f64,
}

/// Has the tool mark a stream of attempts with these designs. All must earn full marks.
fn marked(base: &Attempt, designs: &[usize], args: &[&str]) -> Run {
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
            for &design in designs {
                let line = line(base, design);
                stdin.write_all(line.as_bytes()).expect("the tool reads on");
            }
            stdin
        });
        for answer in answers.take(designs.len()) {
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
