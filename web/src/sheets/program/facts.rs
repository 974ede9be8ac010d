//! What is known of the program's names: address, terminal, and the contact in the field behind each input; and how the
//! I/O list, the program and the wiring agree.

use crate::loop_strip::follow::{Channel, FieldContact, Wiring};
use crate::store::model::{Conductor, IoRow, Part, Terminal};
use sealin_ladder::{Program, Var, VarKind};
use std::collections::BTreeMap;

/// What stands behind the names of a program.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Facts {
    /// Address by name.
    pub addresses: BTreeMap<String, String>,
    /// Contact that the input of this name is wired to.
    pub contacts: BTreeMap<String, FieldContact>,
    /// Where the bit of this name is found in the circuit diagram: the contact behind an input, else the channel.
    pub places: BTreeMap<String, Terminal>,
    /// Lines of the I/O list: inputs, outputs, then what lies inside the controller.
    pub rows: Vec<Row>,
    /// Addresses of the channels that no variable has, with what is wired there.
    pub free: Vec<(String, String)>,
}

/// A line of the I/O list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Address; empty for a variable without one.
    pub address: String,
    /// Name in the program; none if no variable has this address.
    pub name: Option<String>,
    /// Index of that variable.
    pub index: Option<usize>,
    /// Name that the job sheet gives to the address.
    pub given: Option<String>,
    /// Terminal of the controller.
    pub terminal: String,
    /// Device and its terminals as found by following the conductors, else as on the job sheet.
    pub device: String,
    /// What is said of it beside its declaration, else on the job sheet.
    pub comment: String,
    /// Signal of the bit.
    pub signal: String,
    /// What does not agree.
    pub checks: Vec<Check>,
}

/// What does not agree in a line of the I/O list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Check {
    /// A device is wired to the terminal, and no variable has its address.
    WiredUnnamed,
    /// A variable has the address, and no contact is wired to the input.
    InputUnwired,
    /// A variable has the address, and nothing is wired to the output.
    OutputUnwired,
    /// No terminal of the controller has the address.
    NoChannel,
    /// The job sheet wants another device there.
    OtherDevice(String),
}

impl Row {
    /// The variable that the job's I/O list wants here; none for a spare, or what has no address.
    pub fn variable(&self) -> Option<Var> {
        let name = self.given.clone()?;
        let probe = format!("PROGRAM p VAR {name} AT {} : BOOL; END_VAR END_PROGRAM", self.address);
        let var = sealin_ladder::parse(&probe).ok()?.vars.pop()?;
        Some(Var { comment: self.comment.clone(), ..var })
    }
}

impl Facts {
    /// Gathers what is known from the program, the job's I/O list and the conductors as drawn.
    pub fn gather(program: &Program, given: &[IoRow], parts: &[Part], conductors: &[Conductor]) -> Facts {
        let wiring = Wiring::new(parts, conductors);
        let behind = Behind::new(&wiring, parts);
        let mut facts = Facts::default();
        for var in &program.vars {
            let Some(address) = var.address.map(|a| a.to_string()) else { continue };
            let channel = behind.channels.iter().find(|channel| channel.address() == address);
            let wired = channel.filter(|c| is_wired(conductors, &c.terminal)).map(|c| c.terminal.clone());
            let contact = behind.contacts.get(&address);
            let place = contact.map(|c| Terminal::new(&c.part, &c.terminals.0)).or(wired);
            facts.places.extend(place.map(|place| (var.name.clone(), place)));
            if let Some(contact) = contact {
                facts.contacts.insert(var.name.clone(), contact.clone());
            }
            facts.addresses.insert(var.name.clone(), address);
        }
        // A spare has no name, and is shown only once the program declares it or something is wired to it.
        let named = given.iter().filter(|row| !row.name.is_empty()).map(|row| row.address.clone());
        let mut in_use: Vec<String> =
            named.chain(facts.addresses.values().cloned()).chain(behind.devices.keys().cloned()).collect();
        in_use.sort_by_key(|address| order(address));
        in_use.dedup();
        for address in in_use {
            facts.rows.push(row(&behind, conductors, program, given, address));
        }
        for (index, var) in program.vars.iter().enumerate().filter(|(_, var)| var.address.is_none()) {
            facts.rows.push(inside(index, var));
        }
        let taken = |address: &String| facts.addresses.values().any(|other| other == address);
        facts.free = behind
            .channels
            .iter()
            .map(Channel::address)
            .filter(|address| !taken(address))
            .map(|address| {
                let device = behind.devices.get(&address).cloned().unwrap_or_default();
                (address, device)
            })
            .collect();
        facts.free.sort_by_key(|(address, _)| order(address));
        facts
    }

