//! Changes to a rung, by value: each takes a rung and gives the changed one in normal form.
//!
//! Contacts are numbered in reading order from 0 through all networks of the rung, as in [`Rung::each_contact`]. Every
//! function gives none if there is no contact of that number. The comment and what is driven stay as they are.

use crate::model::{Comparison, Contact, Network, Output, Rung};

/// Puts a contact or network in series, left of contact `index`.
pub fn insert_before(rung: &Rung, index: u32, part: Network) -> Option<Rung> {
    at(rung, index, |contact| Some(Network::Series(vec![part, Network::Contact(contact)])))
}

/// Puts a contact or network in series, right of contact `index`.
pub fn insert_after(rung: &Rung, index: u32, part: Network) -> Option<Rung> {
    at(rung, index, |contact| Some(Network::Series(vec![Network::Contact(contact), part])))
}

/// Puts a contact or network in series at the right end, before the output. On a rung that is a plain link it takes the
/// link's place.
pub fn append(rung: &Rung, part: Network) -> Rung {
    let logic = match rung.logic.clone().normal() {
        Network::True => part,
        logic => Network::Series(vec![logic, part]),
    };
    with(rung, 0, Some(logic))
}

/// Puts a network side by side with the contacts from `first` to `last`, both included, below them.
///
/// What it goes around is the shortest run of neighbours in series that holds both contacts; where they lie in branches of
/// one group it becomes a further branch of that group, below the branches from one to the other. None if they lie in
/// networks of different inputs of a block.
pub fn branch_around(rung: &Rung, first: u32, last: u32, part: Network) -> Option<Rung> {
    let (place, network, from, to) = holder_of_both(rung, first, last)?;
    Some(with(rung, place, Some(around(network, from, to, part))))
}

/// Turns contact `index` to its opposite: normally open and closed, rising and falling edge, a comparison and its
/// opposite.
pub fn negate(rung: &Rung, index: u32) -> Option<Rung> {
    at(rung, index, |contact| Some(Network::Contact(contact.opposite())))
}

/// Puts another contact in the place of contact `index`.
pub fn replace(rung: &Rung, index: u32, contact: Contact) -> Option<Rung> {
    at(rung, index, |_| Some(Network::Contact(contact)))
}

/// Puts a network in the place of contact `index`.
pub fn replace_with(rung: &Rung, index: u32, part: Network) -> Option<Rung> {
    at(rung, index, |_| Some(part))
}

/// Lets contact `index` read another bit, or compare another value.
pub fn rename(rung: &Rung, index: u32, name: &str) -> Option<Rung> {
    at(rung, index, |contact| {
        let name = name.to_owned();
        Some(Network::Contact(match contact {
            Contact::Bit { test, .. } => Contact::Bit { var: name, test },
            Contact::Compare(comparison) => Contact::Compare(Comparison { value: name, ..comparison }),
        }))
    })
}

/// Takes contact `index` out. In series its neighbours close up; a branch that held nothing else goes with it, never
/// leaving a bare link side by side with others; the last contact leaves a plain link, or a further input of a block open.
pub fn delete(rung: &Rung, index: u32) -> Option<Rung> {
    at(rung, index, |_| None)
}

/// The rung with its network `place` (0 the one on its line, then those of a block's further inputs) changed; without one
/// the line is a plain link, the input open.
fn with(rung: &Rung, place: usize, logic: Option<Network>) -> Rung {
    let mut changed = rung.clone();
    let logic = logic.map(Network::normal);
    match (&mut changed.output, place.checked_sub(1)) {
        (Output::Block(call), Some(further)) => {
            if let Some(input) = call.further.iter_mut().filter(|input| input.is_some()).nth(further) {
                *input = logic;
            }
        }
        _ => changed.logic = logic.unwrap_or(Network::True),
    }
    changed
}

/// The network that holds contact `index`: its place in [`Rung::networks`], itself, and the index within it.
fn holder(rung: &Rung, index: u32) -> Option<(usize, &Network, u32)> {
    let mut before = 0;
    for (place, network) in rung.networks().enumerate() {
        let count = network.contacts();
        if index < before + count {
            return Some((place, network, index - before));
        }
        before += count;
    }
    None
}

