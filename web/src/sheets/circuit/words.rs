//! The words of the diagram with the room they take, and the names that are read out.

use super::diagram::Symbol;
use super::element::{Element, Figure, Side};
use super::figure::{CELL, SMALL_WIDE, TAG_WIDE, VOLTS_WIDE, label, reach, wide};
use super::layout::{Layout, TABLE_LINE, Table, heading_of};
use crate::sheets::wiring::geometry::{Point, Rect};
use crate::t;
use crate::text::quantity::thousandths;
use sealin_core::part::{Kind, Part};
use sealin_core::plan::Terminal;

/// What a word is for; it decides how it is set.
#[derive(Clone, Debug, PartialEq)]
pub enum Says {
    /// Reference designation.
    Tag,
    /// Terminal number, address, path of what moves a contact.
    Small,
    /// Number of a current path.
    Path,
    /// Name of a circuit.
    Heading,
    /// Inside a symbol, such as M.
    Inside,
    /// Potential of a terminal, live.
    Volts(Terminal),
    /// Current of the symbol, live.
    Amperes,
    /// Bit of the symbol, live.
    Bit,
}

/// How a word is set against its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Set {
    /// Begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// Ends there.
    End,
}

/// A word.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// On its base line.
    pub at: Point,
    /// What it says; nothing where the bench says it.
    pub text: String,
    /// How it is set.
    pub set: Set,
    /// What it is for.
    pub says: Says,
    /// Room that it takes.
    pub area: Rect,
}

/// Height of small words and of tags.
const SMALL: f64 = 8.0;
const TAG: f64 = 9.0;

impl Word {
    /// A word whose room begins, has its middle or ends at `x`, from `y` down.
    fn new(x: f64, y: f64, text: &str, set: Set, says: Says) -> Word {
        let (each, high) = match says {
            Says::Tag | Says::Heading | Says::Path => (TAG_WIDE, TAG),
            _ => (SMALL_WIDE, SMALL),
        };
        let w = match says {
            Says::Volts(_) | Says::Amperes => VOLTS_WIDE,
            Says::Heading => wide(text, 7.0),
            _ => wide(text, each),
        };
        let left = match set {
            Set::Start => x,
            Set::Middle => x - w / 2.0,
            Set::End => x - w,
        };
        let base = if high == TAG { 8.0 } else { 6.2 };
        Word { at: Point::new(x, y + base), text: text.into(), set, says, area: Rect::new(left, y, w, high) }
    }
}

/// The words of a symbol whose ports stand at `ports` (x).
pub fn symbol_words(
    element: &Element,
    part: Option<&Part>,
    ports: &[f64],
    area: Rect,
    moved_in: Option<usize>,
) -> Vec<Word> {
    let mut all = Vec::new();
    let x = ports.first().copied().unwrap_or(area.x);
    let least = ports.iter().copied().fold(x, f64::min);
    let y = area.middle().y;
    match element.figure {
        Figure::Block => {
            all.push(Word::new(least - 5.0, y - TAG / 2.0, &element.tag, Set::End, Says::Tag));
            for (port, at) in element.ports.iter().zip(ports) {
                let Some(t) = &port.terminal else { continue };
                all.push(Word::new(at + 5.0, y - 8.0, &t.name, Set::Start, Says::Small));
                all.push(Word::new(at + 5.0, y, "", Set::Start, Says::Volts(t.clone())));
            }
            return all;
        }
        Figure::Point | Figure::Common(_) => {
            for (p, port) in element.ports.iter().enumerate() {
                if let Some(t) = &port.terminal {
                    all.push(Word::new(ports[p] + 5.0, y - 8.0, &label(element, p), Set::Start, Says::Small));
                    all.push(Word::new(ports[p] + 5.0, y, "", Set::Start, Says::Volts(t.clone())));
                }
            }
            return all;
        }
        Figure::Bar => {
            all.push(Word::new(least - 5.0, y - 9.0, &element.tag, Set::End, Says::Tag));
            if let Some(t) = element.ports[0].terminal.clone() {
                all.push(Word::new(least - 5.0, y + 1.0, "", Set::End, Says::Volts(t)));
            }
            for (port, at) in element.ports.iter().zip(ports) {
                let name = port.terminal.as_ref().map_or("", |t| t.name.as_str());
                all.push(Word::new(at + 3.5, y - 9.5, name, Set::Start, Says::Small));
            }
            return all;
        }
        _ => {}
    }
    let edge = least - reach(element.figure) - 1.0;
    all.push(Word::new(edge, y - TAG, &element.tag, Set::End, Says::Tag));
    let under = match moved_in {
        Some(path) if element.address.is_empty() => format!("/{path}"),
        _ => element.address.clone(),
    };
    if !under.is_empty() {
        all.push(Word::new(edge, y + 1.0, &under, Set::End, Says::Small));
    }
    for (port, at) in element.ports.iter().zip(ports) {
        let Some(t) = &port.terminal else { continue };
        let (name, volts) = match port.side {
            Side::Top => (area.y, area.y + SMALL),
            Side::Bottom => (area.bottom() - SMALL, area.bottom() - 2.0 * SMALL),
        };
        all.push(Word::new(at + 3.0, name, &t.name, Set::Start, Says::Small));
        all.push(Word::new(at + 3.0, volts, "", Set::Start, Says::Volts(t.clone())));
    }
    inside(element, part, ports, area, &mut all);
    all
}

