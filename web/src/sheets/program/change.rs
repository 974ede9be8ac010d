//! Changes to one rung, made on the drawing and written back into the text.
//!
//! Only the statement of that rung is printed anew; all other text stays as the person wrote it.

use sealin_ladder::{Network, Program, Reading, Rung, VarKind, edit, replace_rung};

/// What a person does to the contact in hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum RungChange {
    /// Normally open becomes normally closed, or back.
    Negate,
    /// The contact goes.
    Delete,
    /// A contact of this name in series, right of it.
    InSeries(String),
    /// A contact of this name side by side, below it.
    InParallel(String),
    /// It reads another bit.
    Rename(String),
}

impl RungChange {
    /// The name that it brings in.
    pub fn name(&self) -> Option<&str> {
        match self {
            RungChange::InSeries(name) | RungChange::InParallel(name) | RungChange::Rename(name) => {
                Some(name)
            }
            RungChange::Negate | RungChange::Delete => None,
        }
    }
}

/// A text after a change, with the contact that is then in hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Changed {
    /// The whole text.
    pub source: String,
    /// The contact, by its index in the rung; none if the rung has none left.
    pub contact: Option<u32>,
}

/// Makes a change to a contact of a rung; none if there is no such contact or the text has moved on.
pub fn change(
    source: &str,
    reading: &Reading,
    rung: usize,
    contact: u32,
    change: &RungChange,
) -> Option<Changed> {
    let (new, contact) = changed(reading.program.rungs.get(rung)?, contact, change)?;
    Some(Changed { source: replace_rung(source, reading, rung, &new)?, contact })
}

/// Puts a contact in series at the right end of a rung, before its output; in place of the link or gap of a rung that has
/// no contact.
pub fn append(source: &str, reading: &Reading, rung: usize, name: &str) -> Option<Changed> {
    let mut old = reading.program.rungs.get(rung)?.clone();
    if old.logic.contacts() == 0 {
        old.logic = Network::True;
    }
    let new = edit::append(&old, Network::open(name));
    let contact = new.logic.contacts().checked_sub(1);
    Some(Changed { source: replace_rung(source, reading, rung, &new)?, contact })
}

/// The names that a contact can read: variables in their order, and the outputs of each block.
pub fn readable(program: &Program) -> Vec<String> {
    program
        .vars
        .iter()
        .flat_map(|var| match var.kind {
            VarKind::Bool => vec![var.name.clone()],
            VarKind::Block(block) => {
                block.outputs().iter().map(|pin| format!("{}.{pin}", var.name)).collect()
            }
        })
        .collect()
}

fn changed(old: &Rung, contact: u32, change: &RungChange) -> Option<(Rung, Option<u32>)> {
    let new = match change {
        RungChange::Negate => edit::negate(old, contact),
        RungChange::Delete => edit::delete(old, contact),
        RungChange::InSeries(name) => edit::insert_after(old, contact, Network::open(name)),
        RungChange::InParallel(name) => edit::branch_around(old, contact, contact, Network::open(name)),
        RungChange::Rename(name) => edit::rename(old, contact, name),
    }?;
    let count = new.logic.contacts();
    let next = match change {
        RungChange::InSeries(_) | RungChange::InParallel(_) => contact + 1,
        _ => contact,
    };
    Some((new, count.checked_sub(1).map(|last| next.min(last))))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOURCE: &str = "PROGRAM p
VAR
  a AT %IX0.0 : BOOL;   b : BOOL;
  q AT %QX0.0 : BOOL;
END_VAR
(* start *)
q := a   AND NOT b; // as wired
b:=q;
END_PROGRAM
";

    fn after(contact: u32, what: RungChange) -> Changed {
        change(SOURCE, &sealin_ladder::read(SOURCE), 0, contact, &what).unwrap()
    }

    fn rung(changed: &Changed) -> String {
        sealin_ladder::print_network(&sealin_ladder::parse(&changed.source).unwrap().rungs[0].logic)
    }

    #[test]
    fn each_change_does_what_it_says() {
        let cases = [
            (0, RungChange::Negate, "NOT a AND NOT b", Some(0)),
            (1, RungChange::Delete, "a", Some(0)),
            (0, RungChange::InSeries("q".into()), "a AND q AND NOT b", Some(1)),
            (1, RungChange::InParallel("q".into()), "a AND (NOT b OR q)", Some(2)),
            (1, RungChange::Rename("q".into()), "a AND NOT q", Some(1)),
        ];
        for (contact, what, expected, next) in cases {
            let changed = after(contact, what.clone());
            assert_eq!((rung(&changed).as_str(), changed.contact), (expected, next), "{what:?}");
        }
    }

    #[test]
    fn other_text_stays_as_written() {
        let changed = after(0, RungChange::Negate);
        assert!(changed.source.starts_with("PROGRAM p\nVAR\n  a AT %IX0.0 : BOOL;   b : BOOL;\n"));
        assert!(changed.source.ends_with("b:=q;\nEND_PROGRAM\n"));
        assert!(changed.source.contains("start") && changed.source.contains("as wired"), "comments stay");
    }

    #[test]
    fn the_last_contact_leaves_none_in_hand_and_one_can_be_put_back() {
        let once = after(1, RungChange::Delete);
        let none =
            change(&once.source, &sealin_ladder::read(&once.source), 0, 0, &RungChange::Delete).unwrap();
        assert_eq!((rung(&none).as_str(), none.contact), ("TRUE", None));
        let again = append(&none.source, &sealin_ladder::read(&none.source), 0, "a").unwrap();
        assert_eq!((rung(&again).as_str(), again.contact), ("a", Some(0)));
    }

    #[test]
    fn a_contact_that_is_not_there_changes_nothing() {
        let reading = sealin_ladder::read(SOURCE);
        assert_eq!(change(SOURCE, &reading, 0, 2, &RungChange::Negate), None);
        assert_eq!(change(SOURCE, &reading, 9, 0, &RungChange::Negate), None);
        assert_eq!(change("shorter", &reading, 0, 0, &RungChange::Negate), None);
    }
}
