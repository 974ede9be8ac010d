//! Reads a scenario file from top to bottom and checks that its parts fit together.

use super::as_built::as_built;
use super::craft::{craft, hints};
use super::device::{Device, devices, one};
use super::fault_finding::fault_finding;
use super::prediction::predictions;
use super::reader::{Reader, Table, document};
use super::requirement::{matrix, proof, requirements};
use super::variant::{as_written, variants};
use super::wiring::{Wiring, adjustments, circuits, io_rows, no_terminal, reel, todo};
use super::{Cable, Label, NewConductor, Problem, Region, Scenario, Tried};
use crate::project::Project;
use crate::shipped;
use sealin_core::part::{Kind, Part};
use sealin_core::{Bench, BuildError, Insulation, Plan};
use std::cell::OnceCell;
use std::ops::Range;

/// Version of the form of a scenario file that is read and written.
pub const VERSION: u32 = 1;

/// Largest scenario file, bytes.
pub const MOST_BYTES: usize = 1 << 20;

/// Sheets that a scenario may open.
const SHEETS: [&str; 6] = ["brief", "wiring", "program", "commissioning", "fault finding", "sign-off"];

pub(super) fn scenario(text: &str) -> Result<Scenario, Vec<Problem>> {
    let document = document(text, MOST_BYTES)?;
    let mut r = Reader::new(text);
    let mut top = Table::new(document.get_ref(), 0..0);
    if !r.head(&mut top, "sealin scenario", VERSION) {
        return Err(r.into_problems());
    }
    let mut s = head(&mut r, &mut top);
    let taken_over = as_built(&mut r, &mut top, &mut s);
    let given = match taken_over {
        true => built(&mut r, &s),
        false => own(&mut r, &mut top, &mut s),
    };
    let bench = given.as_ref().and_then(without_program);
    if !taken_over {
        s.requirements = requirements(&mut r, &mut top, bench.as_ref(), s.stores && s.pass_marks == 0);
        s.harm = proof(&mut r, &mut top, "harm", bench.as_ref());
    }
    let reference = OnceCell::new();
    s.predictions = predictions(&mut r, &mut top, &s.requirements, &|of| match of {
        Tried::Given => Ok(given.clone()),
        Tried::Reference => reference.get_or_init(|| reference_bench(&s, given.is_some())).clone(),
    });
    s.hints = hints(&mut r, &mut top, &s.requirements, &s.predictions);
    s.craft = craft(&mut r, &mut top, s.is_hard_wired());
    s.fault_finding = fault_finding(&mut r, &mut top, &s.id, given.as_ref());
    if !taken_over {
        s.matrix = matrix(&mut r, &mut top, &s.requirements);
        s.alarms = alarms(&mut r, &mut top, bench.as_ref());
        s.variants = variants(&mut r, &mut top, &s);
    }
    if s.pass_marks > s.total_marks() && !r.has_problems() {
        let at = top.place("pass_marks");
        r.wrong(&at, format!("the marks sum up to {}; a pass must be possible", s.total_marks()));
    }
    r.finish(top);
    if r.has_problems() {
        return Err(r.into_problems());
    }
    s.content_hash = super::content::hash(&s);
    Ok(as_written(s))
}

/// Reads the panel that stands in the file: devices, conductors, the learner's part, program.
fn own<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>, s: &mut Scenario) -> Option<Bench> {
    let devices = devices(r, top);
    s.parts = devices.iter().map(|d| d.part.clone()).collect();
    s.labels = devices.iter().map(|d| (d.part.tag.clone(), d.label.clone())).collect();
    let mut wiring = circuits(r, top);
    wiring.conductors = wiring.conductors.into_iter().map(|c| s.conductor_now(c)).collect();
    ends(r, &wiring, &s.parts);
    learner(r, top, s);
    let program = program(r, top, s);
    let given = build(r, &devices, &wiring, program.as_ref());
    s.given = wiring.conductors;
    s.removable = wiring.removable;
    s.cables = wiring.cables;
    s.conductor_notes = wiring.notes;
    given
}

