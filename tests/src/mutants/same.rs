//! Whether a mutant is the reference in other words: whatever the job's controls, supplies and overloads do, it shows the same.

mod inputs;
mod merged;
mod nodes;

use super::job::Job;
use super::{Half, Mutant};
use sealin_core::part::{Controller, Kind};
use sealin_core::{Design, Plan, Terminal};
use sealin_exercise::project::Project;
use sealin_ladder::{Address, Area};
use sealin_proof::explore::{Answer, Question, default_free, explore};
use sealin_proof::expr::parse_requirement;

/// What was found out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Same {
    /// It always shows the same.
    Yes,
    /// It can show something else, and how soon.
    No(String),
    /// Not known, and why.
    Unknown(String),
}

/// Bounds of what is looked into.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// Scans of both programs on free inputs.
    pub scans: u64,
    /// States of an exploration.
    pub states: u64,
}

/// Holds a mutant against the reference.
///
/// Of programs: first with all inputs free, then, as inputs are not, on the bench, with all that can move free in every order and at every
/// millisecond. They are the same if they put out the same at every terminal that is wired. Of wirings: by what their conductors
/// join; one that joins other terminals is not known to be the same.
pub fn same(job: &Job, mutant: &Mutant, bounds: Bounds) -> Same {
    let plan = |work: &Project| work.plan_of_sheet(&job.scenario).expect("it was marked, so it reads");
    let (reference, other) = (plan(&job.reference), plan(&mutant.work));
    match mutant.of {
        Half::Program => programs(&reference, &other, bounds),
        Half::Wiring if nodes::same(&reference, &other) => Same::Yes,
        Half::Wiring => Same::Unknown("its conductors join other terminals".to_string()),
    }
}

fn programs(reference: &Plan, other: &Plan, bounds: Bounds) -> Same {
    let (Some(one), Some(two), Some(controller)) =
        (&reference.program, &other.program, controller(reference))
    else {
        return Same::Unknown("there is no program".to_string());
    };
    let (wired, unwired) = outputs(reference, controller);
    let taken = |address: &Address| one.vars.iter().chain(&two.vars).any(|var| var.address == Some(*address));
    let Some(told) = unwired.into_iter().find(|address| !taken(address)) else {
        return Same::Unknown("no output is left to tell by".to_string());
    };
    let both = merged::merged(one, two, &wired, told);
    if inputs::never_differs(&both, controller.1.scan_ms.into(), bounds.scans) == Some(true) {
        return Same::Yes;
    }
    on_the_bench(&Plan { program: Some(both), ..reference.clone() }, told, bounds.states)
}

/// Whether this output stays 0 whatever moves.
fn on_the_bench(plan: &Plan, told: Address, max_states: u64) -> Same {
    let design = match Design::build(plan) {
        Ok(design) => design,
        Err(why) => return Same::Unknown(why.to_string()),
    };
    let signal = told.to_string().replace('%', "");
    let required = [parse_requirement(&format!("never {signal}")).expect("a formula of one name reads")];
    let free = default_free(&design);
    let question = Question { max_states, ..Question::new(plan, &required, &free) };
    match explore(&question, &mut |_| true).answer {
        Answer::Proven | Answer::NeverExercised => Same::Yes,
        Answer::Broken(path) => Same::No(path.to_string()),
        Answer::Undecided => Same::Unknown(format!("more than {max_states} states")),
        Answer::NotProvable(why) => Same::Unknown(why),
        Answer::NotComputed => unreachable!("nobody stops it"),
    }
}

/// The controller with its tag.
fn controller(plan: &Plan) -> Option<(&str, &Controller)> {
    plan.parts.iter().find_map(|part| match &part.kind {
        Kind::Controller(controller) => Some((part.tag.as_str(), controller)),
        _ => None,
    })
}

/// Addresses of the outputs at whose terminals conductors end, and of the others.
fn outputs(plan: &Plan, (tag, controller): (&str, &Controller)) -> (Vec<Address>, Vec<Address>) {
    let channels = controller.outputs.iter().flat_map(|group| &group.channels).enumerate();
    let wired = |name: &String| {
        let terminal = Terminal::new(tag, name);
        plan.conductors.iter().any(|c| c.from == terminal || c.to == terminal)
    };
    let address = |n: usize| Address { area: Area::Output, byte: (n / 8) as u8, bit: (n % 8) as u8 };
    let (wired, unwired): (Vec<_>, Vec<_>) = channels.partition(|(_, name)| wired(name));
    let addresses = |all: Vec<(usize, &String)>| all.into_iter().map(|(n, _)| address(n)).collect();
    (addresses(wired), addresses(unwired))
}
