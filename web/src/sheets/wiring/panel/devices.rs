//! Shapes of the devices by kind.

use super::away::{outside, station};
use super::shape::{Anchor, Bit, Edge, Line, Shape, Size, word_width, wrapped};
use super::strips::{bonded, is_bonded, strip};
use super::{machine, symbols};
use crate::sheets::wiring::class::Practice;
use crate::sheets::wiring::geometry::Point;
use crate::sheets::wiring::words;
use sealin_core::part::{
    AuxFunction, Auxiliary, Controller, Kind, Part, Place, Protection, Switchgear, TimerFunction,
};

/// Distance between the terminals of a switching device.
pub const PITCH: f64 = 19.0;
/// From the outline to the first terminal.
const INSET: f64 = 14.0;
/// Height of power and control devices.
const TALL: f64 = 84.0;
/// Height of contactors and overloads.
const TALLER: f64 = 104.0;
/// Leads of a symbol begin below the terminal's number.
pub const LEAD: f64 = 18.0;
/// The shape of a part with the symbols of a practice. `room` from 0 to 1 spreads the terminals of strips and controllers.
pub fn shape(part: &Part, room: f64, practice: Practice) -> Shape {
    let inside = part.place == Place::Panel;
    match &part.kind {
        Kind::Switchgear(gear) => switchgear(part, gear, practice),
        Kind::Contactor(c) => electromagnet(part, usize::from(c.poles), &c.auxiliaries, None, practice),
        Kind::Relay(r) => {
            let timer = r.timing.map(|t| t.function == TimerFunction::OffDelay);
            electromagnet(part, 0, &r.contacts, timer, practice)
        }
        Kind::Overload(_) => overload(part, practice),
        Kind::Transformer(t) => {
            let [a, b] = t.primary();
            converter(part, &[a, b, "PE"], &t.secondary(), |s, x, y| {
                s.mark(Line::Ink, symbols::transformer(practice, x, y))
            })
        }
        Kind::DcSupply(_) => converter(part, &["L1", "L2", "PE"], &["+", "-"], |s, x, y| {
            s.mark(Line::Ink, symbols::converter(x, y))
        }),
        Kind::Controller(c) => controller(part, c, room),
        Kind::Strip(_) if is_bonded(part) => bonded(part),
        Kind::Strip(s) if inside => strip(part, s, room),
        Kind::Control(_) | Kind::Lamp(_) => station(part, practice),
        Kind::PositionSwitch(switch) => machine::position_switch(part, switch, practice),
        Kind::Brake(_) => machine::brake(part, practice),
        Kind::Motor(_) | Kind::Supply(_) | Kind::Strip(_) => outside(part),
    }
}

fn switchgear(part: &Part, gear: &Switchgear, practice: Practice) -> Shape {
    let lines = words::plate(part);
    let text = widest(part, &lines);
    let (poles, protection) = (usize::from(gear.poles), gear.protection);
    let x = |n: usize| INSET + PITCH * n as f64 + if n >= poles { 5.0 } else { 0.0 };
    let columns = poles + gear.auxiliaries.iter().map(|a| a.upper().len()).sum::<usize>();
    let last = x(columns.max(1) - 1);
    let mut s = Shape::new(last + 11.0 + text + 5.0, TALL);
    for pole in 0..poles {
        let x = x(pole);
        s.pin(&(2 * pole + 1).to_string(), x, Edge::Top, PITCH / 2.0);
        let (top, bottom) = (LEAD, TALL - LEAD);
        let symbol = match protection {
            Protection::None => symbols::switch_disconnector(x, top, bottom),
            Protection::FuseGg { .. } => symbols::fuse_disconnector(x, top, bottom),
            Protection::FuseFast { .. } => symbols::fuse(x, top, bottom),
            Protection::Breaker { .. } => symbols::breaker(x, top, bottom),
            Protection::Motor { .. } => symbols::motor_breaker(practice, x, top, bottom),
        };
        s.mark(Line::Ink, symbol);
    }
    let mut column = poles;
    for contact in &gear.auxiliaries {
        let upper = contact.upper();
        s.mark(
            Line::Ink,
            contact_symbol(practice, contact, (x(column), x(column + upper.len() - 1)), (LEAD, TALL - LEAD)),
        );
        for name in &upper {
            s.pin(name, x(column), Edge::Top, PITCH / 2.0);
            column += 1;
        }
    }
    for pole in 0..poles {
        s.pin(&(2 * pole + 2).to_string(), x(pole), Edge::Bottom, PITCH / 2.0);
    }
    let mut column = poles;
    for contact in &gear.auxiliaries {
        let end = column + contact.upper().len() - 1;
        for name in contact.lower() {
            s.pin(&name, (x(column) + x(end)) / 2.0, Edge::Bottom, PITCH / 2.0);
        }
        column = end + 1;
    }
    if columns > 1 && !matches!(protection, Protection::FuseFast { .. }) {
        s.mark(Line::Link, format!("M{} {}H{}", INSET - 4.0, TALL / 2.0, last - 4.0));
    }
    s.title(last + 11.0, TALL / 2.0, &part.tag, &lines, Anchor::Start);
    s
}

