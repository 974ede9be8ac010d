//! Words of the sheet that are made from data: plates, terminals, conductors, remarks, errors of typed entry.

mod rows;

pub use rows::{cell_error, column, row};

use super::circuit::Class;
use super::entry::{EntryError, Occupancy};
use super::panel::shape::wrapped;
use super::remarks::Remark;
use crate::t;
use crate::text::quantity::{milliseconds, section, thousandths};
use sealin_core::part::{Kind, MotorModel, Part, Protection, TripClass};
use sealin_core::plan::{Conductor, Insulation, Terminal};

/// What a plate on the device says, in short lines.
pub fn plate(part: &Part) -> Vec<String> {
    let amperes = |ma: u32| thousandths(ma.into(), "A");
    let volts = |mv: u32| thousandths(mv.into(), "V");
    match &part.kind {
        Kind::Switchgear(gear) => match gear.protection {
            Protection::None => wrapped(part.function.split(',').next().unwrap_or_default(), 60.0),
            Protection::FuseGg { rated_ma } => vec![amperes(rated_ma), "gG".into()],
            Protection::FuseFast { rated_ma } => vec![amperes(rated_ma), t!("wiring-fast").into()],
            Protection::Breaker { rated_ma, magnetic } => {
                let letter = match magnetic {
                    0..=5 => "B",
                    6..=10 => "C",
                    _ => "D",
                };
                vec![format!("{letter} {}", amperes(rated_ma))]
            }
            Protection::Motor { dial_ma, .. } => vec![amperes(dial_ma), t!("wiring-class", class = "10")],
        },
        Kind::Overload(o) => {
            let class = match o.class {
                TripClass::C5 => "5",
                TripClass::C10A => "10A",
                TripClass::C10 => "10",
                TripClass::C20 => "20",
                TripClass::C30 => "30",
            };
            vec![amperes(o.dial_ma), t!("wiring-class", class = class)]
        }
        Kind::Transformer(w) => vec![
            format!("{}/{}", thousandths(w.primary_mv.into(), "").trim(), volts(w.secondary_mv)),
            thousandths(w.rated_mva.into(), "VA"),
        ],
        Kind::DcSupply(d) => vec![
            t!("wiring-volts-dc", volts = volts(d.output_mv)),
            t!("wiring-at-most", amperes = amperes(d.limit_ma)),
        ],
        Kind::Controller(c) => {
            vec![part.function.clone(), t!("wiring-scan", period = milliseconds(c.scan_ms.into()))]
        }
        Kind::Motor(m) => {
            let power = match m.model {
                MotorModel::Kw4At400V => t!("wiring-4-kw").to_string(),
                MotorModel::Hp5At460V => t!("wiring-5-hp").to_string(),
                MotorModel::Figures(figures) => thousandths(figures.power_w.into(), "kW"),
            };
            vec![part.function.clone(), format!("{power} {}", amperes(m.rated_ma))]
        }
        Kind::Supply(s) => {
            vec![format!("{} {}", volts(s.line_voltage_mv), thousandths(s.frequency_mhz.into(), "Hz"))]
        }
        Kind::Relay(r) => r
            .timing
            .map(|t| milliseconds(t.setting_ms.into()))
            .into_iter()
            .chain([volts(r.coil.rated_mv)])
            .collect(),
        Kind::Brake(b) => {
            vec![volts(b.coil_mv), t!("wiring-torque", torque = thousandths(b.torque_mnm.into(), "N·m"))]
        }
        Kind::Contactor(_) | Kind::Control(_) | Kind::Lamp(_) | Kind::PositionSwitch(_) | Kind::Strip(_) => {
            Vec::new()
        }
    }
}

/// A terminal as it is read out: `QA1 terminal 14, free`.
pub fn terminal(t: &Terminal, occupancy: &Occupancy) -> String {
    t!("wiring-terminal", part = t.part, name = t.name, state = occupied(occupancy))
}

