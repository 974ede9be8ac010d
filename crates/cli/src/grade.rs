//! `sealin grade ATTEMPT…`: marks attempts again, one line each, over all cores and in the order of the input.

pub mod class;
mod crew;
mod marker;
mod page;
pub mod same;
pub mod source;
mod table;
mod told;
mod verdicts;

use crate::Answer;
use class::{Class, Row};
use indicatif::{ProgressBar, ProgressStyle};
use marker::{Marker, Rules};
use same::Same;
use sealin_exercise::grade::Judge;
use sealin_proof::explore::DEFAULT_MAX_STATES;
use source::{Source, items, sources};
use std::io::{BufWriter, IsTerminal, Stdout, Write};
use std::num::NonZero;
use std::path::PathBuf;
use told::Told;
use verdicts::Verdicts;

/// Options of `grade`.
#[derive(clap::Args)]
pub struct Grade {
    /// Attempt files, files of JSON lines (.jsonl, .ndjson) with an attempt each, or folders, of which everything below that ends in
    /// .json or as above is taken; `-` reads one attempt a line from standard input and writes one JSON object for each.
    #[arg(required = true, value_name = "ATTEMPT")]
    attempts: Vec<PathBuf>,
    /// Folder with scenarios that are not shipped: `DIR/ID/scenario.toml`.
    #[arg(long, value_name = "DIR")]
    scenarios: Option<PathBuf>,
    /// Prove every requirement with formulas first, and let the proof decide about its marks: proven earns them; broken, or never
    /// put to the test, loses them; where it comes to nothing, the trials decide. It takes minutes an attempt.
    #[arg(long)]
    prove: bool,
    /// With --prove: most states that are explored where a requirement gives no limit. A scenario that came with the attempt cannot
    /// give a higher one.
    #[arg(long, value_name = "N", requires = "prove", default_value_t = DEFAULT_MAX_STATES)]
    max_states: u64,
    /// Folder in which marks of designs are kept for the next run; they count for the same design, scenario and model revision.
    /// Who can write there can write marks.
    #[arg(long, value_name = "DIR")]
    keep: Option<PathBuf>,
    /// Attempts that are marked at once; without it, as many as there are cores.
    #[arg(long, value_name = "N")]
    threads: Option<NonZero<usize>>,
    /// One JSON object a line.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    reports: Reports,
}

/// Files for the class.
#[derive(clap::Args)]
pub struct Reports {
    /// Marks of all attempts as a table, comma-separated, with a column for each requirement.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Marks of all attempts as a page for the class, to be read or printed.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

impl Grade {
    /// Marks and tells. The answer is no when an attempt does not pass.
    pub fn run(self) -> Result<Answer, String> {
        let (sources, passed_over) = sources(&self.attempts)?;
        if passed_over > 0 {
            eprintln!(
                "{passed_over} files passed over, as their names end neither in .json nor in .jsonl or .ndjson"
            );
        }
        if sources.is_empty() {
            return Err("there is no attempt".to_string());
        }
        let verdicts = Verdicts::new(self.keep.clone())?;
        let judge = if self.prove { Judge::Proofs(self.max_states) } else { Judge::Trials };
        let rules = Rules { judge, scenarios: self.scenarios.as_deref(), verdicts: &verdicts };
        let threads =
            self.threads.or_else(|| std::thread::available_parallelism().ok()).map_or(1, NonZero::get);
        let mut teller = Teller::new(&sources, self.json, self.reports.class()?);
        crew::in_order(
            threads,
            items(sources),
            || Marker::new(&rules),
            |marker, item| marker.mark(item),
            |told, waits| teller.take(told, waits),
        )?;
        teller.end(&self.reports)
    }
}

impl Reports {
    /// What gathers the class, where a file is wanted.
    pub fn class(&self) -> Result<Option<Class>, String> {
        if self.csv.is_none() && self.html.is_none() { Ok(None) } else { Class::new().map(Some) }
    }

    /// Writes the files.
    pub fn write(&self, class: &mut Class, same: &Same) -> Result<(), String> {
        let told = |path: &PathBuf, e: std::io::Error| format!("{}: {e}", path.display());
        if let Some(path) = &self.csv {
            table::write(class, same, path).map_err(|e| told(path, e))?;
        }
        if let Some(path) = &self.html {
            page::write(class, same, path).map_err(|e| told(path, e))?;
        }
        Ok(())
    }
}

/// Takes what became of each attempt, in order, and tells it.
struct Teller {
    out: BufWriter<Stdout>,
    json: bool,
    bar: ProgressBar,
    class: Option<Class>,
    same: Same,
    /// Number of the first attempt of each source that was met.
    starts: Vec<u32>,
    sources: Vec<Source>,
    number: u32,
    wrong: u32,
    failed: u32,
}

impl Teller {
    fn new(sources: &[Source], json: bool, class: Option<Class>) -> Teller {
        let counted = sources.iter().all(|s| matches!(s, Source::File(_) | Source::Unreadable(..)));
        Teller {
            out: BufWriter::new(std::io::stdout()),
            json: json || sources.contains(&Source::Stdin),
            bar: bar(counted.then_some(sources.len() as u64)),
            class,
            same: Same::default(),
            starts: Vec::new(),
            sources: sources.to_vec(),
            number: 0,
            wrong: 0,
            failed: 0,
        }
    }