/// A contactor or relay: coil, main poles, auxiliary contacts side by side. `timer`: of a timer relay, off-delay.
fn electromagnet(
    part: &Part,
    poles: usize,
    contacts: &[Auxiliary],
    timer: Option<bool>,
    practice: Practice,
) -> Shape {
    let x = |n: usize| INSET + PITCH * n as f64 + if n > 0 { 5.0 } else { 0.0 };
    // A single word of the function can be wider than a line of it.
    let (lines, most) = match words::plate(part) {
        plate if plate.is_empty() => (wrapped(&part.function, 38.0), f64::INFINITY),
        plate => (plate, 38.0),
    };
    let text = word_width(&part.tag, Size::Tag)
        .max(lines.iter().map(|l| word_width(l, Size::Small)).fold(0.0, f64::max).min(most));
    let columns = 1 + poles + contacts.iter().map(|c| c.upper().len()).sum::<usize>();
    let last = x(columns - 1);
    let mut s = Shape::new(last + 13.0 + text + 5.0, TALLER);
    let (top, bottom, middle) = (LEAD, TALLER - LEAD, TALLER / 2.0);
    let mut pins = vec![("A1".to_string(), x(0), Edge::Top), ("A2".to_string(), x(0), Edge::Bottom)];
    s.mark(Line::Ink, symbols::coil(practice, x(0), top, bottom));
    match timer {
        Some(false) => s.mark(Line::Ink, symbols::slow_operating(x(0), middle)),
        Some(true) => s.mark(Line::Solid, symbols::slow_releasing(x(0), middle)),
        None => {}
    }
    for pole in 0..poles {
        let at = x(1 + pole);
        pins.push(((2 * pole + 1).to_string(), at, Edge::Top));
        pins.push(((2 * pole + 2).to_string(), at, Edge::Bottom));
        s.mark(Line::Ink, symbols::contactor_contact(practice, at, top, bottom));
    }
    let mut column = 1 + poles;
    for contact in contacts {
        let (upper, lower) = (contact.upper(), contact.lower());
        let (at, end) = (x(column), x(column + upper.len() - 1));
        let foot = (at + end) / 2.0;
        pins.extend(upper.iter().enumerate().map(|(k, name)| (name.clone(), x(column + k), Edge::Top)));
        pins.extend(lower.iter().map(|name| (name.clone(), foot, Edge::Bottom)));
        s.mark(Line::Ink, contact_symbol(practice, contact, (at, end), (top, bottom)));
        if let (true, Some(off)) = (contact.function.special(), timer) {
            s.mark(Line::Ink, symbols::delayed(foot - 8.0, middle, off));
        }
        column += upper.len();
    }
    // Terminals are walked along the upper edge, then along the lower one.
    for edge in [Edge::Top, Edge::Bottom] {
        for (name, at, _) in pins.iter().filter(|(_, _, e)| *e == edge) {
            s.pin(name, *at, edge, PITCH / 2.0);
        }
    }
    if columns > 1 {
        s.mark(Line::Link, format!("M{} {middle}H{}", x(0) + 8.0, last + 2.0));
    }
    s.title(last + 13.0, middle, &part.tag, &lines, Anchor::Start);
    s
}

/// The symbol of an auxiliary contact between its columns.
fn contact_symbol(
    practice: Practice,
    contact: &Auxiliary,
    (at, end): (f64, f64),
    (top, bottom): (f64, f64),
) -> String {
    match contact.function {
        AuxFunction::Make | AuxFunction::SpecialMake => symbols::make_contact(practice, at, top, bottom),
        AuxFunction::Break | AuxFunction::SpecialBreak => symbols::break_contact(practice, at, top, bottom),
        AuxFunction::Changeover | AuxFunction::SpecialChangeover => {
            symbols::changeover_contact(at, end, top, bottom)
        }
    }
}

