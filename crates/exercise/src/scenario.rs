//! A scenario: an exercise as an author wrote it, read from TOML and checked.

mod as_built;
mod card;
mod content;
mod craft;
mod device;
mod fault_finding;
mod lot;
mod prediction;
mod read;
mod reader;
mod requirement;
mod sealed;
pub mod types;
mod variant;
mod wiring;

use crate::setting::Adjustment;
use sealin_core::canon::Hash;
use sealin_core::part::Part;
use sealin_core::{Conductor, Fault, Insulation, Terminal};
use sealin_proof::{Script, Verdict};
use std::collections::{BTreeMap, BTreeSet};

pub use card::Card;
pub use craft::{Craft, Hint};
pub use fault_finding::{FaultFinding, FindingMarks, How, Shown, Tool, seal};
pub use prediction::{Answer, Prediction, Tried};
pub use read::{MOST_BYTES, VERSION};
pub use variant::{Variant, VariantKind};
pub use wiring::{Wires, parse_wires, parse_wiring};

/// JSON Schema (draft 2020-12) of a scenario file, read as JSON.
pub const SCHEMA: &str = include_str!("../schema/scenario.schema.json");

/// An exercise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scenario {
    /// Name of its folder; in links and attempts.
    pub id: String,
    /// Version of the form of the file.
    pub version: u32,
    /// What the job is called.
    pub title: String,
    /// Where the job is.
    pub site: String,
    /// Which machine.
    pub machine: String,
    /// 1 (first steps) to 5.
    pub level: u8,
    /// How long it takes, minutes.
    pub minutes: u32,
    /// Sheets that are open, in order, by name.
    pub sheets: Vec<String>,
    /// Language of its texts, as a language tag.
    pub language: String,
    /// Standard of the symbols.
    pub symbols: String,
    /// Practice region.
    pub region: Region,
    /// Brief in Markdown: machine, task, cautions.
    pub brief_markdown: String,
    /// Cautions that stand on the brief and on every print-out.
    pub cautions: Vec<String>,
    /// Parts, in the order of the file.
    pub parts: Vec<Part>,
    /// What is written at each part, by tag.
    pub labels: BTreeMap<String, Label>,
    /// Conductors that are there already.
    pub given: Vec<Conductor>,
    /// Those of them that the learner may take out or alter, by id; the others stay.
    pub removable: BTreeSet<String>,
    /// Cables and which conductors are their cores.
    pub cables: Vec<Cable>,
    /// Remarks at single conductors, by id.
    pub conductor_notes: BTreeMap<String, String>,
    /// What a conductor that the learner makes is like at first.
    pub new_conductor: NewConductor,
    /// What the learner may set at devices besides dials, by tag.
    pub adjustments: BTreeMap<String, Adjustment>,
    /// What the learner has to wire.
    pub todo: Vec<Todo>,
    /// The I/O list.
    pub names: Vec<IoRow>,
    /// The given program, structured text; empty in a hard-wired job.
    pub program: String,
    /// Requirements, in order.
    pub requirements: Vec<Requirement>,
    /// What the proof that nothing comes to harm takes for granted.
    pub harm: Proof,
    /// Questions before tests, in order.
    pub predictions: Vec<Prediction>,
    /// Help that a learner may open, in order.
    pub hints: Vec<Hint>,
    /// Marks for how the work was done.
    pub craft: Craft,
    /// Marks for a pass.
    pub pass_marks: u32,
    /// Signals by which the program tells that something is wrong: bits of the output image, program variables.
    pub alarms: Vec<String>,
    /// The learner takes parts from stores.
    pub stores: bool,
    /// The learner may not look at the worked example.
    pub example_withheld: bool,
    /// Cause and effect matrix.
    pub matrix: Matrix,
    /// What a seed deals out anew for each learner.
    pub variants: Vec<Variant>,
    /// The fault that is to be found, where this is a job of fault finding.
    pub fault_finding: Option<FaultFinding>,
    /// The job whose panel this is, as its reference has built it, and the hash of that job's meaning.
    as_built: Option<(String, Hash)>,
    content_hash: Hash,
    dealt: Option<variant::Dealt>,
}

