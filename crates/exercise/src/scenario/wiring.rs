//! Conductors of a scenario or of a file of wires.

use super::reader::{Reader, Row, Table, document};
use super::{Cable, IoRow, NewConductor, Problem, Scenario, Todo};
use crate::attempt::Change;
use crate::project::Project;
use crate::setting::{Adjustment, Setting};
use sealin_core::part::Part;
use sealin_core::{Conductor, Insulation, Terminal};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Most circuits of a file.
const MOST_CIRCUITS: usize = 100;

/// Most conductors of a circuit, and of all circuits before it.
const MOST_CONDUCTORS: usize = 1_000;

/// Most dials of a file of wires, and most other settings.
const MOST_DIALS: usize = 50;

/// Version of the form of a file of wires.
const WIRES_VERSION: u32 = 1;

/// Largest file of wires, bytes.
const MOST_WIRES_BYTES: usize = 256 << 10;

/// What the circuits hold.
#[derive(Default)]
pub(super) struct Wiring {
    pub conductors: Vec<Conductor>,
    /// Place of each conductor's row.
    pub places: BTreeMap<String, Range<usize>>,
    pub cables: Vec<Cable>,
    pub notes: BTreeMap<String, String>,
    /// Conductors that the learner may take out or alter.
    pub removable: BTreeSet<String>,
}

/// What a learner makes of the wiring: a file of wires.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Wires {
    /// Conductors that are made.
    pub made: Vec<Conductor>,
    /// Given conductors that are taken out, by id.
    pub removed: Vec<String>,
    /// Dials that are set: tag of the part, mA.
    pub dials: Vec<(String, u32)>,
    /// Devices that are set or fitted, dials aside, by tag.
    pub settings: Vec<(String, Setting)>,
}

impl Wires {
    /// The changes that make this of a project: dials, other settings, what is taken out, what is made.
    ///
    /// # Errors
    /// Which of them there is nothing for.
    pub fn changes(&self, scenario: &Scenario, project: &Project) -> Result<Vec<Change>, String> {
        let mut changes = Vec::new();
        for (tag, after_ma) in &self.dials {
            let part = scenario.part(tag).and_then(|part| part.kind.dial_ma());
            let (given, _) = part.ok_or_else(|| format!("`{tag}` has no dial"))?;
            let before_ma = project.dials.get(tag).copied().unwrap_or(given);
            if before_ma != *after_ma {
                changes.push(Change::Dial { part: tag.clone(), before_ma, after_ma: *after_ma });
            }
        }
        for (tag, after) in &self.settings {
            let adjustment = scenario.adjustments.get(tag);
            let given = adjustment.and_then(|adjustment| adjustment.now(&scenario.parts, tag));
            let given = given.ok_or_else(|| format!("`{tag}` has nothing for the learner to set"))?;
            let before = project.settings.get(tag).copied().unwrap_or(given);
            if before != *after {
                changes.push(Change::Set { part: tag.clone(), before, after: *after });
            }
        }
        for id in &self.removed {
            let c = project.conductors.get(id).ok_or_else(|| format!("there is no conductor `{id}`"))?;
            changes.push(Change::Remove(c.clone()));
        }
        changes.extend(self.made.iter().cloned().map(Change::Add));
        Ok(changes)
    }
}

/// The conductors that are made, of [`parse_wiring`].
pub fn parse_wires(text: &str) -> Result<Vec<Conductor>, Vec<Problem>> {
    Ok(parse_wiring(text)?.made)
}

/// Reads a file of wires.
pub fn parse_wiring(text: &str) -> Result<Wires, Vec<Problem>> {
    let document = document(text, MOST_WIRES_BYTES)?;
    let mut r = Reader::new(text);
    let mut top = Table::new(document.get_ref(), 0..0);
    if !r.head(&mut top, "sealin wires", WIRES_VERSION) {
        return Err(r.into_problems());
    }
    let wiring = circuits(&mut r, &mut top);
    if let Some(id) = wiring.removable.first() {
        r.wrong(
            &wiring.places[id],
            "`removable` is for given conductors; what a learner makes can be taken out anyway",
        );
    }
    let removed = r.texts(&mut top, "removed", MOST_CONDUCTORS, 20).into_iter().map(|(id, _)| id).collect();
    let mut dials = Vec::new();
    for mut t in r.tables(&mut top, "dial", MOST_DIALS) {
        let part = r.text(&mut t, "part", 20);
        dials.push((part, r.number(&mut t, "ma", 1..=10_000_000) as u32));
        r.finish(t);
    }
    let mut settings = Vec::new();
    for mut t in r.tables(&mut top, "setting", MOST_DIALS) {
        let part = r.text(&mut t, "part", 20);
        let word = r.word(&mut t, "to", &Setting::ALL.map(Setting::word));
        settings.push((part, Setting::ALL[word]));
        r.finish(t);
    }
    r.finish(top);
    if r.has_problems() {
        Err(r.into_problems())
    } else {
        Ok(Wires { made: wiring.conductors, removed, dials, settings })
    }
}