    /// The line of a name that the job sheet gives and the program does not declare.
    pub fn undeclared(&self, name: &str) -> Option<&Row> {
        self.all_undeclared()
            .find(|row| row.given.as_ref().is_some_and(|given| given.eq_ignore_ascii_case(name)))
    }

    /// All lines whose name the program does not declare, neither there nor elsewhere.
    pub fn all_undeclared(&self) -> impl Iterator<Item = &Row> {
        let declared = |name: &String| {
            self.rows.iter().filter_map(|row| row.name.as_ref()).any(|known| known.eq_ignore_ascii_case(name))
        };
        self.rows
            .iter()
            .filter(move |row| row.name.is_none() && row.given.as_ref().is_some_and(|given| !declared(given)))
    }
}

/// What is wired to the channels of the controllers, by address.
struct Behind {
    channels: Vec<Channel>,
    /// The contact behind each input.
    contacts: BTreeMap<String, FieldContact>,
    /// The device and its terminals: the contact, or what the output feeds.
    devices: BTreeMap<String, String>,
}

impl Behind {
    fn new(wiring: &Wiring, parts: &[Part]) -> Behind {
        let channels = wiring.channels();
        let mut contacts = BTreeMap::new();
        let mut devices = BTreeMap::new();
        for channel in channels.iter().filter(|channel| channel.input) {
            if let Some(contact) = wiring.contact_behind(&channel.terminal) {
                devices.insert(channel.address(), format!("{} {}", contact.part, contact.name()));
                contacts.insert(channel.address(), contact);
            }
        }
        for part in parts {
            // The terminals of coils and of lamps (IEC 60947-1, terminal markings).
            for name in ["A1", "A2", "X1", "X2"] {
                if let Some(output) = wiring.output_of(&Terminal::new(&part.tag, name)) {
                    devices.entry(output.address()).or_insert(format!("{} {name}", part.tag));
                }
            }
        }
        Behind { channels, contacts, devices }
    }
}

fn row(
    behind: &Behind,
    conductors: &[Conductor],
    program: &Program,
    given: &[IoRow],
    address: String,
) -> Row {
    let index = program.vars.iter().position(|var| var.address.is_some_and(|a| a.to_string() == address));
    let var = index.map(|index| &program.vars[index]);
    let listed = given.iter().find(|row| row.address == address);
    let channel = behind.channels.iter().find(|channel| channel.address() == address);
    let found = behind.devices.get(&address).cloned();
    let wanted = listed.map(|row| row.device.clone()).filter(|device| !device.is_empty());
    let name = var.map(|var| var.name.clone());
    let comment = var.map(|var| var.comment.clone()).filter(|comment| !comment.is_empty());
    let mut row = Row {
        terminal: channel.map(|c| c.terminal.name.clone()).unwrap_or_default(),
        device: found.clone().or(wanted.clone()).unwrap_or_default(),
        comment: comment.or(listed.map(|row| row.comment.clone())).unwrap_or_default(),
        given: listed.map(|row| row.name.clone()).filter(|name| !name.is_empty()),
        signal: channel.map(Channel::signal).or_else(|| name.clone()).unwrap_or_default(),
        checks: Vec::new(),
        address,
        name,
        index,
    };
    let is_memory = row.address.starts_with("%M");
    row.checks = match (channel, &row.name) {
        (None, Some(_)) if !is_memory => vec![Check::NoChannel],
        (Some(_), None) if found.is_some() && row.given.is_none() => vec![Check::WiredUnnamed],
        (Some(channel), _) if channel.input && found.is_none() => vec![Check::InputUnwired],
        (Some(channel), Some(_)) if !channel.input && !is_wired(conductors, &channel.terminal) => {
            vec![Check::OutputUnwired]
        }
        _ => Vec::new(),
    };
    if let (Some(found), Some(wanted)) = (found, wanted)
        && !agree(&found, &wanted)
    {
        row.checks.push(Check::OtherDevice(wanted));
    }
    row
}

fn is_wired(conductors: &[Conductor], terminal: &Terminal) -> bool {
    conductors.iter().any(|c| c.from == *terminal || c.to == *terminal)
}

/// Whether a device found by following the conductors is the one that the job sheet names, as far as it names it.
fn agree(found: &str, wanted: &str) -> bool {
    let mut words = wanted.split_whitespace();
    let (found_part, found_terminals) = found.split_once(' ').unwrap_or((found, ""));
    let part = words.next().unwrap_or_default();
    let terminals = words.next();
    part == found_part && terminals.is_none_or(|t| t.contains(found_terminals) || found_terminals.contains(t))
}