fn overload(part: &Part, practice: Practice) -> Shape {
    let x = |n: usize| INSET + PITCH * n as f64 + if n > 2 { 5.0 } else { 0.0 };
    let lines = words::plate(part);
    let text = widest(part, &lines);
    let mut s = Shape::new(x(4) + 11.0 + text + 5.0, TALLER);
    let (top, bottom) = (LEAD, TALLER - LEAD);
    for (n, name) in ["1", "3", "5", "95", "97"].iter().enumerate() {
        s.pin(name, x(n), Edge::Top, PITCH / 2.0);
    }
    for (n, name) in ["2", "4", "6", "96", "98"].iter().enumerate() {
        s.pin(name, x(n), Edge::Bottom, PITCH / 2.0);
    }
    for pole in 0..3 {
        s.mark(Line::Ink, symbols::heater(practice, x(pole), top, bottom));
    }
    let middle = TALLER / 2.0;
    if !practice.is_american() {
        s.mark(
            Line::Ink,
            format!("M{} {}H{}V{}H{}Z", x(0) - 8.0, middle - 9.0, x(2) + 5.0, middle + 9.0, x(0) - 8.0),
        );
    }
    s.mark(Line::Ink, symbols::break_contact(practice, x(3), top, bottom));
    s.mark(Line::Ink, symbols::make_contact(practice, x(4), top, bottom));
    s.mark(Line::Link, format!("M{} {middle}H{}", x(2) + 5.0, x(4) - 4.0));
    s.title(x(4) + 11.0, middle, &part.tag, &lines, Anchor::Start);
    s
}

fn converter(part: &Part, upper: &[&str], lower: &[&str], symbol: impl Fn(&mut Shape, f64, f64)) -> Shape {
    let lines = words::plate(part);
    let text = widest(part, &lines);
    let wide = INSET + PITCH * (upper.len() - 1) as f64;
    let mut s = Shape::new((wide + INSET).max(36.0 + text + 6.0), TALL);
    for (n, name) in upper.iter().enumerate() {
        s.pin(name, INSET + PITCH * n as f64, Edge::Top, PITCH / 2.0);
    }
    for (n, name) in lower.iter().enumerate() {
        s.pin(name, INSET + PITCH * n as f64, Edge::Bottom, PITCH / 2.0);
    }
    symbol(&mut s, 19.0, TALL / 2.0);
    s.title(36.0, TALL / 2.0, &part.tag, &lines, Anchor::Start);
    s
}

fn controller(part: &Part, c: &Controller, room: f64) -> Shape {
    let pitch = 26.0 + 20.0 * room;
    const TALL: f64 = 76.0;
    let [plus, minus] = Controller::SUPPLY;
    let mut upper: Vec<String> = [plus, minus, "PE"].map(String::from).to_vec();
    let inputs = upper.len();
    upper.extend(c.inputs.iter().flat_map(|g| g.channels.iter().chain([&g.common]).cloned()));
    let lower: Vec<String> =
        c.outputs.iter().flat_map(|g| g.channels.iter().chain([&g.common]).cloned()).collect();
    let columns = upper.len().max(lower.len() + inputs);
    let mut s = Shape::new(pitch * columns as f64, TALL);
    let x = |n: usize| pitch * (n as f64 + 0.5);
    for (n, name) in upper.iter().enumerate() {
        s.pin(name, x(n), Edge::Top, pitch / 2.0);
    }
    for (n, name) in lower.iter().enumerate() {
        s.pin(name, x(n + inputs), Edge::Bottom, pitch / 2.0);
    }
    let input_sizes: Vec<usize> = c.inputs.iter().map(|g| g.channels.len()).collect();
    let output_sizes: Vec<usize> = c.outputs.iter().map(|g| g.channels.len()).collect();
    for (sizes, area, bracket, bits, tick) in
        [(input_sizes, 'I', 18.0, 28.0, 3.0), (output_sizes, 'Q', TALL - 18.5, TALL - 28.0, -3.0)]
    {
        let (mut column, mut channel) = (inputs, 0);
        for size in sizes {
            // The bracket says which channels share a common.
            let last = column + size;
            s.mark(Line::Thin, format!("M{} {}v{tick}H{}v{}", x(column), bracket, x(last), -tick));
            for k in 0..size {
                let signal = format!("{}.{area}X{}.{}", part.tag, channel / 8, channel % 8);
                s.bits.push(Bit { at: Point::new(x(column + k), bits), signal });
                channel += 1;
            }
            column = last + 1;
        }
    }
    s.word(10.0, TALL / 2.0 + 6.0, &part.tag, Size::Tag, Anchor::Start);
    for (i, line) in words::plate(part).iter().enumerate() {
        s.word(10.0, TALL / 2.0 + 17.0 + 10.0 * i as f64, line, Size::Small, Anchor::Start);
    }
    s
}

/// Width of the tag or the longest of the lines.
pub fn widest(part: &Part, lines: &[String]) -> f64 {
    lines.iter().map(|l| word_width(l, Size::Small)).fold(word_width(&part.tag, Size::Tag), f64::max)
}
