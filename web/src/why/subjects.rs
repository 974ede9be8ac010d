//! What can be asked about a thing of the job: the likeliest first.

use crate::store::model::{Kind, Part, Terminal};
use crate::store::{Thing, Workshop};
use sealin_core::why::{Load, Subject, subject};
use sealin_ladder::{Comparison, Contact, Network, Program, print_network};

/// Of what an element of the page carries in `data-why`: a terminal, a tag, a signal or variable, or a comparison as the
/// program's text has it.
pub fn of_text(workshop: &Workshop, text: &str) -> Vec<Subject> {
    if let Some(terminal) = Terminal::parse(text).filter(|t| workshop.bench().design.node(t).is_some()) {
        return of_terminal(workshop, &terminal);
    }
    match part(workshop, text) {
        Some(part) => of_part(workshop, part),
        None => of_signal(workshop, text),
    }
}

/// Of what is chosen on the screen.
pub fn of_thing(workshop: &Workshop, thing: &Thing) -> Vec<Subject> {
    match thing {
        Thing::Terminal(terminal) => of_terminal(workshop, terminal),
        Thing::Part(tag) => part(workshop, tag).map_or(Vec::new(), |part| of_part(workshop, part)),
        Thing::Signal(name) => of_signal(workshop, name),
        Thing::Conductor(id) => {
            let Some(conductor) = workshop.project().conductors.get(id) else { return Vec::new() };
            let ends = [&conductor.from, &conductor.to];
            let to_earth = ends.iter().filter_map(|end| against_earth(workshop, end)).take(1);
            let of_ends = ends.iter().flat_map(|end| of_terminal(workshop, end));
            unique(to_earth.chain(of_ends))
        }
        Thing::Contact(_, bit) => of_signal(workshop, bit),
        Thing::Rung(number) => {
            let program = workshop.bench().design.program.as_ref();
            let rung = number.checked_sub(1).and_then(|n| program?.rungs.get(n));
            rung.map_or(Vec::new(), |rung| of_signal(workshop, rung.output.var()))
        }
        Thing::Requirement(_) => Vec::new(),
    }
}

fn part<'a>(workshop: &'a Workshop, tag: &str) -> Option<&'a Part> {
    workshop.scenario().parts.iter().find(|part| part.tag == tag)
}

fn of_signal(workshop: &Workshop, name: &str) -> Vec<Subject> {
    let design = &workshop.bench().design;
    let pins = ["", ".Q", ".QU", ".QD"].map(|pin| format!("{name}{pin}"));
    let itself = pins.iter().find_map(|name| subject(design, name));
    let compared = || Some(Subject::Compared(comparison(design.program.as_ref()?, name)?));
    let of_part = name.split_once('.').and_then(|(tag, _)| part(workshop, tag));
    let beside = match &itself {
        // A bit or a contact is asked about by itself; what a device does, with the rest of the device.
        Some(Subject::Input(..) | Subject::Output(..) | Subject::Contact(..)) | None => Vec::new(),
        Some(_) => of_part.map_or(Vec::new(), |part| self::of_part(workshop, part)),
    };
    unique(itself.or_else(compared).into_iter().chain(beside))
}

/// The comparison that has this text in the program.
fn comparison(program: &Program, text: &str) -> Option<Comparison> {
    let mut found = None;
    for rung in &program.rungs {
        rung.logic.each_contact(&mut |contact| {
            if let Contact::Compare(comparison) = contact
                && print_network(&Network::Contact(contact.clone())) == text
            {
                found = Some(comparison.clone());
            }
        });
    }
    found
}

fn of_part(workshop: &Workshop, part: &Part) -> Vec<Subject> {
    let tag = || part.tag.clone();
    match &part.kind {
        Kind::Supply(_) => vec![Subject::Supply(tag())],
        Kind::Switchgear(_) => vec![Subject::Lever(tag())],
        Kind::Contactor(_) | Kind::Relay(_) => {
            vec![Subject::Armature(tag()), Subject::Coil(tag()), Subject::Volts(Load::Coil(tag()))]
        }
        Kind::Overload(_) => vec![Subject::Latch(tag())],
        Kind::Transformer(transformer) => {
            let [a, b] = transformer.secondary().map(|name| Terminal::new(&part.tag, name));
            vec![Subject::Volts(Load::Meter(a, b))]
        }
        Kind::DcSupply(_) => vec![Subject::DcSupply(tag()), Subject::Volts(Load::Primary(tag()))],
        Kind::Controller(_) => vec![Subject::Controller(tag()), Subject::Volts(Load::Controller(tag()))],
        Kind::Control(control) if control.is_pressed() => vec![Subject::Button(tag())],
        Kind::Control(_) => {
            let position = workshop.bench().position(&part.tag).unwrap_or(1);
            vec![Subject::Position(tag(), position)]
        }
        Kind::Lamp(_) => vec![Subject::Lamp(tag()), Subject::Volts(Load::Lamp(tag()))],
        Kind::Motor(_) => vec![Subject::Motor(tag()), Subject::Volts(Load::Motor(tag()))],
        Kind::PositionSwitch(_) => vec![Subject::Actuated(tag())],
        Kind::Brake(_) => vec![Subject::Brake(tag()), Subject::Volts(Load::Brake(tag()))],
        Kind::Strip(strip) => {
            let first = strip.terminals.first().map(|name| Terminal::new(&part.tag, name));
            first.and_then(|first| against_earth(workshop, &first)).into_iter().collect()
        }
    }
}

