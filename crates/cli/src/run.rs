//! `sealin run SCENARIO --steps FILE`: a script on the bench, and its trace.

use crate::Answer;
use crate::diagram::diagram;
use crate::input::{Work, as_drawn, text};
use crate::why::{Asked, Question};
use sealin_core::Trace;
use sealin_exercise::session::Session;
use sealin_proof::steps::{Break, Outcome, Script, StepError, StepKind, When, run};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Options of `run`.
#[derive(clap::Args)]
pub struct Run {
    /// Path to a scenario file or folder, or the id of a shipped one.
    scenario: String,
    /// Script to run.
    #[arg(long, value_name = "FILE")]
    steps: PathBuf,
    #[command(flatten)]
    work: Work,
    /// Where the trace goes: `.vcd` (value change dump, IEEE 1364) or `.csv`.
    #[arg(long, value_name = "OUT")]
    trace: Option<PathBuf>,
    /// Why a signal was as it was after a tick (ms of bench time; without it, at the end), as QA1.coil@2500; or why there
    /// were volts between two terminals or none, as KF1:I0,KF1:CI1@2500.
    #[arg(long, value_name = "SIGNAL@TICK")]
    why: Vec<Question>,
    /// The outcome as one JSON object.
    #[arg(long)]
    json: bool,
}

impl Run {
    /// Runs the script. The answer is no when an expectation is not met.
    pub fn run(self) -> Result<Answer, String> {
        let session = self.work.session(&self.scenario, 0)?;
        let script = read(&text(&self.steps)?, &self.steps)?;
        let wrong = script.check(session.bench());
        if !wrong.is_empty() {
            return Err(told(&wrong, &self.steps));
        }
        let mut trace = Trace::default();
        let mut bench = as_drawn(&session)?;
        for question in &self.why {
            question.check(&bench)?;
        }
        let mut asked = Asked::new(&mut trace, &self.why);
        let outcome = run(&script, &mut bench, &mut asked);
        let answers = asked.answers(bench.tick());
        if let Some(path) = &self.trace {
            let body = match path.extension().and_then(|e| e.to_str()) {
                Some("vcd") => vcd(&trace),
                Some("csv") => csv(&trace),
                _ => return Err(format!("{}: the trace is written as .vcd or .csv", path.display())),
            };
            std::fs::write(path, body).map_err(|e| format!("{}: {e}", path.display()))?;
        }
        match outcome {
            Outcome::Kept if self.json => {
                println!("{}", serde_json::json!({ "kept": true, "bench_ms": bench.tick(), "why": answers }));
            }
            Outcome::Kept => {
                println!("kept; {} ms of bench time", bench.tick());
                answers.iter().for_each(|a| println!("{a}"));
            }
            Outcome::Broken(f) => {
                if self.json {
                    println!(
                        "{}",
                        serde_json::json!({ "kept": false, "line": f.line, "step": f.step,
                            "expected": f.expected, "seen": f.seen, "tick": f.tick, "why": answers })
                    );
                } else {
                    println!("{}", broken(&f));
                    print!("{}", diagram(&trace, &f.step, f.tick));
                    answers.iter().for_each(|a| println!("{a}"));
                }
                return Ok(Answer::No);
            }
        }
        Ok(Answer::Yes)
    }
}

/// What is told of an expectation that was not met.
pub fn broken(f: &Break) -> String {
    format!(
        "broken at line {}, {} ms: `{}`\n  expected {}\n  seen     {}",
        f.line, f.tick, f.step, f.expected, f.seen
    )
}

/// Reads a script; else all errors, one a line.
pub fn read(text: &str, path: &Path) -> Result<Script, String> {
    Script::parse(text).map_err(|errors| told(&errors, path))
}

/// Errors of a script with their place, one a line.
pub fn told(errors: &[StepError], path: &Path) -> String {
    errors.iter().map(|e| format!("{}: {e}", path.display())).collect::<Vec<_>>().join("\n")
}

/// Plays a script into a session: its acts and its time; expectations only let their time pass.
pub fn play(steps: &str, path: &Path, session: &mut Session) -> Result<(), String> {
    for step in read(steps, path)?.steps {
        match step.kind {
            StepKind::Act(act) => {
                session.bench_act(act).map_err(|m| format!("{}: line {}: {m}", path.display(), step.line))?;
            }
            StepKind::Wait(t) | StepKind::Expect(_, When::Within(t) | When::For(t)) => {
                session.advance(t);
            }
            StepKind::Expect(_, When::Now) => {}
        }
    }
    Ok(())
}

/// Value change dump; a tick is 1 ms.
fn vcd(trace: &Trace) -> String {
    let code = |n: u32| {
        let mut n = n;
        let mut text = String::new();
        loop {
            text.push((b'!' + (n % 94) as u8) as char);
            n /= 94;
            if n == 0 {
                return text;
            }
        }
    };
    let mut out = String::from("$timescale 1 ms $end\n$scope module bench $end\n");
    for (n, name) in trace.names().iter().enumerate() {
        let _ = writeln!(out, "$var wire 1 {} {} $end", code(n as u32), name.replace(' ', "_"));
    }
    out.push_str("$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n");
    for n in 0..trace.names().len() as u32 {
        let _ = writeln!(out, "{}{}", u8::from(trace.value_before(n)), code(n));
    }
    out.push_str("$end\n");
    let mut tick = None;
    for c in trace.changes() {
        if tick != Some(c.tick) {
            tick = Some(c.tick);
            let _ = writeln!(out, "#{}", c.tick);
        }
        let _ = writeln!(out, "{}{}", u8::from(c.value), code(c.name));
    }
    out
}

fn csv(trace: &Trace) -> String {
    let mut out = String::from("tick_ms,signal,value\n");
    for c in trace.changes() {
        let _ = writeln!(out, "{},{},{}", c.tick, trace.names()[c.name as usize], u8::from(c.value));
    }
    out
}