/// Practice region.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Region {
    /// 400 V 50 Hz, IEC practice.
    V400Hz50,
    /// 480 V 60 Hz, North American practice.
    V480Hz60,
}

/// What is written at a part, and where it sits.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Label {
    /// Rating and setting as on the part's plate.
    pub rating: String,
    /// Why it was chosen.
    pub why: String,
    /// Rail from the top, from 1; 0 for a part that sits on none.
    pub rail: u8,
    /// Place on the rail, or among the parts of its place, from 1.
    pub order: u8,
}

/// A cable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cable {
    /// Reference designation.
    pub tag: String,
    /// Length, mm; 0 when it is not given: then the cores are plain conductors.
    pub length_mm: u32,
    /// Conductor id and core mark.
    pub cores: Vec<(String, String)>,
}

/// A conductor as the learner gets it from the reel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NewConductor {
    /// Cross-section, hundredths of mm².
    pub section_mm2_x100: u32,
    /// Insulation colour.
    pub colour: Insulation,
}

/// One conductor that is to be made: where it begins and what it is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Todo {
    /// Wire number.
    pub number: String,
    /// Where it begins.
    pub from: Terminal,
    /// What it is for.
    pub purpose: String,
}

/// One row of the I/O list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IoRow {
    /// `%IX0.4`.
    pub address: String,
    /// Name of the bit in the program; empty for a spare.
    pub name: String,
    /// Terminal of the controller.
    pub terminal: String,
    /// Device and contact.
    pub device: String,
    /// What 1 means.
    pub comment: String,
}

/// A required behaviour.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Requirement {
    /// `R1`.
    pub id: String,
    /// What it says.
    pub text: String,
    /// Marks when all trials are kept.
    pub marks: u32,
    /// Needed for a pass.
    pub must: bool,
    /// Its marks come on top: they do not count in the total.
    pub bonus: bool,
    /// Earns the share of its marks in which its trials are kept, unless a proof decides.
    pub partial: bool,
    /// What must hold or must not at every tick, with its text; for the live bench and for the proof.
    pub formulas: Vec<Formula>,
    /// What its proof takes for granted.
    pub proof: Proof,
    /// Scripts, all of which must be kept.
    pub trials: Vec<Trial>,
}

/// What a proof takes for granted; nothing where the scenario says nothing.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Proof {
    /// What moves by itself; empty: whatever can.
    pub free: Vec<String>,
    /// What may be taken for granted of what moves.
    pub assume: Vec<Formula>,
    /// With which faults it is proven, one at a time; none: without a fault.
    pub faults: Vec<Fault>,
    /// Most states; 0: the usual number.
    pub max_states: u64,
}

/// A requirement's formula.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Formula {
    /// As it was written.
    pub source: String,
    /// What it says.
    pub verdict: Verdict,
}

/// One run of a requirement on the bench.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trial {
    /// What is tried.
    pub name: String,
    /// The script.
    pub script: Script,
    /// The script as it was written.
    pub source: String,
}

/// Cause and effect matrix.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Matrix {
    /// Heads of the effect columns.
    pub effects: Vec<String>,
    /// Rows.
    pub rows: Vec<MatrixRow>,
}

/// One row of the cause and effect matrix.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MatrixRow {
    /// Cause.
    pub cause: String,
    /// One cell for each effect column.
    pub effects: Vec<String>,
    /// Ids of the requirements that say so, with blanks between.
    pub requirements: String,
}

/// What is wrong with a file, and where.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {message}")]
pub struct Problem {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// What is wrong and what was expected.
    pub message: String,
}

impl Cable {
    /// The cables of known length, as a plan has them.
    pub fn of_plan(cables: &[Cable]) -> Vec<sealin_core::plan::Cable> {
        let known = cables.iter().filter(|c| c.length_mm != 0).map(|c| sealin_core::plan::Cable {
            tag: c.tag.clone(),
            length_mm: c.length_mm,
            cores: c.cores.iter().map(|(id, _)| id.clone()).collect(),
        });
        known.collect()
    }
}

impl Scenario {
    /// Reads a scenario. Every problem has its place and says what was expected; nothing in a text can make this panic.
    pub fn parse(text: &str) -> Result<Scenario, Vec<Problem>> {
        read::scenario(text)
    }