/// The volts of the load that a terminal belongs to, the contact, and the volts against earth.
fn of_terminal(workshop: &Workshop, terminal: &Terminal) -> Vec<Subject> {
    let Some(part) = part(workshop, &terminal.part) else { return Vec::new() };
    let load = load_at(part, &terminal.name).map(Subject::Volts);
    let design = &workshop.bench().design;
    let at = |pair: &str| pair.split('-').any(|name| name == terminal.name);
    let of_part = |name: &&str| name.split_once('.').is_some_and(|(tag, pair)| tag == part.tag && at(pair));
    let names = design.signals.iter().map(|signal| signal.name.as_str()).filter(of_part);
    let contacts = names.filter_map(|name| subject(design, name));
    let contacts = contacts.filter(|subject| matches!(subject, Subject::Contact(..)));
    unique(load.into_iter().chain(contacts).chain(against_earth(workshop, terminal)))
}

fn load_at(part: &Part, name: &str) -> Option<Load> {
    let tag = part.tag.clone();
    match (&part.kind, name) {
        (Kind::Contactor(_) | Kind::Relay(_), "A1" | "A2") => Some(Load::Coil(tag)),
        (Kind::Lamp(_), _) => Some(Load::Lamp(tag)),
        (Kind::DcSupply(_), "L1" | "L2") => Some(Load::Primary(tag)),
        (Kind::Controller(_), "L+" | "L-") => Some(Load::Controller(tag)),
        (Kind::Controller(controller), _) => {
            let mut channels = controller.inputs.iter().flat_map(|group| &group.channels);
            let bit = channels.position(|channel| channel == name)?;
            Some(Load::Channel(tag, u8::try_from(bit).ok()?))
        }
        (Kind::Motor(_), "U1" | "V1" | "W1") => Some(Load::Motor(tag)),
        (Kind::Brake(_), _) => Some(Load::Brake(tag)),
        _ => None,
    }
}

/// Volts between a terminal and the earth of the supply.
fn against_earth(workshop: &Workshop, terminal: &Terminal) -> Option<Subject> {
    let mut parts = workshop.scenario().parts.iter();
    let supply = parts.find(|part| matches!(part.kind, Kind::Supply(_)))?;
    let earth = Terminal::new(&supply.tag, "PE");
    (earth != *terminal).then(|| Subject::Volts(Load::Meter(terminal.clone(), earth)))
}

/// In order, each once.
fn unique(all: impl IntoIterator<Item = Subject>) -> Vec<Subject> {
    let mut kept: Vec<Subject> = Vec::new();
    for one in all {
        if !kept.contains(&one) {
            kept.push(one);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::fixture::workshop;

    fn asked(text: &str) -> Subject {
        of_text(&workshop(), text).into_iter().next().unwrap_or_else(|| panic!("nothing of {text}"))
    }

    #[test]
    fn the_likeliest_comes_first() {
        let contact = |tag: &str, pair: &str| Subject::Contact(tag.into(), pair.into());
        assert_eq!(asked("QA1"), Subject::Armature("QA1".into()));
        assert_eq!(asked("QA1.coil"), Subject::Coil("QA1".into()));
        assert_eq!(asked("QA1:A2"), Subject::Volts(Load::Coil("QA1".into())));
        assert_eq!(asked("QA1:14"), contact("QA1", "13-14"));
        assert_eq!(asked("KF1:I4"), Subject::Volts(Load::Channel("KF1".into(), 4)));
        assert_eq!(asked("KF1.QX0.0"), Subject::Output("KF1".into(), 0));
        assert_eq!(asked("SF2"), Subject::Button("SF2".into()));
        let earth = Terminal::new("XD0", "PE");
        assert_eq!(asked("XD2:1"), Subject::Volts(Load::Meter(Terminal::new("XD2", "1"), earth)));
        assert!(of_text(&workshop(), "nothing of that name").is_empty());
    }

    /// Every device and every terminal of the job can be asked about, and has an answer.
    #[test]
    fn everything_of_the_job_has_an_answer() {
        let workshop = workshop();
        let (design, state) = (&workshop.bench().design, &workshop.bench().state);
        let mut asked = 0;
        for part in &workshop.scenario().parts {
            let terminals = part.terminals().into_iter().map(|name| format!("{}:{name}", part.tag));
            for text in std::iter::once(part.tag.clone()).chain(terminals) {
                for subject in of_text(&workshop, &text) {
                    assert!(sealin_core::why::ask(design, state, &subject).is_some(), "{text}: {subject:?}");
                    asked += 1;
                }
            }
        }
        assert!(asked > 100, "{asked}");
    }
}