/// The bench of a panel as it was built elsewhere.
fn built(r: &mut Reader<'_>, s: &Scenario) -> Option<Bench> {
    if r.has_problems() {
        return None;
    }
    let bench = Bench::new(Project::given(s).plan(s));
    bench.map_err(|e| r.wrong(&(0..0), e.to_string())).ok()
}

/// Most bytes of one device.
const MOST_DEVICE_BYTES: usize = 4 << 10;

pub(super) fn device(text: &str) -> Result<(Part, Label), Vec<Problem>> {
    let document = document(text, MOST_DEVICE_BYTES)?;
    let mut r = Reader::new(text);
    let device = one(&mut r, Table::new(document.get_ref(), 0..0));
    if r.has_problems() { Err(r.into_problems()) } else { Ok((device.part, device.label)) }
}

fn head<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>) -> Scenario {
    let id = r.text(top, "id", 60);
    if id.is_empty() || !id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-') {
        let at = top.place("id");
        r.wrong(&at, "`id`: small letters, digits and hyphens are expected, the name of the folder");
    }
    let sheets = r.texts(top, "sheets", SHEETS.len(), 20);
    for (name, at) in &sheets {
        if !SHEETS.contains(&name.as_str()) {
            r.wrong(at, format!("`{name}` is no sheet; expected: {}", SHEETS.join(", ")));
        }
    }
    if sheets.is_empty() {
        let at = top.place("sheets");
        r.wrong(&at, format!("`sheets`: the sheets that are open are expected, of {}", SHEETS.join(", ")));
    }
    Scenario {
        id,
        version: VERSION,
        title: r.text(top, "title", 120),
        site: r.text(top, "site", 120),
        machine: r.text(top, "machine", 120),
        level: r.number(top, "level", 1..=5) as u8,
        minutes: r.number(top, "minutes", 1..=10_000) as u32,
        sheets: sheets.into_iter().map(|(name, _)| name).collect(),
        language: r.text(top, "language", 20),
        symbols: r.text(top, "symbols", 60),
        region: Region::ALL[r.word(top, "region", &Region::ALL.map(Region::word))],
        brief_markdown: r.text(top, "brief", 32 << 10),
        cautions: r.texts(top, "cautions", 50, 600).into_iter().map(|(text, _)| text).collect(),
        pass_marks: r.number(top, "pass_marks", 0..=100_000) as u32,
        alarms: Vec::new(),
        stores: r.flag(top, "stores"),
        example_withheld: r.flag(top, "example_withheld"),
        parts: Vec::new(),
        labels: Default::default(),
        given: Vec::new(),
        removable: Default::default(),
        cables: Vec::new(),
        conductor_notes: Default::default(),
        new_conductor: NewConductor { section_mm2_x100: 100, colour: Insulation::Black },
        adjustments: Default::default(),
        todo: Vec::new(),
        names: Vec::new(),
        program: String::new(),
        requirements: Vec::new(),
        harm: Default::default(),
        predictions: Vec::new(),
        hints: Vec::new(),
        craft: Default::default(),
        matrix: Default::default(),
        variants: Vec::new(),
        fault_finding: None,
        as_built: None,
        content_hash: [0; 32],
        dealt: None,
    }
}

/// The table `[learner]`: what is made of which reel, what is to be wired and may be set, and the I/O list.
fn learner<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>, s: &mut Scenario) {
    let Some(mut t) = r.table(top, "learner") else { return };
    s.new_conductor = reel(r, &mut t);
    s.todo = todo(r, &mut t, &s.parts);
    s.adjustments = adjustments(r, &mut t, &s.parts);
    s.names = io_rows(r, &mut t, &s.parts);
    r.finish(t);
}

/// Most alarms.
const MOST_ALARMS: usize = 16;

/// Alarms: signals of the given bench, or names that a program may give to its variables.
fn alarms<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>, bench: Option<&Bench>) -> Vec<String> {
    let names = r.texts(top, "alarms", MOST_ALARMS, 40);
    for (name, at) in &names {
        let is_letter = |c: char| c.is_ascii_alphanumeric() || c == '_';
        let is_variable = !name.is_empty() && name.chars().all(is_letter);
        if bench.is_some_and(|bench| bench.design.signal(name).is_none() && !is_variable) {
            r.wrong(
                at,
                format!(
                    "`{name}`: a signal such as QX0.4 or PF1.lit, or a variable of the program, is expected"
                ),
            );
        }
    }
    names.into_iter().map(|(name, _)| name).collect()
}

