//! `sealin prove SCENARIO`: every order of what may move, or the shortest one that breaks a requirement.

use crate::Answer;
use crate::input::Work;
use crate::task::Wanted;
use sealin_core::step::{Band, Marginal};
use sealin_core::{Fault, Plan};
use sealin_exercise::fault_table::{FaultTable, Row};
use sealin_exercise::noticed::{Noticed, Sighting};
use sealin_exercise::proofs::ProofVerdict;
use sealin_exercise::proving::Task;
use sealin_proof::explore::{self, Counterexample, Record, Replay, Report};
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
    /// With a fault that may strike at any scan, and stays: `QA1 13-14 stuck closed`; or that comes and goes with the scans:
    /// `QA1 13-14 stuck open intermittent`. May be given several times.
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
        let session = self.work.session(&self.scenario, 0)?;
        let plan = session.bench().plan().clone();
        let faults = self.fault_list(&plan)?;
        let mut table = FaultTable::new(session.scenario(), &plan)?;
        let mut out = Out::new(&self, table.has_alarms())?;
        let mut good = true;
        for task in self.wanted.tasks(session.scenario())? {
            let asked = match &faults {
                Some(faults) => faults.clone(),
                None => task.faults.clone(),
            };
            let mut take = |found: Found| {
                if let (Some(dir), Some((path, _))) = (&self.counterexamples, found.played()) {
                    write_path(dir, &found.file(), path)?;
                }
                good &= matches!(found.report.answer, explore::Answer::Proven);
                out.write(&found)
            };
            let question = task.question(&plan, None);
            if asked.is_empty() {
                let (report, replay) = explore::ask(&question, &mut |_| true);
                take(Found { task: &task, fault: None, report, replay, noticed: None })?;
            }
            table.rows(&task, &asked, &mut |_, _| true, &mut |row| {
                let Row { task, fault, report, noticed } = row;
                let replay = report.replay(&question);
                take(Found { task, fault: Some(fault), report, replay, noticed: Some(noticed) })
            })?;
        }
        Ok(if good { Answer::Yes } else { Answer::No })
    }

    /// With which faults to explore, one at a time; none if nothing is said about them.
    fn fault_list(&self, plan: &Plan) -> Result<Option<Vec<Fault>>, String> {
        if self.faults {
            return Ok(Some(FaultTable::faults(plan)));
        }
        let read = |line: &String| {
            let fault = Fault::parse(line)?;
            fault.fits(plan)?;
            Ok(fault)
        };
        let all = self.fault.iter().map(read).collect::<Result<Vec<_>, String>>()?;
        Ok((!all.is_empty()).then_some(all))
    }
}

/// In which form the answers are written.
enum Form {
    Words,
    /// The fault table, a line each.
    Lines,
    Table(Box<csv::Writer<std::io::Stdout>>),
    Json,
}

/// Where the answers go.
struct Out {
    form: Form,
    /// The scenario declares alarms that the design has.
    alarms: bool,
}

impl Out {
    fn new(options: &Prove, alarms: bool) -> Result<Out, String> {
        let form = match (options.csv, options.json, options.faults) {
            (true, ..) => {
                let mut table = csv::Writer::from_writer(std::io::stdout());
                table.write_record(COLUMNS).map_err(|e| e.to_string())?;
                Form::Table(Box::new(table))
            }
            (_, true, _) => Form::Json,
            (_, _, true) => Form::Lines,
            _ => Form::Words,
        };
        Ok(Out { form, alarms })
    }

    fn write(&mut self, found: &Found) -> Result<(), String> {
        match &mut self.form {
            Form::Words => print!("{}", words(found, self.alarms)),
            Form::Lines => println!("{}", line(found, self.alarms)),
            Form::Json => println!("{}", json(found)),
            Form::Table(table) => {
                table.write_record(row(found, self.alarms)).map_err(|e| e.to_string())?;
                table.flush().map_err(|e| e.to_string())?;
            }
        }
        Ok(())
    }
}

/// A task, with the fault that may strike, and what was found out.
struct Found<'a> {
    task: &'a Task,
    fault: Option<&'a Fault>,
    report: Report,
    replay: Option<Replay>,
    /// By whom the fault is noticed.
    noticed: Option<Noticed>,
}

type Played<'a> = Option<(&'a Counterexample, &'a Replay)>;

impl Found<'_> {
    /// The counterexample, and what the whole bench makes of it.
    fn played(&self) -> Played<'_> {
        match (&self.report.answer, &self.replay) {
            (explore::Answer::Broken(path), Some(replay)) => Some((path, replay)),
            _ => None,
        }
    }

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

    /// By whom the fault is noticed: the program, and a person; empty without a fault.
    fn notices(&self, alarms: bool) -> [String; 2] {
        let Some(noticed) = &self.noticed else { return Default::default() };
        let none = if alarms { "no" } else { "no alarm declared" };
        let told = |seen: &Option<Sighting>, none: &str| seen.as_ref().map_or(none.to_string(), sighting);
        [told(&noticed.by_program, none), told(&noticed.by_person, "no")]
    }
}

/// `PF1.lit on at 2103 ms of R14, tripped at rest`.
fn sighting(seen: &Sighting) -> String {
    let Sighting { signal, on, requirement, trial, tick } = seen;
    format!("{signal} {} at {tick} ms of {requirement}, {trial}", if *on { "on" } else { "off" })
}

