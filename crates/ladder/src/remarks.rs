//! What a good teacher would say about a program that has no error. A remark never blocks.

use std::collections::{BTreeMap, BTreeSet};

use crate::compiled::FIRST_SCAN;
use crate::model::{Area, Contact, Network, Output, Program, Test, VarKind};

/// One thing to look at, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Remark {
    /// What sort of thing it is.
    pub rule: Rule,
    /// Index of the rung it is about, if it is about one.
    pub rung: Option<u32>,
    /// The variable it is about.
    pub var: String,
    /// What is so, in one line.
    pub text: String,
    /// Why that matters, and what to try.
    pub why: String,
}

/// What a remark is about.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Rule {
    /// A bit has two coils.
    CoilTwice,
    /// An output holds itself by its own bit, and no answer from the field is in series with the hold.
    HoldWithoutAnswer,
    /// A variable is in no rung.
    Unused,
    /// A bit is read but nothing writes it, or a timer is read but not called.
    NeverWritten,
    /// A bit without address is written but nothing reads it.
    NeverRead,
}

/// The remarks on a program: those about rungs by rung, then those about variables in the order of declaration.
pub fn remarks(program: &Program) -> Vec<Remark> {
    let mut found = Vec::new();
    coils_twice(program, &mut found);
    let areas = Areas::of(program);
    for (index, rung) in program.rungs.iter().enumerate() {
        if let Output::Coil { var } = &rung.output
            && areas.area(var) == Some(Area::Output)
            && holds_without_answer(&areas, &rung.logic, var) == Some(true)
        {
            found.push(Remark {
                rule: Rule::HoldWithoutAnswer,
                rung: Some(index as u32),
                var: var.clone(),
                text: format!("{var} holds itself without an answer from the field"),
                why: "Nothing that drops out in the field clears the bit: after a trip it is still 1, and the motor \
                      starts by itself at the reset. Put a contact of the contactor, by way of an input, in series with \
                      the hold."
                    .to_owned(),
            });
        }
    }
    found.sort_by_key(|remark| remark.rung);
    unused(program, &mut found);
    found
}

/// Where each variable with an address lies, by its name in capitals.
struct Areas(BTreeMap<String, Area>);

impl Areas {
    fn of(program: &Program) -> Self {
        let placed =
            program.vars.iter().filter_map(|var| Some((var.name.to_ascii_uppercase(), var.address?.area)));
        Areas(placed.collect())
    }

    fn area(&self, name: &str) -> Option<Area> {
        self.0.get(&name.to_ascii_uppercase()).copied()
    }
}

fn coils_twice(program: &Program, found: &mut Vec<Remark>) {
    let mut writers: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, rung) in program.rungs.iter().enumerate() {
        writers.entry(rung.output.var().to_ascii_uppercase()).or_default().push(index);
    }
    for rungs in writers.into_values() {
        let plain = |index: &usize| {
            matches!(program.rungs[*index].output, Output::Coil { .. } | Output::Negated { .. })
        };
        // Set and reset coils of one bit belong together; a plain coil beside any other does not.
        if rungs.len() < 2 || !rungs.iter().any(plain) {
            continue;
        }
        let var = program.rungs[rungs[0]].output.var().to_owned();
        let numbers: Vec<String> = rungs.iter().map(|index| (index + 1).to_string()).collect();
        found.push(Remark {
            rule: Rule::CoilTwice,
            rung: rungs.last().map(|index| *index as u32),
            text: format!("{var} is written by rungs {}", numbers.join(" and ")),
            why: "The rung further down wins; what an upper one writes never reaches the output. Join the conditions in one \
                  rung, side by side."
                .to_owned(),
            var,
        });
    }
}

