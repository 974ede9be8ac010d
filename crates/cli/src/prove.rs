//! `sealin prove SCENARIO`: every order of what may move, or the shortest one that breaks a requirement.

use crate::Answer;
use crate::input::Work;
use crate::task::Wanted;
use sealin_core::{Fault, Plan};
use sealin_exercise::proving::Task;
use sealin_proof::explore::{self, Counterexample, Explorer, Record, Replay, Report};
use sealin_proof::expr::Verdict;
use std::fmt::{self, Write as _};
use std::path::PathBuf;

/// Options of `prove`.
#[derive(clap::Args)]
pub struct Prove {
    /// Path to a scenario file or folder, or the id of a shipped one.
    scenario: String,
    #[command(flatten)]
    work: Work,
    #[command(flatten)]
    wanted: Wanted,
    /// With a fault that may strike at any scan, and stays: `QA1 13-14 stuck closed`; may be given several times.
    #[arg(long, value_name = "FAULT")]
    fault: Vec<String>,
    /// With every single fault in turn that fits the parts and conductors: the fault table, a line each.
    #[arg(long, conflicts_with = "fault")]
    faults: bool,
    /// The fault table as comma-separated values.
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Each counterexample as a script, ID.steps, with what the environment does in ID.records.
    #[arg(long, value_name = "DIR")]
    counterexamples: Option<PathBuf>,
    /// One JSON object a requirement and fault.
    #[arg(long)]
    json: bool,
}

impl Prove {
    /// Explores. The answer is no when a requirement is broken or not decided.
    pub fn run(self) -> Result<Answer, String> {
        let session = self.work.session(&self.scenario)?;
        let plan = session.bench().plan().clone();
        let faults = self.fault_list(&plan)?;
        let mut out = Out::new(&self)?;
        let mut good = true;
        for task in self.wanted.tasks(session.scenario())? {
            let mut explorer = Explorer::new(&task.question(&plan, None));
            for fault in faults.clone().unwrap_or_else(|| task.cases()) {
                let asked = Asked { task: &task, fault: fault.as_ref() };
                let (report, replay) = explorer.ask(fault.as_ref(), &mut |_| true);
                let played: Played = match (&report.answer, &replay) {
                    (explore::Answer::Broken(path), Some(replay)) => Some((path, replay)),
                    _ => None,
                };
                if let (Some(dir), Some((path, _))) = (&self.counterexamples, played) {
                    write_path(dir, &asked.file(), path)?;
                }
                good &= matches!(report.answer, explore::Answer::Proven);
                out.write(&asked, &report, played)?;
            }
        }
        Ok(if good { Answer::Yes } else { Answer::No })
    }

    /// With which faults to explore, one at a time; none if nothing is said about them.
    fn fault_list(&self, plan: &Plan) -> Result<Option<Vec<Option<Fault>>>, String> {
        if self.faults {
            let all = Fault::catalogue(&plan.parts, &plan.conductors);
            return Ok(Some(all.into_iter().map(Some).collect()));
        }
        let read = |line: &String| {
            let fault = Fault::parse(line)?;
            fault.fits(&plan.parts, &plan.conductors)?;
            Ok(Some(fault))
        };
        let all = self.fault.iter().map(read).collect::<Result<Vec<_>, String>>()?;
        Ok((!all.is_empty()).then_some(all))
    }
}

/// In which form the answers are written.
enum Out {
    Words,
    /// The fault table, a line each.
    Lines,
    Table(Box<csv::Writer<std::io::Stdout>>),
    Json,
}

impl Out {
    fn new(options: &Prove) -> Result<Out, String> {
        if options.csv {
            let mut table = csv::Writer::from_writer(std::io::stdout());
            table.write_record(COLUMNS).map_err(|e| e.to_string())?;
            return Ok(Out::Table(Box::new(table)));
        }
        Ok(match (options.json, options.faults) {
            (true, _) => Out::Json,
            (_, true) => Out::Lines,
            _ => Out::Words,
        })
    }

    fn write(&mut self, asked: &Asked, report: &Report, played: Played) -> Result<(), String> {
        match self {
            Out::Words => print!("{}", words(asked, report, played)),
            Out::Lines => println!("{}", line(asked, report, played)),
            Out::Json => println!("{}", json(asked, report, played)),
            Out::Table(table) => {
                table.write_record(row(asked, report, played)).map_err(|e| e.to_string())?;
                table.flush().map_err(|e| e.to_string())?;
            }
        }
        Ok(())
    }
}

/// A task, with the fault that may strike.
struct Asked<'a> {
    task: &'a Task,
    fault: Option<&'a Fault>,
}

impl Asked<'_> {
    /// Name of a file without its ending: the task, and the fault with dashes for everything that no file name should hold.
    fn file(&self) -> String {
        let mut name = self.task.name();
        if let Some(fault) = self.fault {
            let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
            name.push('-');
            name.extend(fault.to_string().chars().map(plain));
        }
        name
    }
}

impl fmt::Display for Asked<'_> {
    /// `R8`, or `R8 with QA1 13-14 stuck closed`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.task.id)?;
        self.fault.map_or(Ok(()), |fault| write!(f, " with {fault}"))
    }
}

