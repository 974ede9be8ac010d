//! Devices of a scenario file: for each family the keys it is read from and the canonical bytes it counts by.

mod brake;
mod contactor;
mod control;
mod controller;
mod motor;
mod overload;
mod position_switch;
mod strip;
mod supply;
mod switchgear;

use super::Label;
use super::content::list;
use super::reader::{Reader, Table};
use sealin_core::canon::Writer;
use sealin_core::part::{Kind, Part, Place};
use std::ops::Range;

/// Most devices of a job.
const MOST_DEVICES: usize = 200;

/// Most terminals of one strip, and channels of one controller group.
const MOST_TERMINALS: usize = 64;

/// Longest tag, bytes.
const MOST_TAG_BYTES: usize = 20;

/// A device with its label and the place of its table.
pub(super) struct Device {
    pub part: Part,
    pub label: Label,
    pub at: Range<usize>,
}

const KINDS: [&str; 17] = [
    "supply",
    "switchgear",
    "contactor",
    "overload",
    "transformer",
    "DC supply",
    "controller",
    "button",
    "lamp",
    "motor",
    "strip",
    "emergency stop",
    "selector",
    "position switch",
    "brake",
    "relay",
    "timer relay",
];

/// Reads all `[[device]]` tables.
pub(super) fn devices<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>) -> Vec<Device> {
    let mut all: Vec<Device> = Vec::new();
    for t in r.tables(top, "device", MOST_DEVICES) {
        let tag_at = t.place("tag");
        let device = one(r, t);
        if all.iter().any(|d| d.part.tag == device.part.tag) {
            let tag = &device.part.tag;
            r.wrong(&tag_at, format!("the tag `{tag}` is given to two devices; give one of them another"));
        }
        all.push(device);
    }
    all
}

/// Reads the table of one device.
pub(super) fn one<'t>(r: &mut Reader<'t>, mut t: Table<'_, 't>) -> Device {
    let tag = r.text(&mut t, "tag", MOST_TAG_BYTES);
    if !is_tag(&tag) {
        let at = t.place("tag");
        r.wrong(&at, format!("`{tag}`: a tag of letters and digits is expected, such as QA1"));
    }
    let function = r.text(&mut t, "function", 120);
    let place =
        [Place::Panel, Place::Station, Place::Field][r.word(&mut t, "place", &["panel", "station", "field"])];
    let label = Label {
        rating: r.text_or_empty(&mut t, "rating", 200),
        why: r.text_or_empty(&mut t, "why", 2000),
        rail: r.number_or(&mut t, "rail", 1..=20, 0) as u8,
        order: r.number_or(&mut t, "order", 1..=200, 0) as u8,
    };
    let kind = kind(r, &mut t);
    let at = t.at.clone();
    r.finish(t);
    Device { part: Part { tag, function, place, kind }, label, at }
}

fn is_tag(tag: &str) -> bool {
    !tag.is_empty() && tag.chars().all(|c| c.is_ascii_alphanumeric())
}

fn kind<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Kind {
    let kind = r.word(t, "kind", &KINDS);
    r.type_of(t, "type", KINDS[kind]);
    match kind {
        0 => Kind::Supply(supply::supply(r, t)),
        1 => Kind::Switchgear(switchgear::switchgear(r, t)),
        2 => Kind::Contactor(contactor::contactor(r, t)),
        3 => Kind::Overload(overload::overload(r, t)),
        4 => Kind::Transformer(supply::transformer(r, t)),
        5 => Kind::DcSupply(supply::dc_supply(r, t)),
        6 => Kind::Controller(controller::controller(r, t)),
        7 => Kind::Control(control::button(r, t)),
        8 => Kind::Lamp(control::lamp(r, t)),
        9 => Kind::Motor(motor::motor(r, t)),
        10 => Kind::Strip(strip::strip(r, t)),
        11 => Kind::Control(control::emergency_stop(r, t)),
        12 => Kind::Control(control::selector(r, t)),
        13 => Kind::PositionSwitch(position_switch::position_switch(r, t)),
        14 => Kind::Brake(brake::brake(r, t)),
        15 => Kind::Relay(contactor::relay(r, t, false)),
        _ => Kind::Relay(contactor::relay(r, t, true)),
    }
}

/// Canonical bytes of what a part is.
pub(super) fn write_kind(w: &mut Writer, kind: &Kind) {
    match kind {
        Kind::Supply(x) => supply::write_supply(w, x),
        Kind::Switchgear(x) => switchgear::write_switchgear(w, x),
        Kind::Contactor(x) => contactor::write_contactor(w, x),
        Kind::Relay(x) => contactor::write_relay(w, x),
        Kind::Overload(x) => overload::write_overload(w, x),
        Kind::Transformer(x) => supply::write_transformer(w, x),
        Kind::DcSupply(x) => supply::write_dc_supply(w, x),
        Kind::Controller(x) => controller::write_controller(w, x),
        Kind::Control(x) => control::write_control(w, x),
        Kind::Lamp(x) => control::write_lamp(w, x),
        Kind::Motor(x) => motor::write_motor(w, x),
        Kind::Strip(x) => strip::write_strip(w, x),
        Kind::PositionSwitch(x) => position_switch::write_position_switch(w, x),
        Kind::Brake(x) => brake::write_brake(w, x),
    }
}

/// Before the values of a motor's machine, where there are any: more than any length or kind that could stand there.
const MACHINE_FOLLOWS: u64 = 1 << 32;

/// The kind's number and its values.
fn numbers(w: &mut Writer, kind: u64, values: &[u32]) {
    w.u64(kind);
    values.iter().for_each(|&v| {
        w.u64(u64::from(v));
    });
}

/// A rated value in thousandths of its unit: up to a million units.
fn mega<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, key: &'static str) -> u32 {
    r.number(t, key, 1..=1_000_000_000) as u32
}

/// Reads a device from its keys. Gives what is wrong, the keys that its kind knows, and what it is, once it has been built
/// beside a motor MA1 with a way.
#[cfg(test)]
pub(super) fn device_of(
    keys: &str,
) -> (Vec<super::Problem>, Vec<String>, Result<Kind, sealin_core::BuildError>) {
    let read = |text: &str| {
        let document = super::reader::document(text, 10_000).unwrap();
        let mut r = Reader::new(text);
        let mut t = Table::new(document.get_ref(), 0..0);
        let kind = self::kind(&mut r, &mut t);
        let known: Vec<String> = t.known().iter().map(|k| k.to_string()).collect();
        r.finish(t);
        (r.into_problems(), known, kind)
    };
    let (problems, known, kind) = read(keys);
    let hoist = "kind = \"motor\"\ntype = \"4 kW 400 V 50 Hz\"\nmachine = \"hoist, 500 kg on 6 m\"\n";
    let part = |tag: &str, kind: &Kind| Part {
        tag: tag.to_string(),
        function: String::new(),
        place: Place::Panel,
        kind: kind.clone(),
    };
    let parts = vec![part("X1", &kind), part("MA1", &read(hoist).2)];
    let built = sealin_core::Bench::new(sealin_core::Plan { parts, ..Default::default() });
    (problems, known, built.map(|_| kind))
}
