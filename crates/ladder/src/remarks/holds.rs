//! How outputs hold themselves, and what starts them again.

use std::collections::{BTreeMap, BTreeSet};

use super::{Remark, Rule};
use crate::model::{Area, Contact, Network, Output, Program, Test};

/// Remarks on the holds of outputs.
pub(super) fn remarks(program: &Program, found: &mut Vec<Remark>) {
    let areas = Areas::of(program);
    for (index, rung) in program.rungs.iter().enumerate() {
        let name = rung.output.var();
        if areas.area(name) != Some(Area::Output) {
            continue;
        }
        let mut say = |rule, text: String, why: &str| {
            let (rung, var) = (Some(index as u32), name.to_owned());
            found.push(Remark { rule, rung, var, text, why: why.to_owned() });
        };
        let is_retained = program.vars.iter().any(|var| var.retain && var.name.eq_ignore_ascii_case(name));
        let mut holds = matches!(rung.output, Output::Set { .. });
        let mut starts = Vec::new();
        match &rung.output {
            Output::Coil { .. } => {
                let unanswered = holds_without_answer(&areas, &rung.logic, name);
                holds = unanswered.is_some();
                if unanswered == Some(true) {
                    say(
                        Rule::HoldWithoutAnswer,
                        format!("{name} holds itself without an answer from the field"),
                        WITHOUT_ANSWER,
                    );
                }
                if let Some(answer) = held_by_answer(&areas, &rung.logic, name) {
                    say(
                        Rule::HoldByAnswerAlone,
                        format!("{name} is held by {answer} alone"),
                        BY_ANSWER_ALONE,
                    );
                }
                held_starts(&areas, &rung.logic, name, false, &mut starts);
            }
            Output::Set { .. } => {
                let is_reset = |output: &Output| matches!(output, Output::Reset { var } if var.eq_ignore_ascii_case(name));
                if program.rungs.iter().any(|rung| is_reset(&rung.output)) {
                    starts.extend(start(&areas, &rung.logic, &BTreeSet::new()));
                }
            }
            _ => {}
        }
        if !starts.is_empty() {
            let text = format!("{name} starts again by itself while {} is held", starts.join(" or "));
            say(Rule::HeldStart, text, HELD_START);
        }
        if is_retained && holds {
            say(Rule::RetainedHold, format!("{name} holds itself and is retained"), RETAINED);
        }
    }
}

const WITHOUT_ANSWER: &str = "Nothing that drops out in the field clears the bit: after a trip it is still 1, and the motor starts by itself at the \
     reset. Put a contact of the contactor, by way of an input, in series with the hold.";
const BY_ANSWER_ALONE: &str = "The answer starts as well as holds: a contactor pushed in by hand or a contact that sticks starts the motor, at power-up \
     too, and a stop shorter than the drop-out is forgotten. Put the output's own bit in series with the answer.";
const HELD_START: &str = "A start button that is still pressed, or that sticks, starts the motor the moment the stop is let go or the trip is reset. \
     Start by the press and not by the level: an edge contact, or a bit that only a new press sets.";
const RETAINED: &str = "After a power failure the bit is still 1, and the motor starts by itself when power returns. Declare it without RETAIN.";

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

/// The input that alone holds `coil` beside a start: one of the same device, by its tag before the underscore, as `QA1_in`
/// of `QA1_out`.
fn held_by_answer(areas: &Areas, logic: &Network, coil: &str) -> Option<String> {
    let (Network::Series(parts) | Network::Parallel(parts)) = logic else { return None };
    if let Some(inside) = parts.iter().find_map(|part| held_by_answer(areas, part, coil)) {
        return Some(inside);
    }
    let Network::Parallel(branches) = logic else { return None };
    let answers: Vec<Option<String>> = branches.iter().map(|branch| answer(areas, branch, coil)).collect();
    let starts =
        branches.iter().zip(&answers).any(|(branch, answer)| answer.is_none() && !reads(branch, coil));
    answers.into_iter().flatten().next().filter(|_| starts)
}

/// The answer that is in series with a whole branch in which the coil's own bit is not read.
fn answer(areas: &Areas, branch: &Network, coil: &str) -> Option<String> {
    if reads(branch, coil) {
        return None;
    }
    match branch {
        Network::Contact(Contact::Bit { var, test: Test::Open | Test::Closed }) => {
            let is_answer =
                areas.area(var) == Some(Area::Input) && tag(var).is_some() && tag(var) == tag(coil);
            is_answer.then(|| var.clone())
        }
        Network::Series(parts) => parts.iter().find_map(|part| answer(areas, part, coil)),
        _ => None,
    }
}

/// The device's tag in a name such as `QA1_out`, in capitals.
fn tag(name: &str) -> Option<String> {
    name.rsplit_once('_').map(|(tag, _)| tag.to_ascii_uppercase())
}

/// The inputs that start `coil` by their level beside a hold, where something besides the hold can stop it: `stopped` says
/// whether it is in series with the whole.
fn held_starts(areas: &Areas, logic: &Network, coil: &str, stopped: bool, found: &mut Vec<String>) {
    match logic {
        Network::Series(parts) => {
            for (index, part) in parts.iter().enumerate() {
                let others =
                    parts.iter().enumerate().any(|(other, part)| other != index && part.contacts() > 0);
                held_starts(areas, part, coil, stopped || others, found);
            }
        }
        Network::Parallel(branches) => {
            let holds =
                |branch: &Network| holds_plainly(branch, coil) || answer(areas, branch, coil).is_some();
            let (holding, others): (Vec<_>, Vec<_>) = branches.iter().partition(|branch| holds(branch));
            let can_stop = stopped || holding.iter().any(|branch| branch.contacts() > 1);
            let of_holds = holding.iter().flat_map(|branch| inputs_in_series(areas, branch)).collect();
            for branch in others {
                if !holding.is_empty() && can_stop {
                    found.extend(start(areas, branch, &of_holds));
                }
                held_starts(areas, branch, coil, stopped, found);
            }
        }
        _ => {}
    }
}

/// The input that starts by its level: the first one that is read normally open in a network of nothing but levels of
/// inputs. What the holds have as well, such as the stop, is none.
fn start(areas: &Areas, branch: &Network, of_holds: &BTreeSet<(String, Test)>) -> Option<String> {
    let (mut first, mut only_levels) = (None, true);
    branch.each_contact(&mut |contact| match contact {
        Contact::Bit { var, test: test @ (Test::Open | Test::Closed) }
            if areas.area(var) == Some(Area::Input) =>
        {
            let is_shared = of_holds.contains(&(var.to_ascii_uppercase(), *test));
            if *test == Test::Open && !is_shared && first.is_none() {
                first = Some(var.clone());
            }
        }
        _ => only_levels = false,
    });
    first.filter(|_| only_levels)
}
