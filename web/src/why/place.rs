//! Where a link of a chain is to be found: its sheet, and what is chosen there.

use crate::store::model::Terminal;
use crate::store::{Sheet, Thing, Workshop};
use sealin_core::why::{Link, Load, Subject};

/// The place of a link; where a rung decides it, the contact that does.
pub fn of_link(workshop: &Workshop, link: &Link) -> Option<(Sheet, Thing)> {
    match (&link.subject, link.rung) {
        (Subject::Variable(_) | Subject::Read(_) | Subject::Output(..), Some(rung)) => {
            let rung = rung as usize;
            let thing = match link.because.first().map(|flip| &flip.subject) {
                Some(Subject::Variable(bit) | Subject::Read(bit)) => Thing::Contact(rung, bit.clone()),
                _ => Thing::Rung(rung),
            };
            Some((Sheet::Program, thing))
        }
        (subject, _) => of_subject(workshop, subject),
    }
}

fn of_subject(workshop: &Workshop, subject: &Subject) -> Option<(Sheet, Thing)> {
    let terminal = |tag: &str, name: &str| (Sheet::Wiring, Thing::Terminal(Terminal::new(tag, name)));
    let program = |name: &str| (Sheet::Program, Thing::Signal(name.to_string()));
    Some(match subject {
        // What a hand does is done where the machine runs.
        Subject::Supply(tag)
        | Subject::Lever(tag)
        | Subject::FuseLink(tag, _)
        | Subject::Button(tag)
        | Subject::Position(tag, _)
        | Subject::Latch(tag)
        | Subject::StopActuator(tag)
        | Subject::ResetActuator(tag)
        | Subject::Jam(tag)
        | Subject::Hand(tag)
        | Subject::Lamp(tag)
        | Subject::Controller(tag)
        | Subject::Motor(tag) => (Sheet::Commissioning, Thing::Part(tag.clone())),
        Subject::DcSupply(tag) | Subject::Actuated(tag) | Subject::Brake(tag) | Subject::Armature(tag) => {
            (Sheet::Wiring, Thing::Part(tag.clone()))
        }
        Subject::Coil(tag) => terminal(tag, "A1"),
        Subject::Contact(tag, pair) => terminal(tag, pair.split('-').next()?),
        Subject::Conductor(id) => (Sheet::Wiring, Thing::Conductor(id.clone())),
        Subject::Joined { from, .. } => (Sheet::Wiring, Thing::Terminal(from.clone())),
        Subject::Volts(load) => of_load(workshop, load),
        Subject::Channel(tag, bit) => of_load(workshop, &Load::Channel(tag.clone(), *bit)),
        Subject::Input(tag, bit) => program(&name_at(workshop, tag, 'I', *bit)),
        Subject::Output(tag, bit) => program(&name_at(workshop, tag, 'Q', *bit)),
        Subject::Variable(name) | Subject::Read(name) | Subject::TimeUp(name) => of_variable(workshop, name),
        Subject::Compared(comparison) => of_variable(workshop, &comparison.value),
        Subject::Passed(rung) => (Sheet::Program, Thing::Rung(*rung as usize)),
    })
}

fn of_load(workshop: &Workshop, load: &Load) -> (Sheet, Thing) {
    let terminal = match load {
        Load::Coil(tag) => Terminal::new(tag, "A1"),
        Load::Lamp(tag) => Terminal::new(tag, "X1"),
        Load::Primary(tag) => Terminal::new(tag, "L1"),
        Load::Controller(tag) => Terminal::new(tag, "L+"),
        Load::Motor(tag) => Terminal::new(tag, "U1"),
        Load::Meter(terminal, _) => terminal.clone(),
        Load::Channel(tag, bit) => {
            let channels = crate::loop_strip::follow::Wiring::new(&workshop.scenario().parts, &[]).channels();
            let channel = channels
                .into_iter()
                .find(|c| c.input && c.terminal.part == *tag && c.bit == usize::from(*bit));
            match channel {
                Some(channel) => channel.terminal,
                None => return (Sheet::Wiring, Thing::Part(tag.clone())),
            }
        }
        Load::Brake(tag) => return (Sheet::Wiring, Thing::Part(tag.clone())),
    };
    (Sheet::Wiring, Thing::Terminal(terminal))
}

/// The variable at an address of an image; where there is none, the bit itself.
fn name_at(workshop: &Workshop, tag: &str, image: char, bit: u8) -> String {
    let address = format!("{image}X{}.{}", bit / 8, bit % 8);
    let program = workshop.bench().design.program.as_ref();
    let at = |var: &&sealin_ladder::Var| {
        var.address.is_some_and(|a| a.to_string().trim_start_matches('%') == address)
    };
    program
        .and_then(|program| program.vars.iter().find(at))
        .map_or_else(|| format!("{tag}.{address}"), |var| var.name.clone())
}

/// A variable with an address in the I/O list; any other at the last rung that writes it.
fn of_variable(workshop: &Workshop, name: &str) -> (Sheet, Thing) {
    let program = workshop.bench().design.program.as_ref();
    let instance = name.split('.').next().unwrap_or(name);
    let writes = program.and_then(|p| p.rungs.iter().rposition(|rung| rung.output.var() == instance));
    let thing = match writes {
        Some(rung) => Thing::Rung(rung + 1),
        None => Thing::Signal(name.to_string()),
    };
    (Sheet::Program, thing)
}
