//! What a teacher would say that only the wiring tells: an input that nothing is wired to, a contact in the field that is
//! read the wrong way round, a stop that a broken wire disables.

use super::facts::{Check, Facts};
use super::remarks::Said;
use crate::store::model::{Actuator, Kind, Part};
use crate::t;
use sealin_ladder::{Contact, Program, Rung, Test};

/// The remarks on a program and the wiring as drawn, in the order of the I/O list.
pub fn field_remarks(program: &Program, facts: &Facts, parts: &[Part]) -> Vec<Said> {
    let mut said = Vec::new();
    for row in &facts.rows {
        let Some(name) = &row.name else { continue };
        let reading = |test: Option<Test>| -> Option<usize> {
            program.rungs.iter().position(|rung| reads(rung, name, test))
        };
        if row.checks.contains(&Check::InputUnwired)
            && let Some(rung) = reading(None)
        {
            said.push(Said {
                text: t!("remark-unwired", name = name, terminal = row.terminal),
                why: t!("remark-unwired-why").to_string(),
                rung: Some(rung),
            });
        }
        let Some(contact) = facts.contacts.get(name) else { continue };
        let in_command = |test: Test| {
            program
                .rungs
                .iter()
                .position(|rung| commands(rung, facts, parts) && reads(rung, name, Some(test)))
        };
        if !contact.make
            && let Some(rung) = in_command(Test::Closed)
        {
            said.push(Said {
                text: t!("remark-break-closed", part = contact.part, contact = contact.name(), name = name),
                why: t!("remark-break-closed-why").to_string(),
                rung: Some(rung),
            });
        }
        if contact.make
            && is_button(parts, &contact.part)
            && let Some(rung) = in_command(Test::Closed)
            && reading(Some(Test::Open)).is_none()
            && reading(Some(Test::Rising)).is_none()
        {
            said.push(Said {
                text: t!("remark-stop-make", part = contact.part, contact = contact.name()),
                why: t!("remark-stop-make-why").to_string(),
                rung: Some(rung),
            });
        }
    }
    said
}

/// Whether a rung has a contact of this bit, of this kind if one is given.
fn reads(rung: &Rung, name: &str, wanted: Option<Test>) -> bool {
    let mut found = false;
    rung.each_contact(&mut |contact| {
        if let Contact::Bit { var, test } = contact {
            found |= var.eq_ignore_ascii_case(name) && wanted.is_none_or(|wanted| wanted == *test);
        }
    });
    found
}

/// Whether a rung drives an output that feeds the coil of a contactor.
fn commands(rung: &Rung, facts: &Facts, parts: &[Part]) -> bool {
    let row = facts.rows.iter().find(|row| row.name.as_deref() == Some(rung.output.var()));
    row.filter(|row| row.address.starts_with("%Q")).is_some_and(|row| {
        let tag = row.device.split_whitespace().next().unwrap_or_default();
        parts.iter().any(|part| part.tag == tag && matches!(part.kind, Kind::Contactor(_)))
    })
}

fn is_button(parts: &[Part], tag: &str) -> bool {
    parts.iter().any(|part| {
        part.tag == tag
            && matches!(&part.kind, Kind::Control(control) if control.actuator == Actuator::Button)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loop_strip::follow::tests::{conductors, parts};

    fn said(rungs: &str, wires: &[(&str, &str)]) -> Vec<(String, Option<usize>)> {
        let source = format!(
            "PROGRAM p VAR a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; q AT %QX0.0 : BOOL; m : BOOL; END_VAR {rungs} END_PROGRAM"
        );
        let program = sealin_ladder::parse(&source).unwrap();
        let wires = conductors(wires);
        let facts = Facts::gather(&program, &[], &parts(), &wires);
        field_remarks(&program, &facts, &parts()).into_iter().map(|said| (said.text, said.rung)).collect()
    }

    const COIL: (&str, &str) = ("KF1:Q0", "QA1:A1");

    #[test]
    fn an_input_that_is_read_and_not_wired() {
        let found = said("m := b; q := a;", &[("QA2:14", "KF1:I1"), COIL]);
        assert_eq!(found.len(), 1);
        assert!(found[0].0.contains('a') && found[0].1 == Some(1), "{found:?}");
        assert!(said("m := m;", &[COIL]).is_empty(), "not read");
    }

    /// QA1 21-22 is a break contact (IEC 60947-5-1: function digits 1 and 2): its bit is 1 at rest.
    #[test]
    fn a_break_contact_read_by_a_normally_closed_one() {
        let wires = [("QA2:22", "KF1:I0"), COIL];
        assert_eq!(said("q := NOT a;", &wires).len(), 1);
        assert!(said("q := a;", &wires).is_empty());
        assert!(said("m := NOT a;", &wires).is_empty(), "an alarm may");
        assert!(
            said("q := NOT a;", &[("QA2:14", "KF1:I0"), COIL]).is_empty(),
            "a make contact as an interlock"
        );
    }
}