fn inside(index: usize, var: &Var) -> Row {
    let pin = match var.kind {
        VarKind::Bool => String::new(),
        VarKind::Block(block) => format!(".{}", block.outputs()[0]),
    };
    Row {
        address: String::new(),
        name: Some(var.name.clone()),
        index: Some(index),
        given: None,
        terminal: String::new(),
        device: var.kind.word().to_string(),
        comment: var.comment.clone(),
        signal: format!("{}{pin}", var.name),
        checks: Vec::new(),
    }
}

/// Inputs before outputs before memory, each by number.
fn order(address: &str) -> (u8, u32, u32) {
    let area = match address.as_bytes().get(1) {
        Some(b'I') => 0,
        Some(b'Q') => 1,
        _ => 2,
    };
    let (byte, bit) = address.get(3..).and_then(|rest| rest.split_once('.')).unwrap_or(("", ""));
    (area, byte.parse().unwrap_or(u32::MAX), bit.parse().unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loop_strip::follow::tests::{conductors, parts};

    fn listed(address: &str, name: &str, device: &str) -> IoRow {
        IoRow {
            address: address.into(),
            name: name.into(),
            terminal: String::new(),
            device: device.into(),
            comment: String::new(),
        }
    }

    fn seen(facts: &Facts) -> Vec<(&str, Option<&str>, &str, &[Check])> {
        facts
            .rows
            .iter()
            .map(|row| {
                (row.address.as_str(), row.name.as_deref(), row.device.as_str(), row.checks.as_slice())
            })
            .collect()
    }

    #[test]
    fn rows_join_the_job_sheet_the_program_and_the_wiring() {
        let program = sealin_ladder::parse(
            "PROGRAM p VAR q AT %QX0.0 : BOOL; a AT %IX0.1 : BOOL; m : BOOL; t : TON; END_VAR
             t(IN := a, PT := T#1s); m := t.Q; q := m; END_PROGRAM",
        )
        .unwrap();
        let given = [listed("%IX0.0", "SF1_in", "SF1 11-12"), listed("%IX0.1", "QA1_in", "")];
        let wires = conductors(&[("QA1:14", "KF1:I1")]);
        let facts = Facts::gather(&program, &given, &parts(), &wires);
        assert_eq!(
            seen(&facts),
            [
                ("%IX0.0", None, "SF1 11-12", [Check::InputUnwired].as_slice()),
                ("%IX0.1", Some("a"), "QA1 13-14", &[]),
                ("%QX0.0", Some("q"), "", &[Check::OutputUnwired]),
                ("", Some("m"), "BOOL", &[]),
                ("", Some("t"), "TON", &[]),
            ]
        );
        assert_eq!(facts.rows[1].signal, "KF1.IX0.1");
        assert_eq!(facts.rows[4].signal, "t.Q");
        assert_eq!(facts.contacts["a"].name(), "13-14");
        let places: Vec<_> = facts.places.iter().map(|(name, t)| (name.as_str(), t.to_string())).collect();
        assert_eq!(places, [("a", "QA1:13".to_string())], "nothing is wired to the output");
        let free: Vec<&str> = facts.free.iter().map(|(address, _)| address.as_str()).collect();
        assert_eq!(free, ["%IX0.0", "%QX0.1"]);
    }

    #[test]
    fn what_does_not_agree_is_found() {
        let program = sealin_ladder::parse(
            "PROGRAM p VAR a AT %IX0.1 : BOOL; x AT %IX5.0 : BOOL; m AT %MX1.0 : BOOL; END_VAR END_PROGRAM",
        )
        .unwrap();
        let given = [listed("%IX0.1", "QA1_in", "QA1 13-14")];
        let wires = conductors(&[("QA2:14", "KF1:I1"), ("QA1:14", "KF1:I0"), ("KF1:Q1", "QA1:A1")]);
        let facts = Facts::gather(&program, &given, &parts(), &wires);
        assert_eq!(
            seen(&facts),
            [
                ("%IX0.0", None, "QA1 13-14", [Check::WiredUnnamed].as_slice()),
                ("%IX0.1", Some("a"), "QA2 13-14", &[Check::OtherDevice("QA1 13-14".into())]),
                ("%IX5.0", Some("x"), "", &[Check::NoChannel]),
                ("%QX0.1", None, "QA1 A1", &[Check::WiredUnnamed]),
                ("%MX1.0", Some("m"), "", &[]),
            ]
        );
    }
}
