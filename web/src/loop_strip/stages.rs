//! The stages of a contactor's loop: where each value is found, as far as it is wired and programmed.

use super::follow::{Channel, Wiring};
use crate::store::model::{Conductor, Kind, Part, Terminal};
use sealin_ladder::{Contact, Program, RungLayout, lay_out};

/// The loop of one contactor. What is missing in it is not wired or not programmed.
#[derive(Clone, Debug, PartialEq)]
pub struct Loop {
    /// Tag of the contactor.
    pub contactor: String,
    /// Input that its make contact 13-14 is wired to.
    pub input: Option<Channel>,
    /// Output that its coil is fed from.
    pub output: Option<Channel>,
    /// Rung that writes this output, its number from 1, and its layout.
    pub rung: Option<(usize, RungLayout)>,
    /// Variable at the input's address.
    pub input_name: Option<String>,
    /// Variable at the output's address.
    pub output_name: Option<String>,
}

impl Loop {
    /// Follows the loop of a contactor through conductors as drawn and the program in the controller.
    pub fn of(parts: &[Part], conductors: &[Conductor], program: &Program, contactor: &str) -> Loop {
        let wiring = Wiring::new(parts, conductors);
        let input = wiring.input_of(contactor, ("13", "14"));
        let coil = |name| wiring.output_of(&Terminal::new(contactor, name));
        let output = coil("A1").or_else(|| coil("A2"));
        let name_at = |channel: &Option<Channel>| {
            let address = channel.as_ref()?.address();
            let at = |var: &&sealin_ladder::Var| var.address.is_some_and(|a| a.to_string() == address);
            program.vars.iter().find(at).map(|var| var.name.clone())
        };
        let (input_name, output_name) = (name_at(&input), name_at(&output));
        // The rung further down wins.
        let rung = output_name.as_ref().and_then(|name| {
            let number = program.rungs.iter().rposition(|rung| rung.output.var() == name)?;
            Some((number + 1, lay_out(&program.rungs[number])))
        });
        Loop { contactor: contactor.to_string(), input, output, rung, input_name, output_name }
    }

    /// Whether the rung passes, by a way to see whether a contact of a rung passes: the rung's index, the contact's, and
    /// the contact. None without a rung.
    pub fn passes(&self, contact: &dyn Fn(u32, u32, &Contact) -> bool) -> Option<bool> {
        let (number, layout) = self.rung.as_ref()?;
        let rung = *number as u32 - 1;
        let passes = |index: u32, of: &Contact| contact(rung, index, of);
        layout.passing(&passes, &|_| false).items.last().copied()
    }
}

/// Tags of the contactors, in order.
pub fn contactors(parts: &[Part]) -> Vec<String> {
    parts.iter().filter(|part| matches!(part.kind, Kind::Contactor(_))).map(|part| part.tag.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::super::follow::tests::{conductors, parts};
    use super::*;

    fn program(rungs: &str) -> Program {
        let source = format!(
            "PROGRAM p VAR QA1_in AT %IX0.1 : BOOL; QA1_out AT %QX0.0 : BOOL; END_VAR {rungs} END_PROGRAM"
        );
        sealin_ladder::parse(&source).unwrap()
    }

    #[test]
    fn a_whole_loop_is_found() {
        let wires = conductors(&[("QA1:14", "KF1:I1"), ("KF1:Q0", "QA1:A1")]);
        let whole = Loop::of(&parts(), &wires, &program("QA1_out := QA1_in;"), "QA1");
        assert_eq!(whole.input_name.as_deref(), Some("QA1_in"));
        assert_eq!(whole.output_name.as_deref(), Some("QA1_out"));
        assert_eq!(whole.rung.as_ref().unwrap().0, 1);
        assert_eq!(
            [whole.passes(&|_, _, _| true), whole.passes(&|_, _, _| false)],
            [Some(true), Some(false)]
        );
    }

    #[test]
    fn what_is_missing_is_none() {
        let open = Loop::of(&parts(), &conductors(&[]), &program(""), "QA1");
        assert_eq!(
            (open.input.clone(), open.output.clone(), open.passes(&|_, _, _| true)),
            (None, None, None)
        );
        let wires = conductors(&[("KF1:Q0", "QA1:A2")]);
        let no_rung = Loop::of(&parts(), &wires, &program(""), "QA1");
        assert!(no_rung.output.is_some() && no_rung.rung.is_none());
    }

    #[test]
    fn the_last_coil_is_the_one() {
        let wires = conductors(&[("KF1:Q0", "QA1:A1")]);
        let twice = program("QA1_out := QA1_in; QA1_out := QA1_in;");
        assert_eq!(Loop::of(&parts(), &wires, &twice, "QA1").rung.unwrap().0, 2);
    }

    #[test]
    fn contactors_are_listed() {
        assert_eq!(contactors(&parts()), ["QA1", "QA2"]);
    }
}
