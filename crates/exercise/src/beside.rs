//! Marks beside the requirements: predictions, craft and hints, each a line with its reasons.
//!
//! How a person worked counts over all lines of the log, the design as it is at the end. A craft line earns at most the share of
//! its marks in which those of the requirements, or of the fault, are earned: neat work on a machine that does nothing is no work.

mod design;
mod finding;

use crate::conduct::{Conduct, Opened};
use crate::marking::{Marks, share};
use crate::predictions::{Right, right_answers};
use crate::project::Project;
use crate::scenario::{Craft, Hint, Prediction, Scenario};
use crate::unsafe_acts::Recorded;
use sealin_core::Terminal;
use serde::{Deserialize, Serialize};

/// What a line is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Kind {
    /// The answer to a question before a test.
    Prediction,
    /// Wiring as a fitter would do it.
    Wiring,
    /// A program about which a teacher has nothing to say.
    Program,
    /// Bench time.
    Time,
    /// No unsafe acts.
    SafeWork,
    /// A hint that was opened or not.
    Hint,
    /// The search for a fault.
    Finding,
}

impl Kind {
    /// The word in files and tables.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Prediction => "prediction",
            Kind::Wiring => "wiring",
            Kind::Program => "program",
            Kind::Time => "time",
            Kind::SafeWork => "safe work",
            Kind::Hint => "hint",
            Kind::Finding => "fault finding",
        }
    }
}

/// One line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Line {
    /// Id of the prediction or hint; the word of its kind for craft.
    pub id: String,
    /// What it is for.
    pub kind: Kind,
    /// What it says: the question, the hint, or what is marked.
    pub text: String,
    /// Marks earned; a hint that was opened takes some away.
    pub earned: i32,
    /// Marks that can be earned; none by a hint.
    pub of: u32,
    /// Why.
    pub reasons: Vec<Reason>,
}

/// Why a line has the marks that it has.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reason {
    /// In words.
    pub text: String,
    /// Where it can be seen.
    pub at: Evidence,
}

/// Where a reason can be seen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Evidence {
    /// In the log.
    Entry {
        /// Number of the entry.
        entry: u32,
        /// Bench time of its line, ms.
        tick: u64,
    },
    /// At a conductor, by id.
    Conductor(String),
    /// At a terminal.
    Terminal(#[serde(with = "terminal")] Terminal),
    /// At a rung of the program on the sheet, counted from 0, and the variable that it is about.
    Rung(u32, String),
    /// At a variable of the program on the sheet.
    Variable(String),
    /// In other lines of the marks.
    Marks,
    /// Nowhere in particular.
    Nowhere,
}