/// What is in a terminal: `free, common CI2 open`.
pub fn occupied(o: &Occupancy) -> String {
    let number = o.number.as_deref().unwrap_or("");
    let state = match o.conductors {
        0 if number.is_empty() => t!("wiring-free").to_string(),
        0 => t!("wiring-free-on", number = number),
        1 if number.is_empty() => t!("wiring-one").to_string(),
        1 => t!("wiring-one-on", number = number),
        n if number.is_empty() => t!("wiring-full", count = n),
        n => t!("wiring-full-on", count = n, number = number),
    };
    match &o.common {
        Some((common, true)) => t!("wiring-common-joined", state = state, common = common),
        Some((common, false)) => t!("wiring-common-open", state = state, common = common),
        None => state,
    }
}

/// A conductor in one line.
pub fn conductor(c: &Conductor, given: bool) -> String {
    t!(
        "wiring-conductor",
        number = numbered(c),
        from = c.from,
        to = c.to,
        section = section(c.section_mm2_x100),
        colour = colour(c.colour),
        owner = if given { t!("wiring-given") } else { t!("wiring-yours") },
    )
}

/// The number, or what stands in its place.
pub fn numbered(c: &Conductor) -> &str {
    if !c.number.is_empty() {
        &c.number
    } else if super::circuit::is_link(c) {
        t!("wiring-link")
    } else {
        t!("wiring-unnumbered")
    }
}

/// The word for an insulation colour.
pub fn colour(c: Insulation) -> &'static str {
    match c {
        Insulation::Black => t!("wiring-black"),
        Insulation::Red => t!("wiring-red"),
        Insulation::DarkBlue => t!("wiring-dark-blue"),
        Insulation::LightBlue => t!("wiring-light-blue"),
        Insulation::GreenYellow => t!("wiring-green-yellow"),
        Insulation::Orange => t!("wiring-orange"),
        Insulation::White => t!("wiring-white"),
        Insulation::WhiteBlue => t!("wiring-white-blue"),
    }
}

/// The part of a class name that stands for an insulation colour.
pub fn colour_class(c: Insulation) -> &'static str {
    match c {
        Insulation::Black => "black",
        Insulation::Red => "red",
        Insulation::DarkBlue => "dark-blue",
        Insulation::LightBlue => "light-blue",
        Insulation::GreenYellow => "green-yellow",
        Insulation::Orange => "orange",
        Insulation::White => "white",
        Insulation::WhiteBlue => "white-blue",
    }
}

fn class(c: Class) -> &'static str {
    match c {
        Class::Power => t!("wiring-class-power"),
        Class::AcControl => t!("wiring-class-ac"),
        Class::DcControl => t!("wiring-class-dc"),
        Class::Earth => t!("wiring-class-earth"),
    }
}