/// The table `[program]`. A scenario hands over a program that is one; a hard-wired job, without a controller and without
/// stores to take one from, has none.
fn program<'t>(
    r: &mut Reader<'t>,
    top: &mut Table<'_, 't>,
    s: &mut Scenario,
) -> Option<(sealin_ladder::Program, Range<usize>)> {
    let has_controller = s.parts.iter().any(|p| matches!(p.kind, Kind::Controller(_)));
    if !has_controller && !s.stores && top.take("program").is_none() {
        return None;
    }
    let mut t = r.table(top, "program")?;
    let at = t.place("source");
    s.program = r.text(&mut t, "source", sealin_ladder::MAX_SOURCE_BYTES);
    r.finish(t);
    match sealin_ladder::parse(&s.program) {
        Ok(program) => Some((program, at)),
        Err(errors) => {
            for e in errors {
                r.wrong_inside(&at, e.line, e.column, e.message);
            }
            None
        }
    }
}

/// Every end of a conductor must be a terminal.
fn ends(r: &mut Reader<'_>, wiring: &Wiring, parts: &[Part]) {
    for c in &wiring.conductors {
        for end in [&c.from, &c.to] {
            if let (Some(message), Some(at)) = (no_terminal(end, parts), wiring.places.get(&c.id)) {
                r.wrong(at, message);
            }
        }
    }
}

/// Builds the given bench with its program.
fn build(
    r: &mut Reader<'_>,
    devices: &[Device],
    wiring: &Wiring,
    program: Option<&(sealin_ladder::Program, Range<usize>)>,
) -> Option<Bench> {
    if r.has_problems() {
        return None;
    }
    for d in devices {
        if let Kind::Contactor(c) = &d.part.kind
            && let Some(other) = &c.interlocked_with
            && !devices.iter().any(|x| x.part.tag == *other && matches!(x.part.kind, Kind::Contactor(_)))
        {
            r.wrong(&d.at, format!("`interlocked_with`: `{other}` is no contactor"));
        }
    }
    let plan = Plan {
        parts: devices.iter().map(|d| d.part.clone()).collect(),
        conductors: wiring.conductors.clone(),
        cables: Cable::of_plan(&wiring.cables),
        program: program.map(|(program, _)| program.clone()),
        faults: Default::default(),
    };
    let bench = Bench::new(plan).map_err(|e| {
        let start = 0..0;
        let at = match &e {
            BuildError::NoChannel(_) => program.map(|(_, at)| at),
            BuildError::Part { tag, .. } | BuildError::DuplicateTag(tag) => {
                devices.iter().find(|d| d.part.tag == *tag).map(|d| &d.at)
            }
            BuildError::DuplicateConductor(id) | BuildError::NoTerminal { conductor: id, .. } => {
                wiring.places.get(id)
            }
            BuildError::Fault { .. } | BuildError::TooLarge(_) => None,
        };
        r.wrong(at.unwrap_or(&start), e.to_string());
    });
    bench.ok()
}

/// The same bench without a program, for the requirements.
fn without_program(bench: &Bench) -> Option<Bench> {
    Bench::new(Plan { program: None, ..bench.plan().clone() }).ok()
}

/// The bench of the reference, for predictions; none where the given one cannot be built, either. The error says why there is
/// none.
fn reference_bench(s: &Scenario, given_is_sound: bool) -> Result<Option<Bench>, String> {
    let Some(reference) = shipped::reference(&s.id) else {
        return Err("no reference ships with this scenario; of = \"given\" is expected".to_string());
    };
    if !given_is_sound {
        return Ok(None);
    }
    let misfit = |e: String| format!("the reference that ships with `{}` does not fit here: {e}", s.id);
    reference.bench(s).map(Some).map_err(misfit)
}
