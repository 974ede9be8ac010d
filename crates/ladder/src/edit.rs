//! Changes to a rung, by value: each takes a rung and gives the changed one in normal form.
//!
//! Contacts are numbered in reading order from 0, as in [`layout`](crate::layout). Every function gives none if there is
//! no contact of that number. Comment and output stay as they are.

use crate::model::{Network, Rung};

/// Puts a contact or network in series, left of contact `index`.
pub fn insert_before(rung: &Rung, index: u32, part: Network) -> Option<Rung> {
    at(rung, index, |contact| Some(Network::Series(vec![part, contact])))
}

/// Puts a contact or network in series, right of contact `index`.
pub fn insert_after(rung: &Rung, index: u32, part: Network) -> Option<Rung> {
    at(rung, index, |contact| Some(Network::Series(vec![contact, part])))
}

/// Puts a contact or network in series at the right end, before the output. On a rung that is a plain link it takes the
/// link's place.
pub fn append(rung: &Rung, part: Network) -> Rung {
    let logic = match rung.logic.clone().normal() {
        Network::True => part,
        logic => Network::Series(vec![logic, part]),
    };
    with(rung, logic)
}

/// Puts a network side by side with the contacts from `first` to `last`, both included, below them.
///
/// What it goes around is the shortest run of neighbours in series that holds both contacts; where they lie in branches of
/// one group it becomes a further branch of that group, below the branches from one to the other.
pub fn branch_around(rung: &Rung, first: u32, last: u32, part: Network) -> Option<Rung> {
    let (first, last) = (first.min(last), first.max(last));
    if last >= rung.logic.contacts() {
        return None;
    }
    Some(with(rung, around(&rung.logic, first, last, part)))
}

/// Turns contact `index` from normally open to normally closed, or back.
pub fn negate(rung: &Rung, index: u32) -> Option<Rung> {
    at(rung, index, |contact| match contact {
        Network::Contact { var, negated } => Some(Network::Contact { var, negated: !negated }),
        other => Some(other),
    })
}

/// Lets contact `index` read another bit.
pub fn rename(rung: &Rung, index: u32, name: &str) -> Option<Rung> {
    at(rung, index, |contact| match contact {
        Network::Contact { negated, .. } => Some(Network::Contact { var: name.to_owned(), negated }),
        other => Some(other),
    })
}

/// Takes contact `index` out. In series its neighbours close up; a branch that held nothing else goes with it, never
/// leaving a bare link side by side with others; the last contact leaves a plain link.
pub fn delete(rung: &Rung, index: u32) -> Option<Rung> {
    at(rung, index, |_| None)
}

fn with(rung: &Rung, logic: Network) -> Rung {
    Rung { comment: rung.comment.clone(), logic: logic.normal(), output: rung.output.clone() }
}

fn at(rung: &Rung, index: u32, change: impl FnOnce(Network) -> Option<Network>) -> Option<Rung> {
    if index >= rung.logic.contacts() {
        return None;
    }
    let mut change = Some(change);
    let mut left = index;
    let logic = replace(&rung.logic, &mut left, &mut |contact| match change.take() {
        Some(change) => change(contact),
        None => Some(contact),
    });
    Some(with(rung, logic.unwrap_or(Network::True)))
}

/// The network with the contact that `left` counts down to changed; none if that leaves nothing.
fn replace(
    logic: &Network,
    left: &mut u32,
    change: &mut dyn FnMut(Network) -> Option<Network>,
) -> Option<Network> {
    let mut each = |parts: &[Network]| -> Option<Vec<Network>> {
        let kept: Vec<Network> = parts.iter().filter_map(|part| replace(part, left, change)).collect();
        // A group that was empty before stays; one that has become empty goes.
        (parts.is_empty() || !kept.is_empty()).then_some(kept)
    };
    match logic {
        Network::Series(parts) => each(parts).map(Network::Series),
        Network::Parallel(parts) => each(parts).map(Network::Parallel),
        Network::Contact { .. } => {
            let found = *left == 0;
            *left = left.wrapping_sub(1);
            if found { change(logic.clone()) } else { Some(logic.clone()) }
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
