//! Cables: the capacitance between their cores.

use super::*;
use crate::devices::cable::{neighbours, neighbours_siemens};
use crate::part::Place;

/// Mains frequency of a job without a supply, mHz.
const USUAL_MHZ: u32 = 50_000;

impl Builder<'_> {
    /// Half of each capacitance stands between the panel ends of two neighbours, half between their far ends. A core
    /// that is broken is broken at its far end.
    pub(super) fn cables(&mut self, parts: &[Part], conductors: &[Conductor], plan: &Plan) {
        let mut cables: Vec<&Cable> = plan.cables.iter().collect();
        cables.sort_by(|a, b| a.tag.cmp(&b.tag));
        let omega = 2.0 * std::f64::consts::PI * f64::from(self.millihertz) / 1000.0;
        for cable in cables {
            let ends: Vec<[Node; 2]> = cable
                .cores
                .iter()
                .filter_map(|id| conductors.iter().find(|c| c.id == *id))
                .map(|c| self.ends(parts, c))
                .collect();
            let half = neighbours_siemens(cable, omega) / 2.0;
            for (a, b) in neighbours(ends.len()) {
                for (a, b) in ends[a].into_iter().zip(ends[b]) {
                    if a != b && half > 0.0 {
                        self.elements.push(Element::Capacitor { a, b, siemens: half });
                    }
                }
            }
        }
    }

    /// Nodes of a core: its end in the panel, and the other.
    fn ends(&self, parts: &[Part], c: &Conductor) -> [Node; 2] {
        let inside = |t: &Terminal| parts.iter().any(|p| p.tag == t.part && p.place == Place::Panel);
        let node = |t: &Terminal| self.node(&t.part, &t.name);
        match inside(&c.to) && !inside(&c.from) {
            true => [node(&c.to), node(&c.from)],
            false => [node(&c.from), node(&c.to)],
        }
    }
}

/// Frequency of the mains, mHz: that of the first supply by tag.
pub(super) fn mains_millihertz(parts: &[Part]) -> u32 {
    let supply = parts.iter().find_map(|p| match &p.kind {
        Kind::Supply(s) => Some(s.frequency_mhz),
        _ => None,
    });
    supply.unwrap_or(USUAL_MHZ)
}
