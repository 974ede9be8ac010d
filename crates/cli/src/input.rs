//! Reading what commands name: scenarios by id or path, programs, wires, steps. Bounded, and with the place of an error.

use sealin_core::Bench;
use sealin_exercise::scenario::{Scenario, Wires, parse_wiring};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Most bytes read from one file: above the bound of every format, so that the format's own error is the one told.
const MOST_BYTES: u64 = 64 << 20;

/// A text file, at most [`MOST_BYTES`].
pub fn text(path: &Path) -> Result<String, String> {
    let told = |e: std::io::Error| format!("{}: {e}", path.display());
    let file = std::fs::File::open(path).map_err(told)?;
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(told)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(format!(
            "{}: more than {MOST_BYTES} bytes; no file of the bench is as large",
            path.display()
        ));
    }
    String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        format!("{}: byte {at} is not UTF-8; a text file is expected", path.display())
    })
}

/// Text of a scenario: a path to its file or folder, or the id of a shipped one. With the name to tell errors by.
pub fn scenario_text(name: &str) -> Result<(String, String), String> {
    let path = PathBuf::from(name);
    let file = if path.is_dir() { path.join("scenario.toml") } else { path };
    if file.is_file() {
        return Ok((file.display().to_string(), text(&file)?));
    }
    match shipped::get(name) {
        Some(text) => Ok((name.to_string(), text.to_string())),
        None => Err(format!("{name}: there is no such file, and no shipped scenario has this id")),
    }
}

/// A scenario that reads without errors; else all errors, one a line.
pub fn scenario(name: &str) -> Result<Rc<Scenario>, String> {
    let (place, text) = scenario_text(name)?;
    parsed(&place, &text)
}

fn parsed(place: &str, text: &str) -> Result<Rc<Scenario>, String> {
    Scenario::parse(text)
        .map(Rc::new)
        .map_err(|problems| problems.iter().map(|p| format!("{place}:{p}")).collect::<Vec<_>>().join("\n"))
}

/// Which work a command is to use.
#[derive(clap::Args, Clone, Default, PartialEq, Eq)]
pub struct Work {
    /// The untouched start of the scenario, instead of its reference.
    #[arg(long)]
    pub given: bool,
    /// Program in structured text for the sheet and the controller.
    #[arg(long, value_name = "FILE")]
    pub program: Option<PathBuf>,
    /// What the learner made of the wiring.
    #[arg(long, value_name = "FILE")]
    pub wires: Option<PathBuf>,
}

impl Work {
    /// Program and wires: what the options name, and for the rest the reference, which ships or lies beside the scenario's file
    /// (nothing for the rest with `--given`). The reference takes the names of this form of the scenario; what the options name
    /// has them already.
    fn read(&self, scenario: &Scenario, file: &Path) -> Result<(Option<String>, Wires), String> {
        let reference = if self.given { None } else { shipped::reference(&scenario.id) };
        let beside = |name: &str| {
            let path = file.with_file_name(name);
            (reference.is_none() && !self.given && file.is_file() && path.is_file()).then_some(path)
        };
        let has_program = !scenario.is_hard_wired();
        let program_path = self.program.clone().or_else(|| beside("reference.st").filter(|_| has_program));
        let wires_path = self.wires.clone().or_else(|| beside("reference.wires.toml"));
        let program = match &program_path {
            Some(path) if scenario.is_hard_wired() => {
                return Err(format!("{}: this job has no controller, and so no program", path.display()));
            }
            Some(path) => {
                let source = text(path)?;
                if let Err(errors) = sealin_ladder::parse(&source) {
                    let all: Vec<String> =
                        errors.iter().map(|e| format!("{}: {e}", path.display())).collect();
                    return Err(all.join("\n"));
                }
                Some(if self.program.is_some() { source } else { scenario.program_dealt(&source) })
            }
            None => reference.filter(|_| has_program).map(|r| r.program(scenario)),
        };
        let wires_text = match &wires_path {
            Some(path) => Some((path.display().to_string(), text(path)?)),
            None => reference.map(|r| ("reference.wires.toml".to_string(), r.wires.to_string())),
        };
        let wires = match wires_text {
            None => Wires::default(),
            Some((place, text)) => parse_wiring(&text).map_err(|problems| {
                problems.iter().map(|p| format!("{place}:{p}")).collect::<Vec<_>>().join("\n")
            })?,
        };
        Ok((program, if self.wires.is_some() { wires } else { scenario.wires_dealt(wires) }))
    }

    /// A session on a scenario (path or id), dealt out for a seed, in which this work has been done before the supply is switched on. The
    /// attempt carries the scenario's file unless the very same is shipped.
    pub fn session(&self, name: &str, seed: u64) -> Result<Session, String> {
        let (place, file) = scenario_text(name)?;
        let scenario = parsed(&place, &file)?.dealt(seed);
        let (program, wires) = self.read(&scenario, Path::new(&place))?;
        let mut session = Session::new(Rc::clone(&scenario), seed).map_err(|e| e.to_string())?;
        let same =
            |text: &str| Scenario::parse(text).is_ok_and(|s| s.content_hash() == scenario.content_hash());
        if !shipped::get(&scenario.id).is_some_and(same) {
            session.embed(&file);
        }
        session.do_work(&wires, program.as_deref())?;
        Ok(session)
    }
}

/// The bench of a session as it is drawn: what is hidden in a job of fault finding is told by no trace and no netlist.
pub fn as_drawn(session: &Session) -> Result<Bench, String> {
    let mut bench = session.bench().clone();
    bench.hide(Default::default()).map_err(|e| e.to_string())?;
    Ok(bench)
}
