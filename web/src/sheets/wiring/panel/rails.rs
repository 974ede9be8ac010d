//! Which devices sit on which rail, and how much room there is.

use super::devices::shape;
use super::{GAP, is_strip};
use crate::sheets::wiring::class::Practice;
use sealin_core::part::{Kind, Part, Place};
use std::collections::BTreeSet;

/// How wide a part is, with the symbols of either practice.
fn wide(part: &Part, room: f64) -> f64 {
    shape(part, room, Practice::default()).w
}

/// How far the terminals on a rail can be spread, 0 to 1.
pub fn room(row: &[&Part], width: f64) -> f64 {
    let total = |room: f64| row.iter().map(|p| wide(p, room) + GAP).sum::<f64>() - GAP;
    let (least, most) = (total(0.0), total(1.0));
    if most > least { ((width - least) / (most - least)).clamp(0.0, 1.0) } else { 0.0 }
}

/// Parts by rail: as listed, the rest by kind, broken where a rail is full.
pub fn rows<'a>(parts: &'a [Part], rails: &[Vec<String>], width: f64) -> Vec<Vec<&'a Part>> {
    let find = |tag: &String| parts.iter().find(|p| p.tag == *tag && p.place == Place::Panel);
    let mut listed = BTreeSet::new();
    let mut rows: Vec<Vec<&Part>> = rails
        .iter()
        .map(|tags| tags.iter().filter_map(find).filter(|p| listed.insert(p.tag.clone())).collect())
        .collect();
    let mut by_kind: [Vec<&Part>; 4] = Default::default();
    for part in parts.iter().filter(|p| p.place == Place::Panel && !listed.contains(&p.tag)) {
        let kind = match &part.kind {
            Kind::Strip(_) if is_strip(part) => 3,
            Kind::Controller(_) | Kind::Strip(_) => 1,
            Kind::Contactor(_) | Kind::Relay(_) | Kind::Overload(_) => 2,
            Kind::Switchgear(g)
                if g.poles == 1 && matches!(g.protection, sealin_core::part::Protection::FuseFast { .. }) =>
            {
                2
            }
            _ => 0,
        };
        by_kind[kind].push(part);
    }
    let used = |row: &[&Part]| row.iter().map(|p| wide(p, 0.0) + GAP).sum::<f64>();
    for kind in &mut by_kind {
        kind.retain(|part| {
            // Where rails are listed, a small part that is on none of them sits where there is most room.
            let roomy = rows.iter_mut().min_by(|a, b| used(a).total_cmp(&used(b)));
            match roomy.filter(|row| !is_strip(part) && used(row) + wide(part, 0.0) <= width) {
                Some(row) => {
                    row.push(part);
                    false
                }
                None => true,
            }
        });
    }
    rows.extend(by_kind);
    let mut broken: Vec<Vec<&Part>> = Vec::new();
    for row in rows.into_iter().filter(|r| !r.is_empty()) {
        let mut used = f64::INFINITY;
        for part in row {
            let w = wide(part, 0.0);
            if used + GAP + w > width {
                broken.push(Vec::new());
                used = -GAP;
            }
            used += GAP + w;
            if let Some(last) = broken.last_mut() {
                last.push(part);
            }
        }
    }
    broken
}
