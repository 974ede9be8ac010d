//! Devices of a scenario file.

use super::Label;
use super::reader::{Reader, Table};
use sealin_core::part::*;
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

const KINDS: [&str; 11] = [
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
];

/// Reads all `[[device]]` tables.
pub(super) fn devices<'t>(r: &mut Reader<'t>, top: &mut Table<'_, 't>) -> Vec<Device> {
    let mut all: Vec<Device> = Vec::new();
    for mut t in r.tables(top, "device", MOST_DEVICES) {
        let tag = r.text(&mut t, "tag", MOST_TAG_BYTES);
        let tag_at = t.place("tag");
        if !is_tag(&tag) {
            r.wrong(&tag_at, format!("`{tag}`: a tag of letters and digits is expected, such as QA1"));
        }
        if all.iter().any(|d| d.part.tag == tag) {
            r.wrong(&tag_at, format!("the tag `{tag}` is given to two devices; give one of them another"));
        }
        let function = r.text(&mut t, "function", 120);
        let place = [Place::Panel, Place::Station, Place::Field]
            [r.word(&mut t, "place", &["panel", "station", "field"])];
        let label = Label {
            rating: r.text_or_empty(&mut t, "rating", 200),
            why: r.text_or_empty(&mut t, "why", 2000),
            rail: r.number_or(&mut t, "rail", 1..=20, 0) as u8,
            order: r.number_or(&mut t, "order", 1..=200, 0) as u8,
        };
        let kind = kind(r, &mut t);
        let at = t.at.clone();
        r.finish(t);
        all.push(Device { part: Part { tag, function, place, kind }, label, at });
    }
    all
}

fn is_tag(tag: &str) -> bool {
    !tag.is_empty() && tag.chars().all(|c| c.is_ascii_alphanumeric())
}

fn kind<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Kind {
    match r.word(t, "kind", &KINDS) {
        0 => Kind::Supply(Supply {
            line_voltage_mv: mega(r, t, "line_voltage_mv"),
            frequency_mhz: mega(r, t, "frequency_mhz"),
            fault_current_ma: mega(r, t, "fault_current_ma"),
        }),
        1 => Kind::Switchgear(switchgear(r, t)),
        2 => Kind::Contactor(contactor(r, t)),
        3 => Kind::Overload(overload(r, t)),
        4 => Kind::Transformer(Transformer {
            primary_mv: mega(r, t, "primary_mv"),
            secondary_mv: mega(r, t, "secondary_mv"),
            rated_mva: mega(r, t, "rated_mva"),
            impedance_permille: r.number(t, "impedance_permille", 1..=500) as u16,
        }),
        5 => Kind::DcSupply(DcSupply {
            input_mv: mega(r, t, "input_mv"),
            output_mv: mega(r, t, "output_mv"),
            limit_ma: mega(r, t, "limit_ma"),
            hold_up_ms: r.number(t, "hold_up_ms", 0..=10_000) as u16,
            start_up_ms: r.number(t, "start_up_ms", 0..=10_000) as u16,
        }),
        6 => Kind::Controller(controller(r, t)),
        7 => Kind::Button(Button {
            form: [Form::Make, Form::Break][r.word(t, "contact", &["make", "break"])],
            colour: colour(r, t),
        }),
        8 => Kind::Lamp(Lamp {
            rated_mv: mega(r, t, "rated_mv"),
            resistance_mohm: mega(r, t, "resistance_mohm"),
            colour: colour(r, t),
        }),
        9 => Kind::Motor(Motor {
            model: [MotorModel::Kw4At400V, MotorModel::Hp5At460V]
                [r.word(t, "model", &["4 kW 400 V 50 Hz", "5 hp 460 V 60 Hz"])],
            rated_ma: mega(r, t, "rated_ma"),
            load_inertia_kgmm2: r.number(t, "load_inertia_kgmm2", 0..=100_000_000) as u32,
            load_friction_mnm: r.number(t, "load_friction_mnm", 0..=1_000_000) as u32,
        }),
        _ => Kind::Strip(strip(r, t)),
    }
}

/// A rated value in thousandths of its unit: up to a million units.
fn mega<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, key: &'static str) -> u32 {
    r.number(t, key, 1..=1_000_000_000) as u32
}