/// A terminal as its text: `QA1:13`.
mod terminal {
    use sealin_core::Terminal;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub fn serialize<S: Serializer>(terminal: &Terminal, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(terminal)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Terminal, D::Error> {
        let text = String::deserialize(from)?;
        Terminal::parse(&text).ok_or_else(|| D::Error::custom(format!("`{text}` is no terminal")))
    }
}

impl Marks {
    /// These marks of a work, with what was earned beside the requirements.
    pub fn with_conduct(mut self, scenario: &Scenario, project: &Project, conduct: &Conduct) -> Marks {
        let found = scenario.fault_finding.as_ref().map(|finding| finding::lines(finding, conduct));
        let found = found.unwrap_or_default();
        let earned_by_finding: u32 = found.iter().map(|line| line.earned.max(0).unsigned_abs()).sum();
        let earned = self.required_earned() + earned_by_finding;
        let of_finding = scenario.fault_finding.as_ref().map_or(0, |finding| finding.marks.total());
        let cap = |of: u32| share(of, earned, scenario.required_marks() + of_finding);
        self.beside = found;
        self.beside.extend(lines(scenario, project, conduct, &cap));
        let beside: i64 = self.beside.iter().map(|line| i64::from(line.earned)).sum();
        let requirements: u32 = self.lines.iter().map(|line| line.earned).sum();
        self.earned = u32::try_from(i64::from(requirements) + beside).unwrap_or(0);
        self.of = scenario.total_marks();
        self.passed = self.complete && self.musts_are_kept() && self.earned >= scenario.pass_marks;
        self
    }
}

/// All lines. `cap` is what a craft line earns at most.
fn lines(scenario: &Scenario, project: &Project, conduct: &Conduct, cap: &dyn Fn(u32) -> u32) -> Vec<Line> {
    let right = right_answers(scenario);
    let mut all: Vec<Line> = scenario
        .predictions
        .iter()
        .zip(right.iter())
        .map(|(p, right)| prediction(p, right, conduct))
        .collect();
    let Craft { wiring, program, time, safe_work } = scenario.craft;
    let craft =
        [(Kind::Wiring, wiring), (Kind::Program, program), (Kind::Time, time), (Kind::SafeWork, safe_work)];
    for (kind, of) in craft.into_iter().filter(|(_, of)| *of > 0) {
        all.push(craft_line(kind, of, cap(of), scenario, project, conduct));
    }
    all.extend(scenario.hints.iter().map(|h| hint(h, conduct)));
    all
}

fn prediction(p: &Prediction, right: &Right, conduct: &Conduct) -> Line {
    let text_of =
        |number: u32| p.answers.get((number as usize).wrapping_sub(1)).map_or("", |a| a.text.as_str());
    let (mut earned, mut reasons) = (0, Vec::new());
    let mut tell = |text: String, at: Evidence| reasons.push(Reason { text, at });
    match (conduct.answer(&p.id), right) {
        (None, _) => tell("not answered".to_string(), Evidence::Nowhere),
        (Some(given), Ok(right)) => {
            let at = Evidence::Entry { entry: given.entry, tick: given.tick };
            if given.answer == *right {
                earned = p.marks as i32;
                tell(format!("answered “{}”, which the bench does", text_of(*right)), at);
            } else {
                let given = text_of(given.answer);
                tell(format!("answered “{given}”; on the bench: “{}” {}", text_of(*right), p.why), at);
            }
        }
        // Nobody's answer can be right.
        (Some(_), Err(message)) => tell(message.clone(), Evidence::Nowhere),
    }
    Line { id: p.id.clone(), kind: Kind::Prediction, text: p.question.clone(), earned, of: p.marks, reasons }
}

fn hint(h: &Hint, conduct: &Conduct) -> Line {
    let opened = conduct.opened(&h.id);
    let reason = |o: &Opened| Reason {
        text: format!("opened; it costs {}", marks(h.costs)),
        at: Evidence::Entry { entry: o.entry, tick: o.tick },
    };
    Line {
        id: h.id.clone(),
        kind: Kind::Hint,
        text: h.text.clone(),
        earned: if opened.is_some() { -(h.costs as i32) } else { 0 },
        of: 0,
        reasons: opened.map(reason).into_iter().collect(),
    }
}

/// A line of craft, of which at most `cap` is earned.
fn craft_line(
    kind: Kind,
    of: u32,
    cap: u32,
    scenario: &Scenario,
    project: &Project,
    conduct: &Conduct,
) -> Line {
    let (text, earned, mut reasons) = match kind {
        Kind::Wiring => {
            lost("Nothing that a fitter would do again.", of, 1, design::wiring(scenario, project))
        }
        Kind::Program => lost("Nothing that a teacher would remark on.", of, 1, design::program(project)),
        Kind::Time => time(of, scenario, conduct),
        _ => lost("No unsafe act.", of, 2, unsafe_acts(conduct)),
    };
    if earned > cap {
        let text =
            format!("at most {cap} of {of}, the share in which the marks of the task itself are earned");
        reasons.push(Reason { text, at: Evidence::Marks });
    }
    let (id, text) = (kind.word().to_string(), text.to_string());
    Line { id, kind, text, earned: earned.min(cap) as i32, of, reasons }
}

/// So many marks are lost for each of the reasons.
fn lost(text: &str, of: u32, each: u32, reasons: Vec<Reason>) -> (&str, u32, Vec<Reason>) {
    (text, of.saturating_sub(each.saturating_mul(reasons.len() as u32)), reasons)
}

/// All marks within the minutes of the scenario, none at twice that, straight between.
fn time(of: u32, scenario: &Scenario, conduct: &Conduct) -> (&'static str, u32, Vec<Reason>) {
    let limit = scenario.minutes * 60_000;
    let over = u32::try_from(conduct.bench_ms).unwrap_or(u32::MAX).saturating_sub(limit);
    let text = format!(
        "{} of bench time over all lines; {} are given",
        minutes(conduct.bench_ms),
        minutes(limit.into())
    );
    let reason = Reason { text, at: Evidence::Nowhere };
    ("Done in the time that is given.", share(of, limit.saturating_sub(over), limit), vec![reason])
}

fn unsafe_acts(conduct: &Conduct) -> Vec<Reason> {
    let reason = |r: &Recorded| Reason {
        text: r.act.to_string(),
        at: Evidence::Entry { entry: r.entry, tick: r.tick },
    };
    conduct.unsafe_acts.iter().map(reason).collect()
}

fn marks(count: u32) -> String {
    if count == 1 { "1 mark".to_string() } else { format!("{count} marks") }
}

/// `12 min 5 s` of 725,000 ms.
fn minutes(ms: u64) -> String {
    format!("{} min {} s", ms / 60_000, ms % 60_000 / 1000)
}