/// The one network that holds both contacts: its place, itself, and the smaller and the larger index within it.
fn holder_of_both(rung: &Rung, first: u32, last: u32) -> Option<(usize, &Network, u32, u32)> {
    let (place, network, from) = holder(rung, first.min(last))?;
    let (last_place, _, to) = holder(rung, first.max(last))?;
    (place == last_place).then_some((place, network, from, to))
}

fn at(rung: &Rung, index: u32, change: impl FnOnce(Contact) -> Option<Network>) -> Option<Rung> {
    let (place, network, mut left) = holder(rung, index)?;
    let mut change = Some(change);
    let logic = change_one(network, &mut left, &mut |contact| match change.take() {
        Some(change) => change(contact),
        None => Some(Network::Contact(contact)),
    });
    Some(with(rung, place, logic))
}

/// The contacts from `first` to `last`, both included, as a network: the shortest run of neighbours that holds both. None
/// if they lie in networks of different inputs.
pub fn copy(rung: &Rung, first: u32, last: u32) -> Option<Network> {
    let mut copied = None;
    in_run(rung, first, last, &mut |run| {
        let inside: Vec<Network> = run.members[run.from..=run.to].to_vec();
        copied = Some(if run.series { Network::Series(inside) } else { Network::Parallel(inside) }.normal());
        run.members
    })?;
    copied
}

/// Takes out what [`copy`] gives.
pub fn cut(rung: &Rung, first: u32, last: u32) -> Option<Rung> {
    in_run(rung, first, last, &mut |mut run| {
        run.members.drain(run.from..=run.to);
        run.members
    })
}

/// Moves the contacts from `first` to `last` past their neighbour in series, to the left or to the right; with the rung the
/// new index of the first. None at the end of the run, or if they are branches.
pub fn shift(rung: &Rung, first: u32, last: u32, right: bool) -> Option<(Rung, u32)> {
    let lowest = first.min(last);
    let mut start = None;
    let changed = in_run(rung, first, last, &mut |mut run| {
        if !run.series {
            return run.members;
        }
        let (from, to) = (run.from, run.to);
        if right && to + 1 < run.members.len() {
            start = Some(lowest + run.members[to + 1].contacts());
            run.members[from..=to + 1].rotate_right(1);
        } else if !right && from > 0 {
            start = Some(lowest - run.members[from - 1].contacts());
            run.members[from - 1..=to].rotate_left(1);
        }
        run.members
    })?;
    Some((changed, start?))
}

/// Moves the branch that holds contact `index` past the one above or below it; with the rung the new index of the
/// contact. None where there is none.
pub fn shift_branch(rung: &Rung, index: u32, down: bool) -> Option<(Rung, u32)> {
    let (place, network, within) = holder(rung, index)?;
    let (changed, by) = branch_moved(network, within, down)?;
    let moved = i64::from(index) + by;
    Some((with(rung, place, Some(changed)), u32::try_from(moved).ok()?))
}

fn branch_moved(logic: &Network, index: u32, down: bool) -> Option<(Network, i64)> {
    let (Network::Series(parts) | Network::Parallel(parts)) = logic else { return None };
    let (from, before) = member_of(parts, index);
    let mut members = parts.clone();
    // The innermost branch that can go that way.
    if let Some((inner, by)) = branch_moved(&parts[from], index - before, down) {
        members[from] = inner;
        return Some((same_sort(logic, members), by));
    }
    let other = if down { from + 1 } else { from.checked_sub(1)? };
    let by = i64::from(parts.get(other)?.contacts());
    if matches!(logic, Network::Series(_)) {
        return None;
    }
    members.swap(from, other);
    Some((same_sort(logic, members), if down { by } else { -by }))
}

/// What a further input of a block is given, the first being 0; none leaves it open. None if there is no such input.
pub fn set_input(rung: &Rung, input: usize, logic: Option<Network>) -> Option<Rung> {
    let mut changed = rung.clone();
    let Output::Block(call) = &mut changed.output else { return None };
    *call.further.get_mut(input)? = logic.map(Network::normal);
    Some(changed)
}

