//! What conductors and bridges join.

use sealin_core::part::Kind;
use sealin_core::{Plan, Terminal};
use std::collections::BTreeMap;

/// Whether the conductors of two plans with the same parts and dials join the same terminals into the same potentials. What a bench does
/// is then the same but for the milliohms of its conductors, which no reading of a device shows.
pub fn same(one: &Plan, other: &Plan) -> bool {
    one.parts == other.parts && potentials(one) == potentials(other)
}

/// For each terminal the first of its potential.
fn potentials(plan: &Plan) -> Vec<usize> {
    let mut index = BTreeMap::new();
    for part in &plan.parts {
        for name in part.terminals() {
            let next = index.len();
            index.entry(Terminal::new(&part.tag, &name)).or_insert(next);
        }
    }
    let mut of: Vec<usize> = (0..index.len()).collect();
    let mut join = |a: &Terminal, b: &Terminal| {
        let (Some(&a), Some(&b)) = (index.get(a), index.get(b)) else { return };
        let (a, b) = (of[a].min(of[b]), of[a].max(of[b]));
        of.iter_mut().filter(|potential| **potential == b).for_each(|potential| *potential = a);
    };
    for part in &plan.parts {
        let Kind::Strip(strip) = &part.kind else { continue };
        for pair in strip.bridges.iter().flat_map(|bridge| bridge.windows(2)) {
            join(&Terminal::new(&part.tag, &pair[0]), &Terminal::new(&part.tag, &pair[1]));
        }
    }
    plan.conductors.iter().for_each(|c| join(&c.from, &c.to));
    of
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::generate::paddle;
    use sealin_exercise::attempt::Change;
    use sealin_exercise::shipped;

    /// XD4:7 and XD4:8 are bridged, XD4:9 is another potential (the paddle panel's note on XD4).
    #[test]
    fn a_bridge_makes_two_terminals_one_potential() {
        let scenario = paddle();
        let reference = shipped::reference("paddle-closed-loop").unwrap().work(&scenario).unwrap();
        let plan = reference.plan_of_sheet(&scenario).unwrap();
        for (to, expected) in [("XD4:8", true), ("XD4:9", false)] {
            let before = reference.conductors.values().find(|c| c.from == Terminal::new("XD4", "7")).unwrap();
            let after = sealin_core::Conductor { from: Terminal::parse(to).unwrap(), ..before.clone() };
            let mut work = reference.clone();
            work.apply(&scenario, &Change::Alter { before: before.clone(), after }).unwrap();
            assert_eq!(same(&plan, &work.plan_of_sheet(&scenario).unwrap()), expected, "{to}");
        }
    }
}
