//! A job of fault finding: what is told of the machine, with what the learner may look for the fault, and what is hidden in it.

mod tool;

use super::reader::{Reader, Table};
use super::requirement::fault_on;
use super::{lot, sealed};
use sealin_core::fault::Presence;
use sealin_core::{Bench, Fault, Measurement};
use sealin_proof::Formula;
use sealin_proof::expr::{self, Expr};
pub use tool::Tool;

/// Most faults that can be hidden in one job.
const MOST_HIDDEN: usize = 50;

/// Most conditions that must be seen after a repair.
const MOST_SHOWN: usize = 20;

/// Longest time for which one must be seen, ms: an hour.
const MOST_FOR_MS: u64 = 3_600_000;

/// A job of fault finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultFinding {
    /// What whoever runs the machine tells of it.
    pub report: String,
    /// What the learner may use, besides eyes, hands on the controls, and the detector with its proving unit.
    pub tools: Vec<Tool>,
    /// Marks.
    pub marks: FindingMarks,
    /// Readings that a good search takes for the hardest of what may be hidden, proving dead aside; 0 where readings are not marked.
    pub needed_readings: u32,
    /// Whole suspects that a good search leaves at most, whatever is hidden; 0 where the worth of readings is not marked.
    pub suspects_left: u32,
    /// Marks that each look at what is still suspected costs; none: it is not there to be looked at.
    pub look_costs: Option<u32>,
    /// What must be seen on the machine after the last repair.
    pub shown: Vec<Shown>,
    /// How what is hidden comes.
    pub how: How,
    /// Wanted difficulty of what is drawn; 0: any.
    pub difficulty: u8,
    /// What may be hidden.
    pub(super) list: Vec<Hidden>,
    /// The text that was sealed, where it was.
    pub(super) seal: Option<String>,
}

/// What may be hidden in a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Hidden {
    /// What is wrong.
    pub fault: Fault,
    /// How hard it is to find, 1 to 5.
    pub difficulty: u8,
}

/// How what is hidden comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// One of the list, drawn by the seed of the attempt.
    Drawn,
    /// All of the list at once.
    Together,
    /// The first of the list; when it is put right the next comes.
    InTurn,
}

impl How {
    /// All of them.
    pub const ALL: [How; 3] = [How::Drawn, How::Together, How::InTurn];

    /// The words in files.
    pub fn word(self) -> &'static str {
        match self {
            How::Drawn => "drawn",
            How::Together => "together",
            How::InTurn => "in turn",
        }
    }
}

/// Marks of a job of fault finding, for each of what is hidden together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct FindingMarks {
    /// The part or conductor that is at fault is named.
    pub part: u32,
    /// What is wrong with it, and where.
    pub fault: u32,
    /// The readings that are given as evidence speak for it.
    pub evidence: u32,
    /// So many readings as a good search takes, or fewer.
    pub readings: u32,
    /// They left as few suspects by the first repair as a good search does, or fewer.
    pub worth: u32,
    /// The fault is gone.
    pub repaired: u32,
    /// The machine was seen at work after it.
    pub shown: u32,
}

impl FindingMarks {
    /// All marks.
    pub fn total(&self) -> u32 {
        self.part + self.fault + self.evidence + self.readings + self.worth + self.repaired + self.shown
    }
}

/// Something that must be seen after the last repair.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// In words.
    pub text: String,
    /// The condition, as it was written.
    pub source: String,
    /// The condition.
    pub when: Expr,
    /// For how long without a break, ms; 0: a moment is enough.
    pub for_ms: u32,
}

impl FaultFinding {
    /// What is hidden for a seed, in the order in which it comes.
    pub(crate) fn hidden(&self, seed: u64) -> Vec<Fault> {
        if self.how != How::Drawn {
            return self.list.iter().map(|hidden| hidden.fault.clone()).collect();
        }
        let wanted: Vec<&Hidden> = self
            .list
            .iter()
            .filter(|hidden| self.difficulty == 0 || hidden.difficulty == self.difficulty)
            .collect();
        let drawn = lot::draw(seed, wanted.len());
        wanted.get(drawn).map(|hidden| hidden.fault.clone()).into_iter().collect()
    }

    /// Whether a reading may be taken.
    pub fn allows_reading(&self, what: &Measurement) -> bool {
        Tool::of_reading(what).is_none_or(|tool| self.allows(tool))
    }