fn switchgear<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Switchgear {
    let poles = r.number(t, "poles", 1..=3) as u8;
    let words = ["none", "fuse gG", "fuse F", "breaker B", "breaker C", "breaker D"];
    let word = r.word(t, "protection", &words);
    let rated_ma = if word == 0 { 0 } else { mega(r, t, "rated_ma") };
    // Upper limit of the instantaneous range by characteristic: IEC 60898-1.
    let protection = match word {
        0 => Protection::None,
        1 => Protection::FuseGg { rated_ma },
        2 => Protection::FuseFast { rated_ma },
        3 => Protection::Breaker { rated_ma, magnetic: 5 },
        4 => Protection::Breaker { rated_ma, magnetic: 10 },
        _ => Protection::Breaker { rated_ma, magnetic: 20 },
    };
    Switchgear { poles, protection }
}

fn contactor<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Contactor {
    let typical = ArmatureDelays::default();
    let mut delay = |key, otherwise: u8| r.number_or(t, key, 1..=100, u64::from(otherwise)) as u8;
    let delays = ArmatureDelays {
        break_open_ms: delay("break_open_ms", typical.break_open_ms),
        main_close_ms: delay("main_close_ms", typical.main_close_ms),
        main_open_ms: delay("main_open_ms", typical.main_open_ms),
        break_close_ms: delay("break_close_ms", typical.break_close_ms),
    };
    if delays.main_close_ms <= delays.break_open_ms {
        let at = t.place("main_close_ms");
        r.wrong(&at, "`main_close_ms` must be above `break_open_ms`: break contacts open first");
    }
    let other = r.text_or_empty(t, "interlocked_with", MOST_TAG_BYTES);
    Contactor {
        coil_mv: mega(r, t, "coil_mv"),
        inrush_mva: mega(r, t, "inrush_mva"),
        sealed_mva: mega(r, t, "sealed_mva"),
        mirror: r.flag(t, "mirror"),
        interlocked_with: (!other.is_empty()).then_some(other),
        delays,
    }
}

fn overload<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Overload {
    let classes = [TripClass::C5, TripClass::C10A, TripClass::C10, TripClass::C20, TripClass::C30];
    let made = Overload {
        class: classes[r.word(t, "class", &["5", "10A", "10", "20", "30"])],
        dial_ma: mega(r, t, "dial_ma"),
        dial_min_ma: mega(r, t, "dial_min_ma"),
        dial_max_ma: mega(r, t, "dial_max_ma"),
        phase_loss_sensitive: r.flag(t, "phase_loss_sensitive"),
    };
    if !(made.dial_min_ma..=made.dial_max_ma).contains(&made.dial_ma) && !r.has_problems() {
        let at = t.place("dial_ma");
        r.wrong(&at, format!("a dial from {} to {} mA is expected", made.dial_min_ma, made.dial_max_ma));
    }
    made
}

fn controller<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Controller {
    Controller {
        inputs: groups(r, t, "inputs"),
        outputs: groups(r, t, "outputs"),
        scan_ms: r.number(t, "scan_ms", 1..=100) as u8,
        filter_ms: r.number(t, "filter_ms", 0..=100) as u8,
        start_up_ms: r.number(t, "start_up_ms", 0..=60_000) as u16,
    }
}

/// Groups of channels, each a row that begins with its common.
fn groups<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, key: &'static str) -> Vec<Group> {
    let mut all = Vec::new();
    for row in r.rows(t, key, 2..=MOST_TERMINALS, 16) {
        let mut names = row.cells.into_iter().map(|(name, _)| name);
        let common = names.next().unwrap_or_default();
        all.push(Group { common, channels: names.collect() });
    }
    all
}

fn colour<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Colour {
    let all = [Colour::Black, Colour::White, Colour::Red, Colour::Yellow, Colour::Green, Colour::Blue];
    all[r.word(t, "colour", &["black", "white", "red", "yellow", "green", "blue"])]
}

fn strip<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Strip {
    let names = r.texts(t, "terminals", MOST_TERMINALS, MOST_TAG_BYTES);
    let terminals: Vec<String> = names.iter().map(|(name, _)| name.clone()).collect();
    for (i, (name, at)) in names.iter().enumerate() {
        if name.is_empty() || name.contains(':') || terminals[..i].contains(name) {
            r.wrong(at, format!("`{name}`: a terminal name of its own, without a colon, is expected"));
        }
    }
    if names.is_empty() {
        let at = t.place("terminals");
        r.wrong(&at, "`terminals`: at least one terminal is expected");
    }
    let mut bridges = Vec::new();
    for row in r.rows(t, "bridges", 2..=MOST_TERMINALS, MOST_TERMINALS) {
        for (name, at) in &row.cells {
            if !terminals.contains(name) {
                r.wrong(at, format!("`{name}` is no terminal of this strip"));
            }
        }
        bridges.push(row.cells.into_iter().map(|(name, _)| name).collect());
    }
    Strip { terminals, bridges }
}
