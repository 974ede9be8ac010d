//! What is known of the program's names: address, terminal, and the contact in the field behind each input.

use crate::loop_strip::follow::{Channel, FieldContact, Wiring};
use crate::store::model::{Conductor, IoRow, Part};
use sealin_ladder::{Program, VarKind};
use std::collections::BTreeMap;

/// What stands behind the names of a program.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Facts {
    /// Address by name.
    pub addresses: BTreeMap<String, String>,
    /// Contact that the input of this name is wired to.
    pub contacts: BTreeMap<String, FieldContact>,
    /// Lines of the I/O list: inputs, outputs, then what lies inside the controller.
    pub rows: Vec<Row>,
}

/// A line of the I/O list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Address; empty for a variable without one.
    pub address: String,
    /// Name in the program; none if no variable has this address.
    pub name: Option<String>,
    /// Name that the job sheet gives to the address.
    pub given: Option<String>,
    /// Terminal of the controller.
    pub terminal: String,
    /// Device as on the job sheet, or found by following the conductors.
    pub device: String,
    /// An input that no contact is wired to.
    pub unwired: bool,
    /// What the job sheet says of it.
    pub comment: String,
    /// Signal of the bit.
    pub signal: String,
}

impl Facts {
    /// Gathers what is known from the program, the job's I/O list and the conductors as drawn.
    pub fn gather(program: &Program, given: &[IoRow], parts: &[Part], conductors: &[Conductor]) -> Facts {
        let wiring = Wiring::new(parts, conductors);
        let channels = wiring.channels();
        let mut facts = Facts::default();
        // A spare has no name, and is shown only once the program declares it.
        let named = given.iter().filter(|row| !row.name.is_empty());
        let mut in_use: Vec<String> = named.map(|row| row.address.clone()).collect();
        for var in &program.vars {
            let Some(address) = var.address.map(|a| a.to_string()) else { continue };
            facts.addresses.insert(var.name.clone(), address.clone());
            let channel = channels.iter().find(|channel| channel.address() == address);
            if let Some(contact) =
                channel.filter(|c| c.input).and_then(|c| wiring.contact_behind(&c.terminal))
            {
                facts.contacts.insert(var.name.clone(), contact);
            }
            in_use.push(address);
        }
        in_use.sort_by_key(|address| order(address));
        in_use.dedup();
        for address in in_use {
            let at = |var: &&sealin_ladder::Var| var.address.is_some_and(|a| a.to_string() == address);
            let name = program.vars.iter().find(at).map(|var| var.name.clone());
            let row = given.iter().find(|row| row.address == address);
            let channel = channels.iter().find(|channel| channel.address() == address);
            facts.rows.push(Facts::row(&wiring, address, name, row, channel));
        }
        for var in program.vars.iter().filter(|var| var.address.is_none()) {
            let pin = match var.kind {
                VarKind::Bool => String::new(),
                VarKind::Block(block) => format!(".{}", block.outputs()[0]),
            };
            facts.rows.push(Row {
                address: String::new(),
                name: Some(var.name.clone()),
                given: None,
                terminal: String::new(),
                device: var.kind.word().to_string(),
                unwired: false,
                comment: String::new(),
                signal: format!("{}{pin}", var.name),
            });
        }
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

    fn row(
        wiring: &Wiring<'_>,
        address: String,
        name: Option<String>,
        given: Option<&IoRow>,
        channel: Option<&Channel>,
    ) -> Row {
        let contact = channel.filter(|c| c.input).and_then(|c| wiring.contact_behind(&c.terminal));
        let found = contact.as_ref().map(|c| format!("{} {}", c.part, c.name()));
        let signal = channel.map(Channel::signal).or_else(|| name.clone()).unwrap_or_default();
        Row {
            terminal: channel.map(|c| c.terminal.name.clone()).unwrap_or_default(),
            device: given
                .map(|row| row.device.clone())
                .filter(|d| !d.is_empty())
                .or(found)
                .unwrap_or_default(),
            unwired: channel.is_some_and(|c| c.input) && contact.is_none(),
            comment: given.map(|row| row.comment.clone()).unwrap_or_default(),
            given: given.map(|row| row.name.clone()).filter(|name| !name.is_empty()),
            address,
            name,
            signal,
        }
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

    fn row(address: &str, name: &str, device: &str) -> IoRow {
        IoRow {
            address: address.into(),
            name: name.into(),
            terminal: String::new(),
            device: device.into(),
            comment: String::new(),
        }
    }

    #[test]
    fn rows_join_the_job_sheet_the_program_and_the_wiring() {
        let program = sealin_ladder::parse(
            "PROGRAM p VAR q AT %QX0.0 : BOOL; a AT %IX0.1 : BOOL; m : BOOL; t : TON; END_VAR
             t(IN := a, PT := T#1s); m := t.Q; q := m; END_PROGRAM",
        )
        .unwrap();
        let given = [row("%IX0.0", "SF1_in", "SF1 11-12"), row("%IX0.1", "QA1_in", "")];
        let wires = conductors(&[("QA1:14", "KF1:I1")]);
        let facts = Facts::gather(&program, &given, &parts(), &wires);
        let seen: Vec<(&str, Option<&str>, &str, bool)> = facts
            .rows
            .iter()
            .map(|row| (row.address.as_str(), row.name.as_deref(), row.device.as_str(), row.unwired))
            .collect();
        assert_eq!(
            seen,
            [
                ("%IX0.0", None, "SF1 11-12", true),
                ("%IX0.1", Some("a"), "QA1 13-14", false),
                ("%QX0.0", Some("q"), "", false),
                ("", Some("m"), "BOOL", false),
                ("", Some("t"), "TON", false),
            ]
        );
        assert_eq!(facts.rows[1].signal, "KF1.IX0.1");
        assert_eq!(facts.rows[4].signal, "t.Q");
        assert_eq!(facts.contacts["a"].name(), "13-14");
    }
}