    /// Whether a tool may be used.
    pub fn allows(&self, tool: Tool) -> bool {
        self.tools.contains(&tool)
    }
}

/// Reads the table `[fault_finding]`, which may be left out.
pub(super) fn fault_finding<'t>(
    r: &mut Reader<'t>,
    top: &mut Table<'_, 't>,
    id: &str,
    bench: Option<&Bench>,
) -> Option<FaultFinding> {
    if !top.has("fault_finding") {
        return None;
    }
    let mut t = r.table(top, "fault_finding")?;
    let report = r.text(&mut t, "report", 2_000);
    let tools = tools(r, &mut t);
    let how = How::ALL[r.word(&mut t, "how", &How::ALL.map(How::word))];
    let difficulty = r.number_or(&mut t, "difficulty", 1..=5, 0) as u8;
    let look_costs = t.has("look_costs").then(|| r.number(&mut t, "look_costs", 0..=1000) as u32);
    let needed_readings = r.number_or(&mut t, "needed_readings", 1..=100, 0) as u32;
    let suspects_left = r.number_or(&mut t, "suspects_left", 1..=1_000, 0) as u32;
    let marks = marks(r, &mut t);
    if marks.worth > 0 && suspects_left == 0 && !r.has_problems() {
        let at = t.place("marks");
        r.wrong(&at, "`suspects_left`: the worth of readings is marked, and how many suspects a good search leaves is expected; write 1, and `sealin coach` tells how many the coach leaves");
    }
    if marks.readings > 0 && needed_readings == 0 && !r.has_problems() {
        let at = t.place("marks");
        r.wrong(&at, "`needed_readings`: readings are marked, and how many a good search takes is expected; write 1, and `sealin coach` tells how many the coach takes");
    }
    let shown = shown(r, &mut t, bench);
    let at = t.place("sealed");
    let seal = t.has("sealed").then(|| r.text(&mut t, "sealed", sealed::MOST_BYTES));
    let mut list = hidden(r, &mut t, bench);
    if let Some(text) = &seal {
        if list.is_empty() {
            match unsealed(text, id, bench) {
                Ok(all) => list = all,
                Err(message) => r.wrong(&at, message),
            }
        } else {
            r.wrong(&at, "`sealed`: the faults stand openly beside it; one of the two is expected");
        }
    }
    if !r.has_problems() {
        if list.is_empty() {
            r.wrong(&t.at.clone(), "at least one [[fault_finding.hidden]], or `sealed`, is expected");
        } else if how == How::Drawn && difficulty != 0 && !list.iter().any(|h| h.difficulty == difficulty) {
            let at = t.place("difficulty");
            r.wrong(&at, "`difficulty`: none of what may be hidden is of this difficulty");
        } else if marks.worth > 0 && !is_single(how, &list) {
            let at = t.place("marks");
            r.wrong(&at, "`worth`: what is suspected is single faults that stay; expected is one at a time that neither comes and goes nor waits for something");
        } else if how != How::Drawn && difficulty != 0 {
            let at = t.place("difficulty");
            r.wrong(&at, "`difficulty`: only what is drawn is drawn by it");
        }
    }
    r.finish(t);
    Some(FaultFinding {
        report,
        tools,
        marks,
        needed_readings,
        suspects_left,
        look_costs,
        shown,
        how,
        difficulty,
        list,
        seal,
    })
}

/// Whether one fault that stays is all that is ever wrong.
fn is_single(how: How, list: &[Hidden]) -> bool {
    (how == How::Drawn || list.len() == 1)
        && list.iter().all(|hidden| hidden.fault.presence == Presence::Stays)
}

fn tools<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Vec<Tool> {
    let mut all = Vec::new();
    for (word, at) in r.texts(t, "tools", Tool::ALL.len(), 20) {
        match Tool::ALL.into_iter().find(|tool| tool.word() == word) {
            Some(tool) if !all.contains(&tool) => all.push(tool),
            Some(_) => r.wrong(&at, format!("`{word}` stands there twice")),
            None => {
                let words: Vec<&str> = Tool::ALL.into_iter().map(Tool::word).collect();
                r.wrong(&at, format!("`{word}` is no tool; expected: {}", words.join(", ")));
            }
        }
    }
    all.sort();
    all
}

