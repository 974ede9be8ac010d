//! Changes to a rung, by value: each takes a rung and gives the changed one in normal form.
//!
//! Contacts are numbered in reading order from 0 through all networks of the rung, as in [`Rung::each_contact`]. Every function gives none if there is
//! no contact of that number. Comment and output stay as they are.

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
    with(rung, 0, logic)
}

/// Puts a network side by side with the contacts from `first` to `last`, both included, below them.
///
/// What it goes around is the shortest run of neighbours in series that holds both contacts; where they lie in branches of
/// one group it becomes a further branch of that group, below the branches from one to the other. None if they lie in
/// networks of different inputs of a block.
pub fn branch_around(rung: &Rung, first: u32, last: u32, part: Network) -> Option<Rung> {
    let (first, last) = (first.min(last), first.max(last));
    let (place, network, from) = holder(rung, first)?;
    let (last_place, _, to) = holder(rung, last)?;
    (place == last_place).then(|| with(rung, place, around(network, from, to, part)))
}

/// Turns contact `index` to its opposite: normally open and closed, rising and falling edge, a comparison and its
/// opposite.
pub fn negate(rung: &Rung, index: u32) -> Option<Rung> {
    at(rung, index, |contact| {
        Some(Network::Contact(match contact {
            Contact::Bit { var, test } => Contact::Bit { var, test: test.opposite() },
            Contact::Compare(comparison) => {
                let relation = comparison.relation.opposite();
                Contact::Compare(Comparison { relation, ..comparison })
            }
        }))
    })
}

/// Puts another contact in the place of contact `index`.
pub fn replace(rung: &Rung, index: u32, contact: Contact) -> Option<Rung> {
    at(rung, index, |_| Some(Network::Contact(contact)))
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
/// leaving a bare link side by side with others; the last contact leaves a plain link.
pub fn delete(rung: &Rung, index: u32) -> Option<Rung> {
    at(rung, index, |_| None)
}

/// The rung with its network `place` (0 the one on its line, then those of a block's further inputs) changed.
fn with(rung: &Rung, place: usize, logic: Network) -> Rung {
    let mut changed = rung.clone();
    match (&mut changed.output, place.checked_sub(1)) {
        (Output::Block(call), Some(further)) => {
            if let Some(input) = call.further.iter_mut().flatten().nth(further) {
                *input = logic.normal();
            }
        }
        _ => changed.logic = logic.normal(),
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

fn at(rung: &Rung, index: u32, change: impl FnOnce(Contact) -> Option<Network>) -> Option<Rung> {
    let (place, network, mut left) = holder(rung, index)?;
    let mut change = Some(change);
    let logic = change_one(network, &mut left, &mut |contact| match change.take() {
        Some(change) => change(contact),
        None => Some(Network::Contact(contact)),
    });
    Some(with(rung, place, logic.unwrap_or(Network::True)))
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
    // Which members hold the two contacts, and how many contacts stand before each member.
    let mut before = Vec::with_capacity(parts.len());
    let mut count = 0;
    for member in parts {
        before.push(count);
        count += member.contacts();
    }
    let holder = |contact: u32| {
        (0..parts.len())
            .find(|i| contact < before[*i] + parts[*i].contacts())
            .unwrap_or(parts.len().saturating_sub(1))
    };
    let (from, to) = (holder(first), holder(last));
    let mut members = parts.clone();
    if from == to {
        members[from] = around(&parts[from], first - before[from], last - before[from], part);
    } else if matches!(logic, Network::Series(_)) {
        let run: Vec<Network> = members.drain(from..=to).collect();
        members.insert(from, Network::Parallel(vec![Network::Series(run), part]));
    } else {
        members.insert(to + 1, part);
    }
    match logic {
        Network::Series(_) => Network::Series(members),
        _ => Network::Parallel(members),
    }
}