type Played<'a> = Option<(&'a Counterexample, &'a Replay)>;

fn word(report: &Report, played: Played) -> &'static str {
    match (&report.answer, played) {
        (explore::Answer::Proven, _) => "proven",
        (explore::Answer::NeverExercised, _) => "proven, never exercised",
        (explore::Answer::Broken(_), Some((_, Replay::NotReproduced(_)))) => "not reproduced",
        (explore::Answer::Broken(_), _) => "broken",
        (explore::Answer::Undecided, _) => "undecided",
        (explore::Answer::NotProvable(_), _) => "not provable",
        (explore::Answer::NotComputed, _) => "not computed here",
    }
}

fn words(asked: &Asked, report: &Report, played: Played) -> String {
    let mut out = format!("{asked}: {}. {}\n", word(report, played), asked.task.text);
    for formula in &asked.task.required {
        let _ = writeln!(out, "  {formula}");
    }
    match &report.answer {
        explore::Answer::NotProvable(why) => {
            let _ = writeln!(out, "  {why}");
        }
        explore::Answer::Undecided => {
            let _ = writeln!(out, "  more than {} states", asked.task.max_states);
        }
        _ => {}
    }
    if let Some((path, replay)) = played {
        let _ = writeln!(out, "  after {} acts, at {} ms:", path.actions(), path.tick());
        path.to_string().lines().for_each(|line| {
            let _ = writeln!(out, "    {line}");
        });
        if let Replay::NotReproduced(why) = replay {
            let _ = writeln!(out, "  the whole bench does otherwise: {why}");
        }
    }
    let _ = writeln!(out, "  {}", said(asked, report));
    out
}

/// What is said with every answer.
fn said(asked: &Asked, report: &Report) -> String {
    let fault = match asked.fault {
        Some(fault) => format!("one fault, {fault}, from any scan on"),
        None => "no fault".to_string(),
    };
    format!(
        "In this model: every order and every millisecond of {}, one change of each per scan; every armature delay in its \
         range; heat, motor and machine free; thresholds as given; {fault}; no rewiring or program change while running; up \
         to the first damage. {} states, {} scans deep.",
        report.free.join(", "),
        report.states,
        report.quanta
    )
}

/// A line of the fault table: `R8 with QA1 13-14 stuck closed: broken, 2 acts, 12 ms`.
fn line(asked: &Asked, report: &Report, played: Played) -> String {
    let path =
        played.map_or(String::new(), |(path, _)| format!(", {} acts, {} ms", path.actions(), path.tick()));
    let why = match &report.answer {
        explore::Answer::NotProvable(why) => format!(": {why}"),
        _ => String::new(),
    };
    format!("{asked}: {}{path}{why}", word(report, played))
}

/// Columns of [`row`].
const COLUMNS: [&str; 8] =
    ["requirement", "formulas", "fault", "verdict", "states", "acts", "ms", "counterexample"];

/// A row of the fault table.
fn row(asked: &Asked, report: &Report, played: Played) -> [String; 8] {
    let (acts, ms, path) = played.map_or_else(Default::default, |(path, _)| {
        let lines: Vec<String> = path.to_string().lines().map(str::to_string).collect();
        (path.actions().to_string(), path.tick().to_string(), lines.join("; "))
    });
    [
        asked.task.id.clone(),
        asked.task.formulas(),
        asked.fault.map_or(String::new(), Fault::to_string),
        word(report, played).to_string(),
        report.states.to_string(),
        acts,
        ms,
        path,
    ]
}

fn json(asked: &Asked, report: &Report, played: Played) -> serde_json::Value {
    serde_json::json!({
        "id": asked.task.id,
        "formulas": asked.task.required.iter().map(Verdict::to_string).collect::<Vec<_>>(),
        "fault": asked.fault.map(Fault::to_string),
        "verdict": word(report, played),
        "states": report.states,
        "plant_states": report.plants,
        "steps": report.steps,
        "bits": report.bits,
        "bytes_a_state": report.bytes,
        "scans": report.quanta,
        "free": report.free,
        "once_a_scan": report.merged,
        "why": match &report.answer {
            explore::Answer::NotProvable(why) => Some(why.as_str()),
            _ => None,
        },
        "counterexample": played.map(|(path, replay)| serde_json::json!({
            "acts": path.acts.iter().map(|(tick, act)| serde_json::json!({ "tick": tick, "act": act.to_string() }))
                .collect::<Vec<_>>(),
            "records": path.records.iter().map(Record::to_string).collect::<Vec<_>>(),
            "tick": path.tick(),
            "reproduced": *replay == Replay::Reproduced,
        })),
    })
}

fn write_path(dir: &std::path::Path, id: &str, path: &Counterexample) -> Result<(), String> {
    let told = |e: std::io::Error| format!("{}: {e}", dir.display());
    std::fs::create_dir_all(dir).map_err(told)?;
    std::fs::write(dir.join(format!("{id}.steps")), path.to_string()).map_err(told)?;
    let records: String = path.records.iter().map(|record| format!("{record}\n")).collect();
    std::fs::write(dir.join(format!("{id}.records")), records).map_err(told)
}