fn marks<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> FindingMarks {
    let Some(mut t) = r.table(t, "marks") else { return FindingMarks::default() };
    let mut of = |key| r.number_or(&mut t, key, 0..=1000, 0) as u32;
    let (part, fault, evidence) = (of("part"), of("fault"), of("evidence"));
    let (readings, worth, repaired, shown) = (of("readings"), of("worth"), of("repaired"), of("shown"));
    r.finish(t);
    FindingMarks { part, fault, evidence, readings, worth, repaired, shown }
}

fn shown<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, bench: Option<&Bench>) -> Vec<Shown> {
    let mut all = Vec::new();
    for mut t in r.tables(t, "shown", MOST_SHOWN) {
        let text = r.text(&mut t, "text", 200);
        let at = t.place("when");
        let source = r.text(&mut t, "when", 1_000);
        let for_ms = r.number_or(&mut t, "for_ms", 0..=MOST_FOR_MS, 0) as u32;
        let read = expr::parse(&source).and_then(|when| {
            bench.map_or(Ok(()), |b| Formula::new(&when, &b.design).map(|_| ())).map(|()| when)
        });
        match read {
            Ok(when) => all.push(Shown { text, source, when, for_ms }),
            Err(e) => r.wrong_inside(&at, 1, e.column, e.message),
        }
        r.finish(t);
    }
    all
}

fn hidden<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, bench: Option<&Bench>) -> Vec<Hidden> {
    let mut all = Vec::new();
    for mut t in r.tables(t, "hidden", MOST_HIDDEN) {
        let at = t.place("fault");
        let line = r.text(&mut t, "fault", 100);
        let difficulty = r.number(&mut t, "difficulty", 1..=5) as u8;
        r.finish(t);
        match fault_on(&line, bench) {
            Ok(fault) => all.push(Hidden { fault, difficulty }),
            Err(message) => r.wrong(&at, message),
        }
    }
    all
}

/// What was sealed: a line each, difficulty and fault.
fn unsealed(text: &str, id: &str, bench: Option<&Bench>) -> Result<Vec<Hidden>, String> {
    let plain = sealed::open(text, id)?;
    let mut all = Vec::new();
    for line in plain.lines() {
        let (difficulty, fault) = line.split_once(' ').ok_or("`sealed`: it holds no faults")?;
        let difficulty = difficulty.parse().ok().filter(|d| (1..=5).contains(d));
        let difficulty = difficulty.ok_or("`sealed`: it holds no faults")?;
        // What is wrong with one must not tell which it is.
        let fault = fault_on(fault, bench)
            .map_err(|_| "`sealed`: what it holds does not fit this job; seal it anew")?;
        all.push(Hidden { fault, difficulty });
    }
    match all.len() {
        0 => Err("`sealed`: it holds no faults".to_string()),
        n if n > MOST_HIDDEN => Err(format!("`sealed`: at most {MOST_HIDDEN} faults are expected")),
        _ => Ok(all),
    }
}

/// A scenario's text with its hidden faults sealed in place of the open ones, for an instructor who gives it away.
///
/// # Errors
/// What is wrong with the text, or that nothing is open in it.
pub fn seal(text: &str) -> Result<String, String> {
    let scenario = super::Scenario::parse(text)
        .map_err(|all| all.first().map(ToString::to_string).unwrap_or_default())?;
    let finding = scenario.fault_finding.as_ref().ok_or("there is no [fault_finding] in this scenario")?;
    if finding.seal.is_some() {
        return Err("what is hidden in this scenario is sealed already".to_string());
    }
    let lines: Vec<String> =
        finding.list.iter().map(|hidden| format!("{} {}", hidden.difficulty, hidden.fault)).collect();
    let sealed = sealed::seal(&lines.join("\n"), &scenario.id);
    let mut out = String::with_capacity(text.len());
    let mut open = false;
    for line in text.split_inclusive('\n') {
        let bare = line.trim();
        if bare.starts_with('[') {
            open = bare.starts_with("[[fault_finding.hidden]]");
        }
        if open {
            continue;
        }
        out.push_str(line);
        if bare.starts_with("[fault_finding]") {
            out.push_str(&format!("sealed = \"{sealed}\"\n"));
        }
    }
    let again =
        super::Scenario::parse(&out).map_err(|_| "the tables stand in an order that cannot be sealed")?;
    let kept = again.fault_finding.as_ref().is_some_and(|f| f.list == finding.list);
    if kept { Ok(out) } else { Err("the tables stand in an order that cannot be sealed".to_string()) }
}

#[cfg(test)]
mod tests;
