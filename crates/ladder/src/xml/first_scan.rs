//! The bit of the first scan, which other editors do not know.
//!
//! To them it is written as what it is: a variable that begins with 1 and that the last rung resets. A project in which
//! a variable of this name is just that is read back as the bit; any other variable of the name gets another one.

use std::borrow::Cow;

use crate::compiled::FIRST_SCAN;
use crate::model::{Contact, Network, Output, Program, Rung, Var, VarKind};

/// The place of the bit among the variables, if there is one.
pub(super) fn find(vars: &[Var]) -> Option<usize> {
    vars.iter().position(|var| {
        var.kind == VarKind::Bool && var.address.is_none() && var.name.eq_ignore_ascii_case(FIRST_SCAN)
    })
}

/// The program as others understand it.
pub(super) fn spelled_out(program: &Program) -> Cow<'_, Program> {
    let Some(index) = find(&program.vars) else { return Cow::Borrowed(program) };
    let mut program = program.clone();
    let var = &mut program.vars[index];
    var.initial = true;
    let output = Output::Reset { var: var.name.clone() };
    program.rungs.push(Rung { comment: String::new(), logic: Network::True, output });
    Cow::Owned(program)
}

/// Takes the spelling out away; whether it was there.
pub(super) fn taken_back(vars: &mut [Var], rungs: &mut Vec<Rung>, index: usize) -> bool {
    let name = &vars[index].name;
    let writes = |rung: &&Rung| rung.output.var() == name;
    let is_reset = |rung: &Rung| {
        matches!(&rung.output, Output::Reset { var } if var == name)
            && rung.logic == Network::True
            && rung.comment.is_empty()
    };
    let found =
        vars[index].initial && rungs.last().is_some_and(is_reset) && rungs.iter().filter(writes).count() == 1;
    if found {
        rungs.pop();
        vars[index].initial = false;
    }
    found
}

/// Gives a bit another name wherever a rung reads or writes it.
pub(super) fn rename(rungs: &mut [Rung], from: &str, to: &str) {
    for rung in rungs {
        in_network(&mut rung.logic, from, to);
        match &mut rung.output {
            Output::Block(call) => {
                call.further.iter_mut().flatten().for_each(|logic| in_network(logic, from, to));
            }
            Output::Coil { var }
            | Output::Negated { var }
            | Output::Set { var }
            | Output::Reset { var }
            | Output::Rising { var }
            | Output::Falling { var } => in_name(var, from, to),
        }
    }
}

fn in_network(logic: &mut Network, from: &str, to: &str) {
    match logic {
        Network::Contact(Contact::Bit { var, .. }) => in_name(var, from, to),
        Network::Series(parts) | Network::Parallel(parts) => {
            parts.iter_mut().for_each(|part| in_network(part, from, to));
        }
        // A comparison reads no bit.
        Network::Contact(Contact::Compare(_)) | Network::True | Network::False => {}
    }
}

fn in_name(name: &mut String, from: &str, to: &str) {
    if name == from {
        to.clone_into(name);
    }
}
