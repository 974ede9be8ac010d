//! Single edits of a network of contacts.

use sealin_ladder::{Contact, Network, Test};

/// Takes an edit: what was done, and the network after it.
pub(super) type Take<'a> = &'a mut dyn FnMut(String, Network);

/// Every single edit of a network whose first contact has this number. `bits` are the names that a contact may read instead.
///
/// A contact is of the other kind, an edge in place of a level or the other way round, or reads another bit; an element of a group
/// is dropped, stands beside its neighbour in place of in a row with it or the other way round, or is moved into or out of the
/// branch next to it.
pub(super) fn edits(logic: &Network, first: u32, bits: &[String], take: Take) {
    match logic {
        Network::Contact(contact) => contact_edits(contact, first, bits, take),
        Network::Series(parts) => {
            group_edits(parts, first, bits, Network::Series, take);
            series_moves(parts, first, take);
        }
        Network::Parallel(parts) => {
            group_edits(parts, first, bits, Network::Parallel, take);
            branch_moves(parts, first, take);
        }
        Network::True | Network::False => {}
    }
}

fn contact_edits(contact: &Contact, number: u32, bits: &[String], take: Take) {
    let name = named(&Network::Contact(contact.clone()), number);
    take(format!("{name}: opposite"), Network::Contact(contact.clone().opposite()));
    let Contact::Bit { var, test } = contact else { return };
    let (word, other) = match test {
        Test::Open => ("as a rising edge", Test::Rising),
        Test::Closed => ("as a falling edge", Test::Falling),
        Test::Rising => ("by level", Test::Open),
        Test::Falling => ("by level", Test::Closed),
    };
    take(format!("{name}: {word}"), Network::bit(var, other));
    for bit in bits.iter().filter(|bit| *bit != var) {
        take(format!("{name}: reads {bit}"), Network::bit(bit, *test));
    }
}

/// Edits within the members of a group, members dropped, and neighbours in a group of the other sort.
fn group_edits(
    parts: &[Network],
    first: u32,
    bits: &[String],
    group: fn(Vec<Network>) -> Network,
    take: Take,
) {
    let same = group(Vec::new());
    let (other, word): (fn(Vec<Network>) -> Network, _) = match same {
        Network::Series(_) => (Network::Parallel, "beside"),
        _ => (Network::Series, "in a row with"),
    };
    for (k, (number, part)) in numbered(parts, first).enumerate() {
        edits(part, number, bits, &mut |what, new| {
            take(what, group(replaced(parts, k, &[new])));
        });
        take(format!("{}: dropped", named(part, number)), group(replaced(parts, k, &[])));
        // Two that are all of a group of two change the group; more make a group within it.
        if let Some(next) = parts.get(k + 1) {
            let mut with = replaced(parts, k + 1, &[]);
            with[k] = other(vec![part.clone(), next.clone()]);
            let next = named(next, number + part.contacts());
            take(format!("{}: {word} {next}", named(part, number)), group(with));
        }
    }
}

/// A member of a row moved into a branch of the group before or behind it.
fn series_moves(parts: &[Network], first: u32, take: Take) {
    let places: Vec<(u32, &Network)> = numbered(parts, first).collect();
    for (k, &(number, part)) in places.iter().enumerate() {
        for beside in [k.checked_sub(1), Some(k + 1)].into_iter().flatten() {
            let Some(&(at, Network::Parallel(branches))) = places.get(beside) else { continue };
            for (n, (branch_at, branch)) in numbered(branches, at).enumerate() {
                let with = Network::Series(vec![part.clone(), branch.clone()]);
                let mut row = parts.to_vec();
                row[beside] = Network::Parallel(replaced(branches, n, &[with]));
                row.remove(k);
                let (part, branch) = (named(part, number), named(branch, branch_at));
                take(format!("{part}: moved into the branch of {branch}"), Network::Series(row));
            }
        }
    }
}

/// A member of a branch moved out in front of all branches, into the branch next to its own, or into a branch by itself.
fn branch_moves(branches: &[Network], first: u32, take: Take) {
    for (k, (at, branch)) in numbered(branches, first).enumerate() {
        let Network::Series(parts) = branch else { continue };
        for (n, (number, part)) in numbered(parts, at).enumerate() {
            let name = named(part, number);
            let without = replaced(branches, k, &[Network::Series(replaced(parts, n, &[]))]);
            let outside = Network::Series(vec![part.clone(), Network::Parallel(without.clone())]);
            take(format!("{name}: moved out of its branch"), outside);
            let own = without.iter().chain([part]).cloned().collect();
            take(format!("{name}: moved into a branch of its own"), Network::Parallel(own));
            if k + 1 < branches.len() {
                let mut next = without.clone();
                next[k + 1] = Network::Series(vec![part.clone(), without[k + 1].clone()]);
                take(format!("{name}: moved into the next branch"), Network::Parallel(next));
            }
        }
    }
}

/// Members of a group, each with the number of its first contact.
fn numbered(parts: &[Network], first: u32) -> impl Iterator<Item = (u32, &Network)> {
    parts.iter().scan(first, |next, part| {
        let number = *next;
        *next += part.contacts();
        Some((number, part))
    })
}

/// These members with others in place of one.
fn replaced(parts: &[Network], k: usize, by: &[Network]) -> Vec<Network> {
    let mut parts = parts.to_vec();
    parts.splice(k..=k, by.iter().cloned());
    parts
}

/// `contact 2 SF2_in`, `contacts 2 to 4`.
fn named(part: &Network, first: u32) -> String {
    match (part, part.contacts()) {
        (Network::Contact(contact), _) => {
            format!("contact {first} {}", contact.names().collect::<Vec<_>>().join(" "))
        }
        (_, count) => format!("contacts {first} to {}", first + count - 1),
    }
}