/// Reads all `[[circuit]]` tables: conductors grouped by what they have in common.
pub(super) fn circuits<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>) -> Wiring {
    let mut all = Wiring::default();
    for mut t in r.tables(top, "circuit", MOST_CIRCUITS) {
        if all.conductors.len() > MOST_CONDUCTORS {
            r.wrong(&t.at, format!("at most {MOST_CONDUCTORS} conductors are expected"));
            break;
        }
        r.text(&mut t, "name", 100);
        let removable = r.flag(&mut t, "removable");
        let reel = reel(r, &mut t);
        let cable = r.text_or_empty(&mut t, "cable", 20);
        let length_at = t.place("length_mm");
        let length_mm = r.number_or(&mut t, "length_mm", 100..=10_000_000, 0) as u32;
        if length_mm != 0 && cable.is_empty() {
            r.wrong(&length_at, "`length_mm` is the length of a cable; `cable` is expected besides");
        }
        let columns = if cable.is_empty() { 4..=4 } else { 5..=5 };
        let mut cores = Vec::new();
        for row in r.rows(&mut t, "conductors", columns, MOST_CONDUCTORS) {
            if let Some(conductor) = conductor(r, &row, reel, &all) {
                if let Some((core, _)) = row.cells.get(4) {
                    cores.push((conductor.id.clone(), core.clone()));
                }
                all.places.insert(conductor.id.clone(), row.at);
                if removable {
                    all.removable.insert(conductor.id.clone());
                }
                all.conductors.push(conductor);
            }
        }
        if !cable.is_empty() {
            match all.cables.iter_mut().find(|c| c.tag == cable) {
                Some(known) => {
                    known.cores.append(&mut cores);
                    if length_mm != 0 && known.length_mm != 0 && length_mm != known.length_mm {
                        r.wrong(&length_at, format!("`{cable}` is {} mm long above", known.length_mm));
                    }
                    if length_mm != 0 {
                        known.length_mm = length_mm;
                    }
                }
                None => all.cables.push(Cable { tag: cable, length_mm, cores }),
            }
        }
        for row in r.rows(&mut t, "notes", 2..=2, MOST_CONDUCTORS) {
            let (id, at) = &row.cells[0];
            if !all.places.contains_key(id) {
                r.wrong(at, format!("there is no conductor `{id}` above"));
            }
            all.notes.insert(id.clone(), row.cells[1].0.clone());
        }
        r.finish(t);
    }
    all
}

/// Cross-section and colour.
pub(super) fn reel<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> NewConductor {
    let words = Insulation::ALL.map(Insulation::word);
    let colour = Insulation::ALL[r.word(t, "colour", &words)];
    NewConductor { section_mm2_x100: section(r, t), colour }
}

/// A cross-section in mm², with at most two decimals: 0.75, 2.5, 6.
fn section<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> u32 {
    const KEY: &str = "section_mm2";
    let at = t.place(KEY);
    let text = t.take(KEY).map(|v| v.get_ref()).and_then(|v| {
        v.as_integer()
            .map(|n| n.as_str().to_string())
            .or_else(|| v.as_float().map(|x| x.as_str().to_string()))
    });
    let read = text.and_then(|text| {
        let (whole, part) = text.split_once('.').unwrap_or((&text, "0"));
        let digits = |s: &str| !s.is_empty() && s.len() <= 3 && s.bytes().all(|b| b.is_ascii_digit());
        if !digits(whole) || !digits(part) || part.len() > 2 {
            return None;
        }
        let part = if part.len() == 1 { format!("{part}0") } else { part.to_string() };
        Some(whole.parse::<u32>().ok()? * 100 + part.parse::<u32>().ok()?)
    });
    match read {
        Some(section @ 1..=30_000) => section,
        _ => {
            r.wrong(&at, format!("`{KEY}`: a cross-section such as 0.75, 2.5 or 6 is expected"));
            100
        }
    }
}

/// One row `[id, from, to, number]`, in a cable with the core's mark besides.
fn conductor(r: &mut Reader<'_>, row: &Row, reel: NewConductor, so_far: &Wiring) -> Option<Conductor> {
    let [id, from, to, number, ..] = &row.cells[..] else { return None };
    let (from, to) = (r.terminal(from), r.terminal(to));
    if id.0.is_empty() || id.0.len() > 20 || !id.0.chars().all(|c| c.is_ascii_alphanumeric()) {
        r.wrong(&id.1, format!("`{}`: an id of letters and digits is expected, such as C05", id.0));
        return None;
    }
    if so_far.places.contains_key(&id.0) {
        r.wrong(&id.1, format!("the id `{}` is given to two conductors; give one of them another", id.0));
        return None;
    }
    let (from, to) = (from?, to?);
    if from == to {
        r.wrong(&row.at, "both ends are the same terminal");
        return None;
    }
    Some(Conductor {
        id: id.0.clone(),
        from,
        to,
        section_mm2_x100: reel.section_mm2_x100,
        colour: reel.colour,
        number: number.0.clone(),
    })
}