    fn take(&mut self, told: Told, waits: bool) -> Result<(), String> {
        // A source without any line starts where the next one does.
        self.starts.resize(self.starts.len().max(told.source + 1), self.number);
        self.wrong += u32::from(told.text.is_err());
        self.failed += u32::from(told.text.is_ok() && !told.passed);
        if let Some((acts, how_many)) = &told.acts {
            self.same.take(self.number, acts, *how_many);
        }
        let (out, json) = (&mut self.out, self.json);
        self.bar.suspend(|| show(out, json, &told, waits)).map_err(|e| format!("standard output: {e}"))?;
        if let Some(class) = &mut self.class {
            class.add(Row::of(told.value)?)?;
        }
        self.bar.inc(1);
        self.number += 1;
        Ok(())
    }

    /// Says what there is to say of all together, and writes the files.
    fn end(mut self, reports: &Reports) -> Result<Answer, String> {
        self.bar.finish_and_clear();
        self.out.flush().map_err(|e| format!("standard output: {e}"))?;
        tell_same(&self.same, |number| self.name(number));
        if let Some(class) = &mut self.class {
            reports.write(class, &self.same)?;
        }
        outcome(self.number, self.wrong, self.failed)
    }

    /// What an attempt is called.
    fn name(&self, number: u32) -> String {
        let source = self.starts.partition_point(|&start| start <= number).saturating_sub(1);
        let line = number - self.starts.get(source).unwrap_or(&0) + 1;
        match &self.sources[source] {
            Source::File(path) | Source::Unreadable(path, _) => path.display().to_string(),
            Source::Lines(path) => format!("{}:{line}", path.display()),
            Source::Stdin => format!("line {line}"),
        }
    }
}

fn show(out: &mut impl Write, json: bool, told: &Told, waits: bool) -> std::io::Result<()> {
    let name = told.name.as_deref().unwrap_or_default();
    match &told.text {
        _ if json => writeln!(out, "{}", told.value)?,
        Ok(text) => writeln!(out, "{name}: {text}")?,
        Err(reason) => eprintln!("{name}: {reason}"),
    }
    if waits { out.flush() } else { Ok(()) }
}

/// A bar on standard error, where that is a terminal.
fn bar(length: Option<u64>) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    match length {
        Some(length) => {
            let form = "{bar:40} {pos} of {len} attempts, {eta} to go";
            ProgressBar::new(length).with_style(style(form, ProgressStyle::default_bar()))
        }
        None => {
            let form = "{pos} attempts in {elapsed}";
            ProgressBar::new_spinner().with_style(style(form, ProgressStyle::default_spinner()))
        }
    }
}

fn style(form: &str, otherwise: ProgressStyle) -> ProgressStyle {
    ProgressStyle::with_template(form).unwrap_or(otherwise)
}

/// Groups of attempts with the same acts that are told on standard error; the reports have all.
const MOST_TOLD: usize = 20;

/// Tells which attempts have the same acts.
pub fn tell_same(same: &Same, name: impl Fn(u32) -> String) {
    for (first, group) in same.groups().iter().take(MOST_TOLD) {
        let more = match group.others.len() - 1 {
            0 => String::new(),
            more => format!(", and {more} more"),
        };
        let other = name(group.others[0]);
        eprintln!(
            "{other}{more}: the same acts at the same ticks, {} in all, as {}",
            group.acts,
            name(*first)
        );
    }
    if let Some(more @ 1..) = same.groups().len().checked_sub(MOST_TOLD) {
        eprintln!("{more} more groups of attempts with the same acts");
    }
    if same.left_out > 0 {
        eprintln!("{} attempts were not compared any more, as there are too many", same.left_out);
    }
}

/// The answer of a class: of `number` attempts some could not be marked, and some did not pass.
pub fn outcome(number: u32, wrong: u32, failed: u32) -> Result<Answer, String> {
    match (wrong, failed) {
        (0, 0) => Ok(Answer::Yes),
        (0, _) => Ok(Answer::No),
        _ => Err(format!("{wrong} of {number} attempts could not be marked")),
    }
}