/// Whether `coil` holds itself by its own bit beside a start, and no input is in series with that hold that is not in
/// series with every start beside it too; none if nothing in the network holds it.
///
/// An input that the start has as well, such as the stop, is no answer: it lets the start pass. Nor can a contact outside
/// the innermost group of hold and start be one, since before the start there is nothing that could answer.
fn holds_without_answer(areas: &Areas, logic: &Network, coil: &str) -> Option<bool> {
    match logic {
        Network::Parallel(branches) => {
            let (holding, starting): (Vec<_>, Vec<_>) =
                branches.iter().partition(|branch| reads(branch, coil));
            let shared = common(starting.iter().map(|branch| inputs_in_series(areas, branch)));
            let of_branch = |branch: &&Network| {
                let inside = holds_without_answer(areas, branch, coil);
                inside.or_else(|| {
                    let is_hold = !starting.is_empty() && holds_plainly(branch, coil);
                    is_hold.then(|| inputs_in_series(areas, branch).is_subset(&shared))
                })
            };
            holding.iter().filter_map(of_branch).reduce(|any, one| any || one)
        }
        Network::Series(parts) => {
            let found = parts.iter().filter_map(|part| holds_without_answer(areas, part, coil));
            found.reduce(|any, one| any || one)
        }
        _ => None,
    }
}

/// Whether a normally open contact of `coil` is in series with the whole branch.
fn holds_plainly(branch: &Network, coil: &str) -> bool {
    match branch {
        Network::Contact(Contact::Bit { var, test: Test::Open }) => var.eq_ignore_ascii_case(coil),
        Network::Series(parts) => parts.iter().any(|part| holds_plainly(part, coil)),
        _ => false,
    }
}

fn reads(logic: &Network, name: &str) -> bool {
    let mut found = false;
    logic.each_contact(&mut |contact| found |= contact.names().any(|read| read.eq_ignore_ascii_case(name)));
    found
}

/// The contacts of inputs that every path through the network goes by, with when each passes.
fn inputs_in_series(areas: &Areas, logic: &Network) -> BTreeSet<(String, Test)> {
    match logic {
        Network::Contact(Contact::Bit { var, test }) if areas.area(var) == Some(Area::Input) => {
            BTreeSet::from([(var.to_ascii_uppercase(), *test)])
        }
        Network::Series(parts) => parts.iter().flat_map(|part| inputs_in_series(areas, part)).collect(),
        Network::Parallel(branches) => common(branches.iter().map(|branch| inputs_in_series(areas, branch))),
        _ => BTreeSet::new(),
    }
}

/// What is in all of the sets; nothing if there are none.
fn common(mut sets: impl Iterator<Item = BTreeSet<(String, Test)>>) -> BTreeSet<(String, Test)> {
    let first = sets.next().unwrap_or_default();
    sets.fold(first, |known, set| known.intersection(&set).cloned().collect())
}

fn unused(program: &Program, found: &mut Vec<Remark>) {
    let mut read: Vec<String> = Vec::new();
    let mut written: Vec<String> = Vec::new();
    for rung in &program.rungs {
        rung.each_contact(&mut |contact| {
            // A block's pin counts as the block.
            read.extend(
                contact.names().map(|name| name.split('.').next().unwrap_or(name).to_ascii_uppercase()),
            );
        });
        written.push(rung.output.var().to_ascii_uppercase());
    }
    read.sort();
    written.sort();
    for var in &program.vars {
        let name = var.name.to_ascii_uppercase();
        let is_read = read.binary_search(&name).is_ok();
        let is_written = written.binary_search(&name).is_ok();
        let area = var.address.map(|address| address.area);
        let shown = &var.name;
        let (rule, text, why) = match (is_read, is_written) {
            (false, false) => (
                Rule::Unused,
                format!("{shown} is in no rung"),
                "A name without use makes the next reader look for one. Take it out, or put it to its use.",
            ),
            (true, false) if area == Some(Area::Input) || name.eq_ignore_ascii_case(FIRST_SCAN) => continue,
            (true, false) if var.kind != VarKind::Bool => (
                Rule::NeverWritten,
                format!("{shown} is read but never called"),
                "A block that no rung calls does nothing; its outputs stay 0.",
            ),
            (true, false) => (
                Rule::NeverWritten,
                format!("{shown} is read but no rung writes it"),
                "It keeps its initial value for ever, and the contact is as good as a link or a gap.",
            ),
            (false, true) if area.is_none() => (
                Rule::NeverRead,
                format!("{shown} is written but no rung reads it"),
                "It has no address either, so what the rung works out goes nowhere.",
            ),
            _ => continue,
        };
        found.push(Remark { rule, rung: None, var: shown.clone(), text, why: why.to_owned() });
    }
}
