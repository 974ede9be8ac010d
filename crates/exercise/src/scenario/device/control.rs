//! Keys and canonical bytes of push-buttons, emergency stops, selectors and lamps.

use super::{Reader, Table, list, mega, numbers};
use crate::scenario::reader::Row;
use sealin_core::canon::Writer;
use sealin_core::part::{Actuator, Colour, Control, ControlContact, Form, Lamp};
use std::ops::Range;

/// Most contacts of one control device.
const MOST_CONTACTS: usize = 8;

/// `contact = "make"` or `"break"` for one contact, or `contacts = ["13-14", "21-22"]`.
pub(super) fn button<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Control {
    let several = contacts_by_number(r, t);
    if several.is_empty() {
        let form = [Form::Make, Form::Break][r.word(t, "contact", &["make", "break"])];
        return Control::button(form, colour(r, t));
    }
    Control { actuator: Actuator::Button, contacts: several, colour: colour(r, t) }
}

/// Two break contacts 11-12 and 21-22, or `contacts`.
pub(super) fn emergency_stop<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Control {
    let mut contacts = contacts_by_number(r, t);
    if contacts.is_empty() {
        contacts =
            [("11", "12"), ("21", "22")].map(|pair| ControlContact::of_form(pair, Form::Break)).to_vec();
    }
    // Red is for emergency (IEC 60204-1 10.2.1).
    Control { actuator: Actuator::EmergencyStop, contacts, colour: Colour::Red }
}

/// `contacts = [["13-14", "1"], ["23-24", "2", "3"]]`: the terminals, and the positions in which it is closed.
pub(super) fn selector<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Control {
    let positions = r.number(t, "positions", 2..=3) as u8;
    let start = r.number_or(t, "start", 1..=u64::from(positions), 1) as u8;
    let mut contacts: Vec<ControlContact> = Vec::new();
    for Row { cells, at } in r.rows(t, "contacts", 2..=4, MOST_CONTACTS) {
        let mut closed_in = 0;
        for (text, at) in &cells[1..] {
            match text.parse::<u8>() {
                Ok(position) if (1..=positions).contains(&position) => closed_in |= 1 << (position - 1),
                _ => r.wrong(at, format!("`{text}`: a position from 1 to {positions} is expected")),
            }
        }
        if let Some((a, b)) = pair(r, &cells[0], &contacts) {
            contacts.push(ControlContact { a, b, closed_in });
        }
        if closed_in == 0 {
            r.wrong(&at, "a contact is closed in one position at least");
        }
    }
    if contacts.is_empty() {
        let at = t.place("contacts");
        r.wrong(&at, "`contacts`: at least one row is expected, such as [\"13-14\", \"1\"]");
    }
    Control { actuator: Actuator::Selector { positions, start }, contacts, colour: colour(r, t) }
}

/// Contacts whose numbers tell what they are; empty when the key is missing.
fn contacts_by_number<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Vec<ControlContact> {
    let mut all = Vec::new();
    for cell in r.texts(t, "contacts", MOST_CONTACTS, 9) {
        let Some((a, b)) = pair(r, &cell, &all) else { continue };
        match Form::of_numbers(&a, &b) {
            Some(form) => all.push(ControlContact::of_form((&a, &b), form)),
            None => r.wrong(
                &cell.1,
                format!("`{}`: a make contact is 13-14, 23-24; a break contact 11-12, 21-22", cell.0),
            ),
        }
    }
    all
}

/// Reads `13-14`, with terminals that no contact before has.
fn pair(
    r: &mut Reader<'_>,
    (text, at): &(String, Range<usize>),
    before: &[ControlContact],
) -> Option<(String, String)> {
    let name = |s: &str| !s.is_empty() && s.len() <= 4 && s.bytes().all(|b| b.is_ascii_alphanumeric());
    let taken = |s: &str| before.iter().any(|c| c.a == s || c.b == s);
    let found = text.split_once('-').filter(|(a, b)| name(a) && name(b) && a != b && !taken(a) && !taken(b));
    if found.is_none() {
        r.wrong(at, format!("`{text}`: two terminals of its own are expected, such as 13-14"));
    }
    found.map(|(a, b)| (a.to_string(), b.to_string()))
}

/// A push-button with one contact counts as it always has.
pub(super) fn write_control(w: &mut Writer, x: &Control) {
    for form in [Form::Make, Form::Break] {
        if *x == Control::button(form, x.colour) {
            numbers(w, 7, &[form as u32, x.colour as u32]);
            return;
        }
    }
    let (kind, positions, start) = match x.actuator {
        Actuator::Button => (2, 2, 1),
        Actuator::EmergencyStop => (3, 2, 1),
        Actuator::Selector { positions, start } => (4, u32::from(positions), u32::from(start)),
    };
    numbers(w, 7, &[kind, x.colour as u32, positions, start]);
    list(w, &x.contacts, |w, c| {
        w.str(&c.a).str(&c.b).u64(u64::from(c.closed_in));
    });
}

pub(super) fn lamp<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Lamp {
    Lamp {
        rated_mv: mega(r, t, "rated_mv"),
        resistance_mohm: mega(r, t, "resistance_mohm"),
        colour: colour(r, t),
    }
}

pub(super) fn write_lamp(w: &mut Writer, x: &Lamp) {
    numbers(w, 8, &[x.rated_mv, x.resistance_mohm, x.colour as u32]);
}

fn colour<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Colour {
    let all = [Colour::Black, Colour::White, Colour::Red, Colour::Yellow, Colour::Green, Colour::Blue];
    all[r.word(t, "colour", &["black", "white", "red", "yellow", "green", "blue"])]
}