/// What a fitter says: the point, and why it matters or what to do.
pub fn remark(remark: &Remark, conductors: &[Conductor]) -> (String, String) {
    let name = |id: &str| {
        let found = conductors.iter().find(|c| c.id == id);
        found.map_or_else(|| id.to_string(), |c| t!("wiring-from-to", from = c.from, to = c.to))
    };
    match remark {
        Remark::Crowded { terminal, conductors, go_on } => (
            t!("wiring-crowded", terminal = terminal, count = conductors),
            match go_on {
                Some(t) => t!("wiring-crowded-on", terminal = t),
                None => t!("wiring-crowded-why").to_string(),
            },
        ),
        Remark::CircuitsJoined { conductor, one, other } => (
            t!("wiring-joined", one = class(*one), other = class(*other)),
            t!("wiring-joined-why", conductor = name(conductor)),
        ),
        Remark::ShortCircuit { conductor, source } => {
            (t!("wiring-short", source = source), t!("wiring-short-why", conductor = name(conductor)))
        }
        Remark::WrongColour { conductor, is, wanted, class: circuit, practice } => (
            t!("wiring-colour", conductor = name(conductor), is = colour(*is)),
            t!(
                "wiring-colour-why",
                class = class(*circuit),
                wanted = colour(*wanted),
                standard = practice.standard()
            ),
        ),
        Remark::WrongSection { conductor, is, wanted: (least, most), class: circuit } => (
            t!("wiring-section", conductor = name(conductor), is = section(*is)),
            if least == most {
                t!("wiring-section-why", class = class(*circuit), wanted = section(*least))
            } else {
                t!(
                    "wiring-sections-why",
                    class = class(*circuit),
                    least = section(*least),
                    most = section(*most)
                )
            },
        ),
        Remark::NoNumber { conductor, wanted } => (
            t!("wiring-no-number", conductor = name(conductor)),
            match wanted {
                Some(number) => t!("wiring-no-number-is", number = number),
                None => t!("wiring-no-number-why").to_string(),
            },
        ),
        Remark::TwoNumbers { numbers, conductor, wanted } => (
            t!("wiring-two-numbers", numbers = numbers.join(", ")),
            match wanted {
                Some(number) => t!("wiring-two-numbers-is", conductor = name(conductor), number = number),
                None => t!("wiring-two-numbers-why", conductor = name(conductor)),
            },
        ),
        Remark::TwoPotentials { number, conductor } => (
            t!("wiring-two-potentials", number = number),
            t!("wiring-two-potentials-why", conductor = name(conductor)),
        ),
        Remark::InputCommonOpen { common, channels: (first, last), pole, elsewhere } => (
            if *elsewhere {
                t!("wiring-input-common-elsewhere", common = common.name, pole = pole)
            } else {
                t!("wiring-input-common", common = common.name, pole = pole)
            },
            t!("wiring-input-common-why", first = first, last = last),
        ),
        Remark::OutputCommonOpen { common, channels: (first, last) } => (
            t!("wiring-output-common", common = common.name),
            t!("wiring-output-common-why", first = first, last = last),
        ),
        Remark::Doubled { conductor, beside } => {
            (t!("wiring-doubled", conductor = name(conductor)), t!("wiring-doubled-why", beside = beside))
        }
    }
}

/// What is wrong with a typed line, and what to try.
pub fn entry_error(error: &EntryError) -> String {
    match error {
        EntryError::NoArrow => t!("wiring-entry-no-arrow").to_string(),
        EntryError::NotATerminal(text) => t!("wiring-entry-not-a-terminal", text = text),
        EntryError::NoPart(tag) => t!("wiring-entry-no-part", tag = tag),
        EntryError::NoTerminal { part, name, has } => {
            t!("wiring-entry-no-terminal", part = part, name = name, has = has.join(", "))
        }
        EntryError::SameTerminal(t) => t!("wiring-entry-same", terminal = t),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::circuit::Circuit;
    use crate::sheets::wiring::fixture::{learners, paddle, t as at};

    #[test]
    fn a_terminal_says_what_is_in_it() {
        let (parts, mut all) = paddle();
        let of = |all: &[Conductor], text: &str| {
            let circuit = Circuit::new(&parts, all);
            terminal(&at(text), &Occupancy::of(&parts, all, &circuit, &at(text)))
        };
        assert_eq!(of(&all, "QA1:14"), "QA1 terminal 14, free");
        assert_eq!(of(&all, "KF1:I4"), "KF1 terminal I4, free, common CI2 open");
        assert_eq!(of(&all, "XD4:7"), "XD4 terminal 7, free, on 201");
        assert_eq!(of(&all, "XD2:1"), "XD2 terminal 1, full: 2 conductors, 201");
        all.extend(learners());
        assert_eq!(of(&all, "KF1:I4"), "KF1 terminal I4, one conductor, 213, common CI2 joined");
    }

    #[test]
    fn the_open_common_is_said_as_a_fitter_would() {
        let common = Remark::InputCommonOpen {
            common: at("KF1:CI2"),
            channels: ("I4".into(), "I7".into()),
            pole: "0 V",
            elsewhere: false,
        };
        let (point, why) = remark(&common, &[]);
        assert_eq!(point, "CI2 is not joined to 0 V");
        assert_eq!(why, "I4 to I7 have no way back; the bits stay 0 although the volts are there.");
    }
}
