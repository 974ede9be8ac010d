//! Faults that are another value somewhere: of a part, of a conductor's end, of the program. What is built then is a part like any other.

use super::{Fault, Mode, Value};
use crate::part::{Kind, Part, Protection, Reset, Transformer};
use crate::plan::{Conductor, Terminal};
use sealin_ladder::{Network, Program, edit};
use std::collections::BTreeSet;

/// What a breaker that never trips is rated, mA: beyond any current here.
const NEVER_MA: u32 = 1_000_000_000;

/// Time of a contact that makes any program outlast its watchdog, ns.
const ENDLESS_NS: u32 = u32::MAX;

/// Changes what is built of a plan by its faults.
pub(crate) fn alter(
    faults: &BTreeSet<Fault>,
    parts: &mut [Part],
    conductors: &mut [Conductor],
    program: &mut Option<Program>,
) {
    faults.iter().for_each(|fault| of_fault(fault, parts, conductors, program));
    // All at once, as what is left has other numbers. What a rung drives keeps its place in the memory, and is never driven.
    let missing = faults.iter().filter(|fault| fault.mode == Mode::RungMissing);
    let missing: BTreeSet<usize> = missing.filter_map(|fault| Some(place(&fault.at)?.0)).collect();
    if let Some(program) = program {
        let mut number = 0..;
        program.rungs.retain(|_| number.next().is_none_or(|n| !missing.contains(&n)));
    }
}

fn of_fault(fault: &Fault, parts: &mut [Part], conductors: &mut [Conductor], program: &mut Option<Program>) {
    match (fault.mode, &fault.value) {
        (Mode::ConductorMoved, Value::Terminal(to)) => {
            let Some(to) = Terminal::parse(to) else { return };
            for c in conductors.iter_mut().filter(|c| fault.is_on(c)) {
                for end in [&mut c.from, &mut c.to] {
                    if end.to_string() == fault.at {
                        *end = to.clone();
                        break;
                    }
                }
            }
        }
        (Mode::Exchanged, Value::Terminal(other)) => {
            for end in conductors.iter_mut().flat_map(|c| [&mut c.from, &mut c.to]) {
                if end.part != fault.subject {
                    continue;
                }
                if end.name == fault.at {
                    end.name.clone_from(other);
                } else if end.name == *other {
                    end.name.clone_from(&fault.at);
                }
            }
        }
        (Mode::Inverted | Mode::Passes, _) => {
            if let Some(program) = program {
                of_program(fault.mode, &fault.at, program);
            }
        }
        (mode, value) => {
            let number = match value {
                Value::Number(number) => *number,
                _ => 0,
            };
            if let Some(part) = parts.iter_mut().find(|p| p.tag == fault.subject) {
                of_part(mode, number, &mut part.kind);
            }
        }
    }
}

/// A figure at so many per mille: nil of nil, else at least 1.
fn at_permille(figure: u32, permille: i32) -> u32 {
    let scaled = u64::from(figure) * u64::from(permille.unsigned_abs()) / 1000;
    u32::try_from(scaled).unwrap_or(u32::MAX).max(u32::from(figure > 0))
}

fn of_part(mode: Mode, number: i32, kind: &mut Kind) {
    let whole = number.unsigned_abs();
    match (mode, kind) {
        (Mode::DialAt, Kind::Overload(o)) => o.dial_ma = whole.clamp(o.dial_min_ma, o.dial_max_ma),
        (Mode::ResetsByItself, Kind::Overload(o)) => o.reset = Reset::Automatic,
        (Mode::CompensationLost, Kind::Overload(o)) => {
            o.uncompensated_at_c = Some(i8::try_from(number).unwrap_or(i8::MAX));
        }
        (Mode::PhaseLossUnnoticed, Kind::Overload(o)) => o.phase_loss_sensitive = false,
        (Mode::MirrorLost, Kind::Contactor(c)) => c.mirror = false,
        (Mode::VoltageAt, Kind::Supply(s)) => s.line_voltage_mv = at_permille(s.line_voltage_mv, number),
        (Mode::VoltageAt, Kind::Transformer(Transformer { secondary_mv, .. })) => {
            *secondary_mv = at_permille(*secondary_mv, number);
        }
        (Mode::VoltageAt, Kind::DcSupply(d)) => d.output_mv = at_permille(d.output_mv, number),
        (Mode::HoldUpLost, Kind::DcSupply(d)) => d.hold_up_ms = 1,
        (Mode::LimitAt, Kind::DcSupply(d)) => d.limit_ma = at_permille(d.limit_ma, number),
        (Mode::RatedAt, Kind::Switchgear(s)) => rate(&mut s.protection, whole),
        (Mode::NeverTrips, Kind::Switchgear(s)) => rate(&mut s.protection, NEVER_MA),
        (Mode::Stopped, Kind::Controller(c)) => c.contact_ns = ENDLESS_NS,
        (Mode::FilterAt, Kind::Controller(c)) => c.filter_ms = u8::try_from(whole).unwrap_or(u8::MAX),
        (Mode::LoadAt, Kind::Motor(m)) => {
            m.load_friction_mnm = at_permille(m.load_friction_mnm, number);
            m.machine.load_fan_mnm = at_permille(m.machine.load_fan_mnm, number);
        }
        (Mode::LoadAt, Kind::Brake(b)) => b.torque_mnm = at_permille(b.torque_mnm, number),
        (Mode::Displaced, Kind::PositionSwitch(s)) => {
            let moved = |um: u32| um.saturating_add_signed(number.saturating_mul(1000));
            (s.from_um, s.to_um) = (moved(s.from_um), moved(s.to_um));
        }
        _ => {}
    }
}

fn rate(protection: &mut Protection, ma: u32) {
    match protection {
        Protection::None => {}
        Protection::FuseGg { rated_ma }
        | Protection::FuseFast { rated_ma }
        | Protection::Breaker { rated_ma, .. } => *rated_ma = ma,
        Protection::Motor { dial_ma, dial_min_ma, dial_max_ma } => {
            (*dial_ma, *dial_min_ma, *dial_max_ma) = (ma, ma, ma);
        }
    }
}

/// Rung and contact of `3.2`, counted from 1; a rung alone of `3`.
pub(super) fn place(at: &str) -> Option<(usize, Option<usize>)> {
    let number = |text: &str| text.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    match at.split_once('.') {
        Some((rung, contact)) => Some((number(rung)?, Some(number(contact)?))),
        None => Some((number(at)?, None)),
    }
}

fn of_program(mode: Mode, at: &str, program: &mut Program) {
    let Some((place, contact)) = place(at) else { return };
    let contact = contact.and_then(|n| u32::try_from(n).ok());
    let Some(rung) = program.rungs.get(place) else { return };
    let changed = match (mode, contact) {
        (Mode::Inverted, Some(contact)) => edit::negate(rung, contact),
        (Mode::Passes, Some(contact)) => edit::replace_with(rung, contact, Network::True),
        _ => None,
    };
    if let Some(changed) = changed {
        program.rungs[place] = changed;
    }
}
