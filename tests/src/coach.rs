//! Faults of the main job as the tests and the table of the coach hide them.

use crate::generate::shipped_works;
use sealin_core::fault::{Mode, Unit, Value};
use sealin_core::{Fault, Plan};
use sealin_proof::suspects::Suspect;
use std::collections::BTreeMap;

/// The main job with its reference.
pub fn main_job() -> Plan {
    let mut works = shipped_works().into_iter();
    works.find(|(name, ..)| name == "paddle-closed-loop, reference").expect("the main job has a reference").1
}

/// The faults of the catalogue that stay, by suspect.
pub fn by_suspect(plan: &Plan) -> BTreeMap<Suspect, Vec<Fault>> {
    let mut all = BTreeMap::new();
    for fault in Fault::catalogue(&plan.parts, &plan.conductors) {
        if !fault.is_intermittent() {
            all.entry(Suspect::of(&fault)).or_insert_with(Vec::new).push(fault);
        }
    }
    all
}

/// The fault with a value that is none of the catalogue's: of several the geometric mean of the last two, of one some of it.
pub fn off_list(of_suspect: &[Fault]) -> Fault {
    let number = |fault: &Fault| match fault.value {
        Value::Number(number) => Some(f64::from(number)),
        _ => None,
    };
    let numbers: Vec<f64> = of_suspect.iter().filter_map(number).collect();
    let mut fault = of_suspect[0].clone();
    let value = match (fault.mode, fault.mode.unit(), numbers.as_slice()) {
        (_, Unit::None | Unit::Terminal, _) | (_, _, []) => return fault,
        (Mode::Displaced, ..) => 100.0,
        (_, _, [one]) => one * 0.7,
        (_, _, [.., one, other]) => (one * other).sqrt(),
    };
    fault.value = Value::Number(value as i32);
    fault
}
