//! Single edits of what a learner makes of the wiring.

use sealin_core::part::{Kind, Part};
use sealin_core::{Conductor, Terminal};
use sealin_exercise::attempt::Change;
use sealin_exercise::project::Project;
use sealin_exercise::scenario::Scenario;
use std::mem::discriminant;

/// How many places along a strip or a controller a conductor's end is mistaken for.
const NEAR: usize = 3;

/// Every single edit of the reference's wiring with what was done, as changes of the reference: of what the learner may alter, each
/// conductor missing, each end at another terminal, each two ends changed over; what should be taken out left in; dials that the reference sets otherwise.
pub fn edits(scenario: &Scenario, reference: &Project) -> Vec<(String, Vec<Change>)> {
    let mut own: Vec<&Conductor> =
        reference.conductors.values().filter(|c| !scenario.is_fixed(&c.id)).collect();
    // L2 before L10.
    own.sort_by_key(|c| (c.id.len(), &c.id));
    let mut all = Vec::new();
    for (k, &wire) in own.iter().enumerate() {
        all.push((format!("{}: missing", wire.id), vec![Change::Remove(wire.clone())]));
        for first in [true, false] {
            let end = end(wire, first);
            for to in mistaken(&scenario.parts, end) {
                let change = alter(wire, first, &to);
                all.push((format!("{}: at {to} for {end}", wire.id), vec![change]));
            }
        }
        for &other in &own[k + 1..] {
            all.extend(changed_over(wire, other));
        }
    }
    let kept = scenario.given.iter().filter(|c| !reference.conductors.contains_key(&c.id));
    all.extend(kept.map(|c| (format!("{}: left in", c.id), vec![Change::Add(c.clone())])));
    all.extend(scenario.parts.iter().flat_map(|part| dials(reference, part)));
    all
}

fn end(wire: &Conductor, first: bool) -> &Terminal {
    if first { &wire.from } else { &wire.to }
}

fn moved(wire: &Conductor, first: bool, to: &Terminal) -> Conductor {
    let mut after = wire.clone();
    *(if first { &mut after.from } else { &mut after.to }) = to.clone();
    after
}

fn alter(wire: &Conductor, first: bool, to: &Terminal) -> Change {
    Change::Alter { before: wire.clone(), after: moved(wire, first, to) }
}

/// Terminals that are taken for this one: the others of its device, of long ones those near it, and those of its name on devices of its
/// sort.
fn mistaken(parts: &[Part], terminal: &Terminal) -> Vec<Terminal> {
    let Some(device) = parts.iter().find(|part| part.tag == terminal.part) else { return Vec::new() };
    let names = device.terminals();
    let here = names.iter().position(|name| *name == terminal.name).unwrap_or(0);
    let long = matches!(device.kind, Kind::Strip(_) | Kind::Controller(_));
    let reach = if long { NEAR } else { names.len() };
    let near = (here.saturating_sub(reach)..names.len().min(here + reach + 1)).filter(|n| *n != here);
    let near = near.map(|n| Terminal::new(&device.tag, &names[n]));
    let alike = parts.iter().filter(|part| {
        let sort = discriminant(&part.kind) == discriminant(&device.kind);
        sort && part.tag != device.tag && part.terminals().contains(&terminal.name)
    });
    near.chain(alike.map(|part| Terminal::new(&part.tag, &terminal.name))).collect()
}

/// An end of the one conductor at the place of an end of the other, and the other way round.
fn changed_over(one: &Conductor, other: &Conductor) -> Vec<(String, Vec<Change>)> {
    let mut all = Vec::new();
    for (first, second) in [(true, true), (true, false), (false, true), (false, false)] {
        let (a, b) = (end(one, first), end(other, second));
        if a != b {
            let name = format!("{} and {}: {a} and {b} changed over", one.id, other.id);
            all.push((name, vec![alter(one, first, b), alter(other, second, a)]));
        }
    }
    all
}

/// A dial that the reference sets at the ends of its range and in its middle.
fn dials(reference: &Project, part: &Part) -> Vec<(String, Vec<Change>)> {
    let (Some((_, range)), Some(&before_ma)) = (part.kind.dial_ma(), reference.dials.get(&part.tag)) else {
        return Vec::new();
    };
    let (least, most) = range.into_inner();
    [least, least.midpoint(most), most]
        .into_iter()
        .filter(|after_ma| *after_ma != before_ma)
        .map(|after_ma| {
            let change = Change::Dial { part: part.tag.clone(), before_ma, after_ma };
            (format!("{}: dial at {after_ma} mA", part.tag), vec![change])
        })
        .collect()
}
