//! A class: what its table and page need of each attempt, on disk, so that memory does not grow with their number.

use super::same::Same;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, Seek, Write};

/// Jobs that get columns of their own; whoever worked on a further one stands in the table without them.
const MOST_JOBS: usize = 20;

/// What is kept of an attempt: a line of marks as `sealin grade` writes it, as far as the class needs it.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Row {
    /// Path of the file, with the line; empty for a line of standard input.
    pub attempt: String,
    /// Name on the attempt (unverified).
    pub author: String,
    /// Id of the scenario.
    pub scenario: String,
    /// Its title.
    pub title: String,
    /// Hash of its content.
    pub content_hash: String,
    /// Marks earned.
    pub earned: u32,
    /// Marks that can be earned.
    pub of: u32,
    /// Of them, neither earned nor lost.
    pub open: u32,
    /// Whether it is a pass.
    pub passed: bool,
    /// Bench time of the last line, ms.
    pub bench_ms: u64,
    /// What does not fit, in words.
    pub remarks: Vec<String>,
    /// Number of acts.
    pub acts: usize,
    /// Hash of the acts.
    pub acts_hash: String,
    /// By requirement.
    pub lines: Vec<Mark>,
    /// Why it could not be marked.
    pub error: Option<String>,
}

/// Marks of one requirement, or of what is marked beside them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Mark {
    /// Id of the requirement.
    pub id: String,
    /// What it says.
    pub text: String,
    /// Its kind, in a word.
    pub kind: String,
    /// Marks earned; what was opened for help takes some away.
    pub earned: i64,
    /// Marks that can be earned.
    pub of: i64,
    /// Needed for a pass.
    pub must: bool,
    /// Neither earned nor lost.
    pub open: bool,
    /// Why marks were not earned.
    pub why: Option<String>,
    /// Why it has its marks; a hint that was not opened has no reason.
    pub reasons: Vec<Value>,
}

impl Mark {
    /// Whether it is a hint: it stands with the others of its kind, in one column.
    fn is_hint(&self) -> bool {
        self.kind == "hint"
    }
}

impl Row {
    /// Of a line of marks.
    pub fn of(value: Value) -> Result<Row, String> {
        serde_json::from_value(value).map_err(|e| format!("no line of marks: {e}"))
    }

    /// Hints that were opened, and the marks that they took together.
    pub fn hints(&self) -> (Vec<&str>, i64) {
        let opened = self.lines.iter().filter(|mark| mark.is_hint() && !mark.reasons.is_empty());
        (opened.clone().map(|mark| mark.id.as_str()).collect(), -opened.map(|mark| mark.earned).sum::<i64>())
    }

    /// What the attempt is called where it has neither file nor line: by its number in the class.
    pub fn name(&self, number: u32) -> String {
        if self.attempt.is_empty() { format!("attempt {}", number + 1) } else { self.attempt.clone() }
    }

    /// What a person calls it: the name on it, or else what it is called.
    pub fn learner(&self, number: u32) -> String {
        let author = self.author.trim();
        if author.is_empty() { self.name(number) } else { author.to_string() }
    }
}

/// A scenario on which somebody in the class worked.
pub struct Job {
    /// Its id.
    pub scenario: String,
    /// Its title.
    pub title: String,
    content_hash: String,
    /// Its requirements, with how many attempts earned all marks of each.
    pub requirements: Vec<(Mark, u32)>,
    /// Attempts in which a hint was opened.
    pub hinted: u32,
    /// Attempts on it.
    pub attempts: u32,
    /// Of them, those that passed.
    pub passed: u32,
}

impl Job {
    /// Whether an attempt was on it.
    pub fn is_of(&self, row: &Row) -> bool {
        row.error.is_none() && self.scenario == row.scenario && self.content_hash == row.content_hash
    }

    /// What an attempt has earned by requirement, in the order of the job.
    pub fn marks<'a>(&'a self, row: &'a Row) -> impl Iterator<Item = Option<&'a Mark>> {
        self.requirements.iter().map(|(wanted, _)| row.lines.iter().find(|mark| mark.id == wanted.id))
    }
}