/// Reads what is to be wired: rows `[number, from, what for]`.
pub(super) fn todo<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, parts: &[Part]) -> Vec<Todo> {
    let mut all = Vec::new();
    for row in r.rows(t, "todo", 3..=3, MOST_CONDUCTORS) {
        if let Some(from) = known_terminal(r, &row.cells[1], parts) {
            let (number, purpose) = (row.cells[0].0.clone(), row.cells[2].0.clone());
            all.push(Todo { number, from, purpose });
        }
    }
    all
}

/// Reads what the learner may set besides dials: rows `[tag, "reset"]` and `[tag, "interlock", tag of the other contactor]`.
pub(super) fn adjustments<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    parts: &[Part],
) -> BTreeMap<String, Adjustment> {
    let mut all: BTreeMap<String, Adjustment> = BTreeMap::new();
    for row in r.rows(t, "settings", 2..=3, MOST_DIALS) {
        let cells: Vec<&str> = row.cells.iter().map(|(text, _)| text.as_str()).collect();
        let (tag, adjustment) = match cells[..] {
            [tag, "reset"] => (tag, Adjustment::Reset),
            [tag, "interlock", other] => (tag, Adjustment::Interlock(other.to_string())),
            _ => {
                r.wrong(
                    &row.at,
                    "`settings`: a row such as [\"FC1\", \"reset\"] or [\"QA1\", \"interlock\", \"QA2\"] is expected",
                );
                continue;
            }
        };
        let expected = if adjustment == Adjustment::Reset { "an overload" } else { "two contactors" };
        // The other way round it is the same interlock.
        let known = |(own, other): (&String, &Adjustment)| {
            own == tag
                || cells.get(2) == Some(&own.as_str())
                || *other == Adjustment::Interlock(tag.to_string())
        };
        if adjustment.now(parts, tag).is_none() {
            r.wrong(&row.at, format!("`settings`: {expected} of the devices above, by tag, expected"));
        } else if all.iter().any(known) {
            r.wrong(&row.at, format!("`settings`: `{tag}` stands in two rows"));
        } else {
            all.insert(tag.to_string(), adjustment);
        }
    }
    all
}

/// Reads the I/O list: rows `[address, name, terminal, device, comment]`.
pub(super) fn io_rows<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, parts: &[Part]) -> Vec<IoRow> {
    let mut all: Vec<IoRow> = Vec::new();
    for row in r.rows(t, "io", 5..=5, 256) {
        let text = |i: usize| row.cells[i].0.clone();
        let (address, at) = &row.cells[0];
        if !is_address(address) {
            r.wrong(at, format!("`{address}`: an address such as %IX0.4 or %QX0.1 is expected"));
        }
        if all.iter().any(|other| other.address == *address) {
            r.wrong(at, format!("the address `{address}` stands in two rows"));
        }
        if known_terminal(r, &row.cells[2], parts).is_some() {
            all.push(IoRow {
                address: text(0),
                name: text(1),
                terminal: text(2),
                device: text(3),
                comment: text(4),
            });
        }
    }
    all
}

fn is_address(text: &str) -> bool {
    let Some(rest) = text.strip_prefix("%IX").or_else(|| text.strip_prefix("%QX")) else { return false };
    let Some((byte, bit)) = rest.split_once('.') else { return false };
    let small = |s: &str, most: u32| {
        s.len() <= 2 && s.bytes().all(|b| b.is_ascii_digit()) && s.parse::<u32>().is_ok_and(|n| n < most)
    };
    small(byte, 8) && small(bit, 8)
}

/// Reads a terminal and checks that a part has it.
fn known_terminal(r: &mut Reader<'_>, cell: &(String, Range<usize>), parts: &[Part]) -> Option<Terminal> {
    let terminal = r.terminal(cell)?;
    if let Some(message) = no_terminal(&terminal, parts) {
        r.wrong(&cell.1, message);
        return None;
    }
    Some(terminal)
}

/// Why there is no such terminal, if so.
pub(super) fn no_terminal(terminal: &Terminal, parts: &[Part]) -> Option<String> {
    match parts.iter().find(|p| p.tag == terminal.part) {
        None => Some(format!("`{terminal}`: there is no device `{}`", terminal.part)),
        Some(p) if p.terminals().contains(&terminal.name) => None,
        Some(p) => Some(format!("`{terminal}`: `{}` has the terminals {}", p.tag, p.terminals().join(" "))),
    }
}