/// What stands in a symbol, or behind it.
fn inside(element: &Element, part: Option<&Part>, ports: &[f64], area: Rect, all: &mut Vec<Word>) {
    let x = ports.first().copied().unwrap_or(area.x);
    let last = ports.iter().copied().fold(x, f64::max);
    let (centre, y) = ((x + last) / 2.0, area.middle().y);
    match element.figure {
        Figure::Coil | Figure::Lamp | Figure::Brake => {
            all.push(Word::new(x + 10.0, y - SMALL / 2.0, "", Set::Start, Says::Amperes));
        }
        Figure::Motor => {
            all.push(Word::new(centre, y - 3.0, "M", Set::Middle, Says::Inside));
            all.push(Word::new(centre, y + 5.0, "3~", Set::Middle, Says::Inside));
            all.push(Word::new(centre + 22.0, y + 8.0, "", Set::Start, Says::Amperes));
        }
        Figure::Supply => {
            if let Some(Kind::Supply(s)) = part.map(|p| &p.kind) {
                let volts = thousandths(s.line_voltage_mv.into(), "V");
                let text = format!("{volts} {}", thousandths(s.frequency_mhz.into(), "Hz"));
                all.push(Word::new(centre, area.y + 8.5, &text, Set::Middle, Says::Inside));
            }
        }
        Figure::Input => all.push(Word::new(x, y - SMALL / 2.0, "", Set::Middle, Says::Bit)),
        _ => {}
    }
}

/// Names of the circuits and numbers of the current paths.
pub fn headings(layout: &Layout) -> Vec<Word> {
    let mut all = Vec::new();
    for heading in &layout.headings {
        let (x, y) = (f64::from(heading.at.0) * CELL, f64::from(heading.at.1) * CELL);
        all.push(Word::new(x, y, heading_of(heading.circuit), Set::Start, Says::Heading));
    }
    for (number, at) in &layout.paths {
        let (x, y) = ((f64::from(at.0) + 0.5) * CELL, f64::from(at.1) * CELL - 4.0);
        all.push(Word::new(x, y, &number.to_string(), Set::Middle, Says::Path));
    }
    all
}

/// The contacts under what moves them, each with its path.
pub fn table_words(table: &Table) -> Vec<Word> {
    let (x, y) = (f64::from(table.at.0) * CELL + 2.0, f64::from(table.at.1) * CELL + 2.0);
    let line = |(k, (numbers, path)): (usize, &(String, Option<usize>))| {
        let text = path.map_or_else(|| numbers.clone(), |path| format!("{numbers} /{path}"));
        Word::new(x, y + k as f64 * TABLE_LINE, &text, Set::Start, Says::Small)
    };
    table.lines.iter().enumerate().map(line).collect()
}

/// What a symbol is, with its terminals and its state at rest.
pub fn name(symbol: &Symbol) -> String {
    let Symbol { element, path, moved_in, open, .. } = symbol;
    let what = match element.figure {
        Figure::Contact { make: true, .. } => t!("circuit-make"),
        Figure::Contact { .. } => t!("circuit-break"),
        Figure::Changeover => t!("circuit-changeover"),
        Figure::Poles(super::element::Pole::Heater) => t!("circuit-heater"),
        Figure::Poles(super::element::Pole::Contactor) => t!("circuit-main"),
        Figure::Poles(_) => t!("circuit-switch"),
        Figure::Coil => t!("circuit-coil"),
        Figure::Brake => t!("circuit-brake"),
        Figure::Lamp => t!("circuit-lamp"),
        Figure::Motor => t!("circuit-motor"),
        Figure::Supply => t!("circuit-supply"),
        Figure::Winding(_) => t!("circuit-winding"),
        Figure::Converter(_) => t!("circuit-converter"),
        Figure::Controller => t!("circuit-controller"),
        Figure::Input => t!("circuit-input"),
        Figure::Common(_) => t!("circuit-common"),
        Figure::Earth => t!("circuit-earthed"),
        Figure::Point | Figure::Block | Figure::Bar => t!("circuit-terminals"),
    };
    let tag = &element.tag;
    let named = t!("circuit-symbol", tag = tag, numbers = element.numbers(), what = what);
    let named = match path {
        Some(path) => t!("circuit-symbol-path", symbol = named, path = path),
        None => named,
    };
    let named = if element.address.is_empty() {
        named
    } else {
        t!("circuit-symbol-address", symbol = named, address = element.address)
    };
    let named = match moved_in {
        Some(moved) => t!("circuit-symbol-moved", symbol = named, path = moved),
        None => named,
    };
    if open.is_empty() {
        named
    } else {
        t!("circuit-symbol-open", symbol = named, terminals = open.join(", "))
    }
}
