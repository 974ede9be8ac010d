//! What conductors and bridges join.

use sealin_core::part::Kind;
use sealin_core::{Plan, Terminal};
use sealin_exercise::wiring::sets::Sets;
use std::collections::{BTreeMap, BTreeSet};

/// Whether the conductors of two plans with the same parts and dials join the same terminals into the same potentials. What a bench does
/// is then the same but for the milliohms of its conductors, which no reading of a device shows. A terminal strip does nothing but join,
/// so that its own terminals do not count. A contact is the same from either side, so that one which the conductors lead to may be
/// wired the other way round.
pub fn same(one: &Plan, other: &Plan) -> bool {
    if one.parts != other.parts {
        return false;
    }
    let wanted = potentials(one, &BTreeSet::new());
    let touched: Vec<Contact> = contacts(other).filter(|contact| differs_at(contact, one, other)).collect();
    // Any of them turned round, or none.
    (0..1u32 << touched.len().min(MOST_TURNED)).any(|choice| {
        let turned: BTreeSet<&Contact> =
            touched.iter().enumerate().filter(|(n, _)| choice >> n & 1 == 1).map(|(_, c)| c).collect();
        potentials(other, &turned) == wanted
    })
}

/// Most contacts that are tried the other way round, together.
const MOST_TURNED: usize = 4;

/// A contact by its two terminals.
type Contact = (Terminal, Terminal);

/// Auxiliary contacts, and those of control devices, which share no terminal with another.
fn contacts(plan: &Plan) -> impl Iterator<Item = Contact> {
    plan.parts.iter().flat_map(|part| {
        let all = part.contacts();
        let shared = |name: &String| all.iter().filter(|(a, b)| a == name || b == name).count() > 1;
        let own = all.iter().filter(|(a, b)| !shared(a) && !shared(b));
        own.map(|(a, b)| (Terminal::new(&part.tag, a), Terminal::new(&part.tag, b))).collect::<Vec<_>>()
    })
}

/// Whether conductors that only one of the two has lead to either side of the contact, by strips or directly.
fn differs_at(contact: &Contact, one: &Plan, other: &Plan) -> bool {
    let leads = |plan: &Plan, beside: &Plan| {
        let index = index(plan);
        let potentials = joined(plan, &index, &BTreeSet::new());
        let of = |terminal: &Terminal| index.get(terminal).map(|&n| potentials[n]);
        let new = plan.conductors.iter().filter(|c| !beside.conductors.contains(c));
        let led: BTreeSet<_> = new.flat_map(|c| [of(&c.from), of(&c.to)]).collect();
        led.contains(&of(&contact.0)) && led.contains(&of(&contact.1))
    };
    leads(one, other) || leads(other, one)
}

/// For each terminal that is none of a strip the first such of its potential, with some contacts turned round.
fn potentials(plan: &Plan, turned: &BTreeSet<&Contact>) -> Vec<usize> {
    let index = index(plan);
    let of = joined(plan, &index, turned);
    let strips: BTreeSet<&str> = plan
        .parts
        .iter()
        .filter(|part| matches!(part.kind, Kind::Strip(_)))
        .map(|part| part.tag.as_str())
        .collect();
    let mut first = BTreeMap::new();
    let devices = index.iter().filter(|(terminal, _)| !strips.contains(terminal.part.as_str()));
    devices.map(|(_, &n)| *first.entry(of[n]).or_insert(n)).collect()
}

/// Every terminal by number.
fn index(plan: &Plan) -> BTreeMap<Terminal, usize> {
    let names = |part: &sealin_core::part::Part| {
        part.terminals().into_iter().map(|name| Terminal::new(&part.tag, &name)).collect::<Vec<_>>()
    };
    let mut index = BTreeMap::new();
    for terminal in plan.parts.iter().flat_map(names) {
        let next = index.len();
        index.entry(terminal).or_insert(next);
    }
    index
}

/// For each terminal one that stands for its potential.
fn joined(plan: &Plan, index: &BTreeMap<Terminal, usize>, turned: &BTreeSet<&Contact>) -> Vec<usize> {
    let seen = |end: &Terminal| {
        let other = turned.iter().find_map(|(a, b)| match end {
            end if end == a => Some(b),
            end if end == b => Some(a),
            _ => None,
        });
        other.unwrap_or(end).clone()
    };
    let mut sets = Sets::new(index.len());
    let mut join = |a: &Terminal, b: &Terminal| {
        if let (Some(&a), Some(&b)) = (index.get(a), index.get(b)) {
            sets.join(a, b);
        }
    };
    for part in &plan.parts {
        let Kind::Strip(strip) = &part.kind else { continue };
        for pair in strip.bridges.iter().flat_map(|bridge| bridge.windows(2)) {
            join(&Terminal::new(&part.tag, &pair[0]), &Terminal::new(&part.tag, &pair[1]));
        }
    }
    plan.conductors.iter().for_each(|c| join(&seen(&c.from), &seen(&c.to)));
    sets.roots()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mutants::job::Job;
    use sealin_exercise::attempt::Change;

    /// Whether a job's reference with these wires (id, from, to) otherwise is the same.
    fn is_same(id: &str, wires: &[(&str, &str, &str)]) -> bool {
        let job = Job::open(id).unwrap();
        let mut work = job.reference.clone();
        for (id, from, to) in wires {
            let before = work.conductors[*id].clone();
            let end = |text| Terminal::parse(text).unwrap();
            let after = sealin_core::Conductor { from: end(from), to: end(to), ..before.clone() };
            work.apply(&job.scenario, &Change::Alter { before, after }).unwrap();
        }
        let plan = |work: &sealin_exercise::project::Project| work.plan_of_sheet(&job.scenario).unwrap();
        same(&plan(&job.reference), &plan(&work))
    }

    /// XD4:5 to XD4:8 are bridged, and XD4:9 is another potential.
    #[test]
    fn a_bridge_makes_two_terminals_one_potential() {
        assert!(is_same("paddle-closed-loop", &[("L1", "XD4:8", "QA1:13")]));
        assert!(!is_same("paddle-closed-loop", &[("L1", "XD4:9", "QA1:13")]));
    }

    /// 97-98 in the wires from QA2:13 and to I6; the over-travel limit between Q0 and QA2:21 by way of XD3:5 and XD3:6. At one side of
    /// STOP's contact there is a button that puts its wire to earth.
    #[test]
    fn a_contact_is_the_same_from_either_side() {
        let paddle = "paddle-closed-loop";
        assert!(is_same(paddle, &[("L3", "QA2:13", "FC1:98"), ("L6", "FC1:97", "KF1:I6")]));
        assert!(!is_same(paddle, &[("L6", "FC1:97", "KF1:I6")]));
        let hoist = "yard-crane-hoist";
        assert!(is_same(hoist, &[("L8", "KF1:Q0", "XD3:6"), ("L9", "XD3:5", "QA2:21")]));
        assert!(!is_same(hoist, &[("L8", "KF1:Q0", "XD3:6")]));
        assert!(!is_same("gate-commons", &[("L3", "XD4:8", "XD2:2"), ("L4", "XD2:1", "KF1:I0")]));
    }
}
