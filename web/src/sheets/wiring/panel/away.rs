//! Shapes of what is outside the panel: operator station, motor, supply.

use super::shape::{Anchor, Line, Shape, Size, wrapped};
use super::{american, symbols};
use crate::sheets::wiring::class::Practice;
use crate::sheets::wiring::geometry::Point;
use crate::sheets::wiring::words;
use sealin_core::part::{Actuator, Control, Kind, Part};

/// From one contact of a control device to the next below it.
const STEP: f64 = 44.0;
/// Width of a device outside the panel.
pub const OUTSIDE: f64 = 107.0;

/// What is worked or looked at: its face, and the contacts or the lamp behind it.
pub fn station(part: &Part, practice: Practice) -> Shape {
    let terminals = part.terminals();
    let rows = terminals.len().div_ceil(2);
    let mut s = Shape::new(OUTSIDE, 54.0 + STEP * (rows.max(1) - 1) as f64);
    let (x, a, b) = (86.0, 13.0, 43.0);
    let middle = (a + b) / 2.0;
    let face = Point::new(17.0, middle);
    for (row, pair) in terminals.chunks(2).enumerate() {
        for (name, y) in pair.iter().zip([a, b]) {
            let y = y + STEP * row as f64;
            s.pin_right(name, y);
            s.mark(Line::Ink, format!("M{x} {y}H{}", OUTSIDE - 4.0));
        }
    }
    match &part.kind {
        Kind::Control(c) => control(&mut s, c, practice, face, (x, a, b)),
        Kind::Lamp(lamp) => {
            s.face = Some((face, 10.0, lamp.colour));
            s.mark(Line::Ink, symbols::lamp_mark(practice, face.x, face.y, 10.0));
            s.mark(Line::Ink, format!("M{x} {a}V{}M{x} {}V{b}", middle - 7.0, middle + 7.0));
            s.mark(Line::Ink, symbols::lamp(practice, x, middle, 7.0));
        }
        _ => {}
    }
    s.word(33.0, 18.0, &part.tag, Size::Tag, Anchor::Start);
    for (i, line) in wrapped(&part.function, 46.0).iter().take(2).enumerate() {
        s.word(33.0, 40.0 + 9.5 * i as f64, line, Size::Small, Anchor::Start);
    }
    s
}

/// Actuator and contacts of a control device; the first contact stands between `a` and `b`.
fn control(s: &mut Shape, c: &Control, practice: Practice, face: Point, (x, a, b): (f64, f64, f64)) {
    s.face = Some((face, 10.0, c.colour));
    match c.actuator {
        Actuator::Button => {}
        Actuator::EmergencyStop => s.mark(Line::Ink, symbols::circle(face.x, face.y, 12.5)),
        Actuator::Selector { .. } => s.mark(Line::Ink, format!("M{} {}l-12 12", face.x + 6.0, face.y - 6.0)),
    }
    let mut last = face.y;
    for (row, contact) in c.contacts.iter().enumerate() {
        let (a, b) = (a + STEP * row as f64, b + STEP * row as f64);
        let middle = (a + b) / 2.0;
        let closed = contact.closed(c.start());
        let (symbol, blade) = match (practice, closed) {
            (Practice::Iec, false) => (symbols::make_contact(practice, x, a, b), x - 4.0),
            (Practice::Iec, true) => (symbols::break_contact(practice, x, a, b), x + 2.0),
            (Practice::NorthAmerican, _) => {
                let bridge = american::bridge(x, middle, !closed, closed);
                (american::button(x, a, b) + &bridge, american::bridge_at(x, !closed, closed))
            }
        };
        s.mark(Line::Ink, symbol);
        let from = if row == 0 { face.x + 10.0 } else { LINK };
        s.mark(Line::Link, format!("M{from} {middle}H{blade}"));
        if c.opens_positively(contact) {
            s.mark(Line::Thin, symbols::positive_opening(LINK, middle));
        }
        if !c.is_pressed() {
            let closed: String =
                (1..=c.positions()).filter(|&p| contact.closed(p)).map(|p| p.to_string()).collect();
            s.word(OUTSIDE - 3.0, middle + 3.0, &closed, Size::Small, Anchor::End);
        }
        last = middle;
    }
    if last > face.y {
        s.mark(Line::Link, format!("M{LINK} {}V{last}", face.y));
    }
}

/// Where the mechanical link goes down to further contacts.
const LINK: f64 = 70.0;

/// A device in the field: terminals down its right side.
pub fn outside(part: &Part) -> Shape {
    let terminals = part.terminals();
    const STEP: f64 = 22.0;
    let motor = matches!(part.kind, Kind::Motor(_));
    let plate = words::plate(part);
    let block = if plate.is_empty() { wrapped(&part.function, 72.0) } else { plate };
    let needed = if motor { 82.0 + 10.0 * block.len() as f64 } else { 18.0 + 10.0 * block.len() as f64 };
    let mut s = Shape::new(OUTSIDE, (12.0 + STEP * terminals.len() as f64).max(needed));
    for (n, name) in terminals.iter().enumerate() {
        s.pin_right(name, 17.0 + STEP * n as f64);
    }
    if motor {
        let (x, y) = (36.0, 38.0);
        s.mark(Line::Ink, symbols::circle(x, y, 24.0));
        s.word(x, y - 1.0, "M", Size::Tag, Anchor::Middle);
        s.word(x, y + 11.0, "3~", Size::Symbol, Anchor::Middle);
        for n in 0..3 {
            let pin = 17.0 + STEP * n as f64;
            let dy: f64 = pin - y;
            let edge = x + (24.0f64 * 24.0 - dy * dy).max(0.0).sqrt();
            s.mark(Line::Ink, format!("M{edge:.1} {pin}H{}", OUTSIDE - 4.0));
        }
        s.word(8.0, 78.0, &part.tag, Size::Tag, Anchor::Start);
        for (i, line) in block.iter().enumerate() {
            s.word(8.0, 89.0 + 9.5 * i as f64, line, Size::Small, Anchor::Start);
        }
    } else {
        s.title(8.0, s.h / 2.0, &part.tag, &block, Anchor::Start);
    }
    s
}