    /// One device with what is written at it, from its keys: a `[[device]]` table without its head.
    pub(crate) fn device(text: &str) -> Result<(Part, Label), Vec<Problem>> {
        read::device(text)
    }

    /// Reads a scenario from the bytes of a file.
    pub fn read(bytes: &[u8]) -> Result<Scenario, Vec<Problem>> {
        Scenario::parse(reader::utf8(bytes, MOST_BYTES)?)
    }

    /// Hash of the scenario's meaning: line endings, comments and layout of the file do not count. It is that of the scenario as
    /// it is written, for whatever seed it was dealt.
    pub fn content_hash(&self) -> Hash {
        self.content_hash
    }

    /// Sum of all marks that can be earned without a bonus.
    pub fn total_marks(&self) -> u32 {
        let asked: u32 = self.predictions.iter().map(|p| p.marks).sum();
        let finding = self.fault_finding.as_ref().map_or(0, |f| f.marks.total());
        self.required_marks() + asked + self.craft.marks() + finding
    }

    /// Sum of the marks of the requirements that are no bonus.
    pub fn required_marks(&self) -> u32 {
        self.requirements.iter().filter(|r| !r.bonus).map(|r| r.marks).sum()
    }

    /// What is hidden in the machine, in the order in which it comes.
    pub(crate) fn hidden(&self) -> Vec<Fault> {
        self.fault_finding.as_ref().map(|finding| finding.hidden(self.seed())).unwrap_or_default()
    }

    /// What is counted of each that may be hidden in the job.
    ///
    /// # Errors
    /// The first of `count`.
    pub fn of_each_hidden<T>(
        &self,
        count: &mut dyn FnMut(&Fault) -> Result<T, String>,
    ) -> Result<Vec<T>, String> {
        let all = self.fault_finding.iter().flat_map(|finding| &finding.list);
        all.map(|hidden| count(&hidden.fault)).collect()
    }

    /// Whether the job has no controller, and so no program.
    pub fn is_hard_wired(&self) -> bool {
        self.program.is_empty()
    }

    /// Whether a conductor is given and stays.
    pub fn is_fixed(&self, conductor: &str) -> bool {
        !self.removable.contains(conductor) && self.given.iter().any(|c| c.id == conductor)
    }

    /// Prediction by id.
    pub fn prediction(&self, id: &str) -> Option<&Prediction> {
        self.predictions.iter().find(|p| p.id == id)
    }

    /// An answer to a prediction, by its number from 1. The error says what there is not.
    pub fn answer(&self, prediction: &str, number: u32) -> Result<&Answer, String> {
        let asked =
            self.prediction(prediction).ok_or_else(|| format!("there is no prediction `{prediction}`"))?;
        let answer = (number as usize).checked_sub(1).and_then(|n| asked.answers.get(n));
        answer.ok_or_else(|| {
            format!("`{prediction}` has the answers 1 to {}, and no answer {number}", asked.answers.len())
        })
    }

    /// Hint by id.
    pub fn hint(&self, id: &str) -> Option<&Hint> {
        self.hints.iter().find(|h| h.id == id)
    }

    /// Part by tag.
    pub fn part(&self, tag: &str) -> Option<&Part> {
        self.parts.iter().find(|p| p.tag == tag)
    }

    /// A conductor with the names that its terminals have now: older files call some otherwise.
    pub fn conductor_now(&self, mut c: Conductor) -> Conductor {
        for end in [&mut c.from, &mut c.to] {
            if let Some(now) = self.part(&end.part).map(|p| p.terminal_now(&end.name).to_string()) {
                end.name = now;
            }
        }
        c
    }

    /// What is written at a part.
    pub fn label(&self, tag: &str) -> Option<&Label> {
        self.labels.get(tag)
    }
}

impl Region {
    /// All regions.
    pub const ALL: [Region; 2] = [Region::V400Hz50, Region::V480Hz60];

    /// The words in files.
    pub fn word(self) -> &'static str {
        match self {
            Region::V400Hz50 => "400 V 50 Hz",
            Region::V480Hz60 => "480 V 60 Hz",
        }
    }
}