/// All attempts of a class.
pub struct Class {
    spool: BufWriter<File>,
    /// In the order in which they were met.
    pub jobs: Vec<Job>,
    /// How many there are.
    pub attempts: u32,
    /// Of them, those that passed.
    pub passed: u32,
    /// Of them, those that could not be marked.
    pub wrong: u32,
}

impl Class {
    /// Nobody yet.
    pub fn new() -> Result<Class, String> {
        let spool =
            tempfile::tempfile().map_err(|e| format!("a file for the time being cannot be made: {e}"))?;
        Ok(Class { spool: BufWriter::new(spool), jobs: Vec::new(), attempts: 0, passed: 0, wrong: 0 })
    }

    /// Takes the next attempt.
    pub fn add(&mut self, row: Row) -> Result<(), String> {
        self.attempts += 1;
        self.passed += u32::from(row.passed && row.error.is_none());
        self.wrong += u32::from(row.error.is_some());
        if row.error.is_none() {
            self.count(&row);
        }
        let written = serde_json::to_writer(&mut self.spool, &row).map_err(io::Error::from);
        written
            .and_then(|()| self.spool.write_all(b"\n"))
            .map_err(|e| format!("a file for the time being cannot be written: {e}"))
    }

    fn count(&mut self, row: &Row) {
        let known = self.jobs.iter().position(|job| job.is_of(row));
        let at = match known {
            Some(at) => at,
            None if self.jobs.len() < MOST_JOBS => {
                let plain = |mark: &Mark| (Mark { why: None, reasons: Vec::new(), ..mark.clone() }, 0);
                self.jobs.push(Job {
                    scenario: row.scenario.clone(),
                    title: row.title.clone(),
                    content_hash: row.content_hash.clone(),
                    requirements: row.lines.iter().filter(|mark| !mark.is_hint()).map(plain).collect(),
                    hinted: 0,
                    attempts: 0,
                    passed: 0,
                });
                self.jobs.len() - 1
            }
            None => return,
        };
        let job = &mut self.jobs[at];
        job.attempts += 1;
        job.passed += u32::from(row.passed);
        job.hinted += u32::from(!row.hints().0.is_empty());
        for (requirement, full) in &mut job.requirements {
            let mark = row.lines.iter().find(|mark| mark.id == requirement.id);
            *full += u32::from(mark.is_some_and(|mark| mark.earned == mark.of));
        }
    }

    /// Every attempt again, in order, with its number.
    pub fn each(&mut self, mut take: impl FnMut(u32, Row) -> io::Result<()>) -> io::Result<()> {
        self.spool.flush()?;
        let mut file = self.spool.get_ref().try_clone()?;
        file.rewind()?;
        for (number, line) in (0..).zip(BufReader::new(&file).lines()) {
            take(number, serde_json::from_str(&line?)?)?;
        }
        // What is added after goes to the end.
        file.seek(io::SeekFrom::End(0)).map(|_| ())
    }

    /// In words, by number: which attempts have the same acts as which earlier one, and the earlier one, too.
    pub fn same_acts(&mut self, same: &Same) -> io::Result<BTreeMap<u32, String>> {
        let mut firsts = BTreeMap::new();
        self.each(|number, row| {
            if same.groups().contains_key(&number) {
                firsts.insert(number, row.name(number));
            }
            Ok(())
        })?;
        let mut all = BTreeMap::new();
        for (first, group) in same.groups() {
            let acts = group.acts;
            let others = match group.others.len() {
                1 => "another attempt".to_string(),
                many => format!("{many} other attempts"),
            };
            all.insert(*first, format!("the same {acts} acts at the same ticks as {others}"));
            let name = firsts.get(first).map_or("", String::as_str);
            let text = format!("the same {acts} acts at the same ticks as {name}");
            all.extend(group.others.iter().map(|&other| (other, text.clone())));
        }
        Ok(all)
    }
}