/// Puts a contact or network in series at the right end of a further input of a block.
pub fn append_to_input(rung: &Rung, input: usize, part: Network) -> Option<Rung> {
    let Output::Block(call) = &rung.output else { return None };
    let logic = match call.further.get(input)?.clone().map(Network::normal) {
        None | Some(Network::True | Network::False) => part,
        Some(logic) => Network::Series(vec![logic, part]),
    };
    set_input(rung, input, Some(logic))
}

/// Neighbours in one group: the members from `from` to `to`.
struct Run {
    members: Vec<Network>,
    from: usize,
    to: usize,
    series: bool,
}

/// Changes the group in which the shortest run lies that holds two contacts.
fn in_run(rung: &Rung, first: u32, last: u32, change: &mut dyn FnMut(Run) -> Vec<Network>) -> Option<Rung> {
    let (place, network, from, to) = holder_of_both(rung, first, last)?;
    Some(with(rung, place, changed_run(network, from, to, change)))
}

/// None if nothing is left.
fn changed_run(
    logic: &Network,
    first: u32,
    last: u32,
    change: &mut dyn FnMut(Run) -> Vec<Network>,
) -> Option<Network> {
    let (Network::Series(parts) | Network::Parallel(parts)) = logic else {
        let run = Run { members: vec![logic.clone()], from: 0, to: 0, series: true };
        return Some(change(run)).filter(|left| !left.is_empty()).map(Network::Series);
    };
    let ((from, before), (to, _)) = (member_of(parts, first), member_of(parts, last));
    let members = if from == to && matches!(parts[from], Network::Series(_) | Network::Parallel(_)) {
        let inner = changed_run(&parts[from], first - before, last - before, change);
        let mut members = parts.clone();
        members.splice(from..=from, inner);
        members
    } else {
        change(Run { members: parts.clone(), from, to, series: matches!(logic, Network::Series(_)) })
    };
    (!members.is_empty()).then(|| same_sort(logic, members))
}

/// The member that holds a contact, and how many contacts stand before it.
fn member_of(parts: &[Network], contact: u32) -> (usize, u32) {
    let mut before = 0;
    for (index, part) in parts.iter().enumerate() {
        if contact < before + part.contacts() {
            return (index, before);
        }
        before += part.contacts();
    }
    let last = parts.len().saturating_sub(1);
    (last, before - parts.last().map_or(0, Network::contacts))
}

fn same_sort(logic: &Network, members: Vec<Network>) -> Network {
    match logic {
        Network::Series(_) => Network::Series(members),
        _ => Network::Parallel(members),
    }
}

/// The network with the contact that `left` counts down to changed; none if that leaves nothing.
fn change_one(
    logic: &Network,
    left: &mut u32,
    change: &mut dyn FnMut(Contact) -> Option<Network>,
) -> Option<Network> {
    let mut each = |parts: &[Network]| -> Option<Vec<Network>> {
        let kept: Vec<Network> = parts.iter().filter_map(|part| change_one(part, left, change)).collect();
        // A group that was empty before stays; one that has become empty goes.
        (parts.is_empty() || !kept.is_empty()).then_some(kept)
    };
    match logic {
        Network::Series(parts) => each(parts).map(Network::Series),
        Network::Parallel(parts) => each(parts).map(Network::Parallel),
        Network::Contact(contact) => {
            let found = *left == 0;
            *left = left.wrapping_sub(1);
            if found { change(contact.clone()) } else { Some(logic.clone()) }
        }
        leaf => Some(leaf.clone()),
    }
}

fn around(logic: &Network, first: u32, last: u32, part: Network) -> Network {
    let (Network::Series(parts) | Network::Parallel(parts)) = logic else {
        return Network::Parallel(vec![logic.clone(), part]);
    };
    let ((from, before), (to, _)) = (member_of(parts, first), member_of(parts, last));
    let mut members = parts.clone();
    if from == to {
        members[from] = around(&parts[from], first - before, last - before, part);
    } else if matches!(logic, Network::Series(_)) {
        let run: Vec<Network> = members.drain(from..=to).collect();
        members.insert(from, Network::Parallel(vec![Network::Series(run), part]));
    } else {
        members.insert(to + 1, part);
    }
    same_sort(logic, members)
}