impl fmt::Display for Found<'_> {
    /// `R8`, or `R8 with QA1 13-14 stuck closed`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.task.id)?;
        self.fault.map_or(Ok(()), |fault| write!(f, " with {fault}"))
    }
}

fn word(report: &Report, played: Played) -> &'static str {
    ProofVerdict::of(&report.answer, played.map(|(_, replay)| replay)).words()
}

fn words(found: &Found, alarms: bool) -> String {
    let (report, played) = (&found.report, found.played());
    let mut out = format!("{found}: {}. {}\n", word(report, played), found.task.text);
    for formula in &found.task.required {
        let _ = writeln!(out, "  {formula}");
    }
    match &report.answer {
        explore::Answer::NotProvable(why) => {
            let _ = writeln!(out, "  {why}");
        }
        explore::Answer::Undecided => {
            let _ = match found.task.max_states {
                most if report.states > most => writeln!(out, "  more than {most} states"),
                _ => writeln!(out, "  more ways in one scan than an exploration tries"),
            };
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
    if found.noticed.is_some() {
        let [program, person] = found.notices(alarms);
        let _ = writeln!(out, "  in normal use noticed by the program: {program}; by a person: {person}");
    }
    if !report.marginal.is_empty() {
        let _ = writeln!(out, "  marginal: {}", marginal(report));
    }
    let _ = writeln!(out, "  {}", said(found));
    out
}

/// What was met inside a tolerance band.
fn marginal(report: &Report) -> String {
    report.marginal.iter().map(Marginal::to_string).collect::<Vec<_>>().join("; ")
}

/// What is said with every answer.
fn said(found: &Found) -> String {
    let report = &found.report;
    let fault = match found.fault {
        Some(fault) if fault.is_intermittent() => format!("one fault, {fault}, there or not in each scan"),
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

/// A line of the fault table: `R8 with QA1 13-14 stuck closed: broken, 2 acts, 12 ms; noticed by …`.
fn line(found: &Found, alarms: bool) -> String {
    let (report, played) = (&found.report, found.played());
    let path =
        played.map_or(String::new(), |(path, _)| format!(", {} acts, {} ms", path.actions(), path.tick()));
    let why = match &report.answer {
        explore::Answer::NotProvable(why) => format!(": {why}"),
        _ => String::new(),
    };
    let marginal = match report.marginal.as_slice() {
        [] => String::new(),
        _ => format!("; marginal: {}", marginal(report)),
    };
    let [program, person] = found.notices(alarms);
    format!(
        "{found}: {}{path}{why}; noticed by the program: {program}; by a person: {person}{marginal}",
        word(report, played)
    )
}

/// Columns of [`row`].
const COLUMNS: [&str; 11] = [
    "requirement",
    "formulas",
    "fault",
    "verdict",
    "noticed by the program",
    "noticed by a person",
    "states",
    "acts",
    "ms",
    "counterexample",
    "marginal",
];

/// A row of the fault table.
fn row(found: &Found, alarms: bool) -> [String; 11] {
    let (report, played) = (&found.report, found.played());
    let [program, person] = found.notices(alarms);
    let (acts, ms, path) = played.map_or_else(Default::default, |(path, _)| {
        let lines: Vec<String> = path.to_string().lines().map(str::to_string).collect();
        (path.actions().to_string(), path.tick().to_string(), lines.join("; "))
    });
    [
        found.task.id.clone(),
        found.task.formulas(),
        found.fault.map_or(String::new(), Fault::to_string),
        word(report, played).to_string(),
        program,
        person,
        report.states.to_string(),
        acts,
        ms,
        path,
        marginal(report),
    ]
}

fn json(found: &Found) -> serde_json::Value {
    let (report, played) = (&found.report, found.played());
    let told = |seen: &Sighting| {
        serde_json::json!({
            "signal": seen.signal, "on": seen.on, "requirement": seen.requirement, "trial": seen.trial, "tick": seen.tick,
        })
    };
    let noticed = found.noticed.as_ref();
    serde_json::json!({
        "id": found.task.id,
        "formulas": found.task.required.iter().map(Verdict::to_string).collect::<Vec<_>>(),
        "fault": found.fault.map(Fault::to_string),
        "noticed_by_program": noticed.and_then(|n| n.by_program.as_ref()).map(told),
        "noticed_by_person": noticed.and_then(|n| n.by_person.as_ref()).map(told),
        "verdict": word(report, played),
        "states": report.states,
        "plant_states": report.plants,
        "steps": report.steps,
        "bits": report.bits,
        "bytes_a_state": report.bytes,
        "scans": report.quanta,
        "free": report.free,
        "once_a_scan": report.merged,
        "marginal": report.marginal.iter().map(|one| serde_json::json!({
            "part": one.part,
            "input": one.input,
            "band": match one.band {
                Band::DropOut => "drop-out",
                Band::PickUp => "pick-up",
                Band::Input => "input",
            },
            // Parts of the rated voltage of a coil, volts at an input.
            "least": f64::from(one.least) / 1000.0,
            "most": f64::from(one.most) / 1000.0,
        })).collect::<Vec<_>>(),
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
