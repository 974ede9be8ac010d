//! Several coils of one bit, and set and reset coils without each other.

use std::collections::BTreeMap;

use super::{Remark, Rule};
use crate::model::{Area, Output, Program};

/// Remarks on what writes each bit.
pub(super) fn remarks(program: &Program, found: &mut Vec<Remark>) {
    let mut writers: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, rung) in program.rungs.iter().enumerate() {
        writers.entry(rung.output.var().to_ascii_uppercase()).or_default().push(index);
    }
    for rungs in writers.into_values() {
        let last =
            |is: fn(&Output) -> bool| rungs.iter().copied().rfind(|rung| is(&program.rungs[*rung].output));
        let set = last(|output| matches!(output, Output::Set { .. }));
        let reset = last(|output| matches!(output, Output::Reset { .. }));
        let other = last(|output| !matches!(output, Output::Set { .. } | Output::Reset { .. }));
        let name = program.rungs[rungs[0]].output.var();
        let var = program.vars.iter().find(|var| var.name.eq_ignore_ascii_case(name));
        let is_output = var.and_then(|var| var.address).is_some_and(|address| address.area == Area::Output);
        let starts_at_1 = var.is_some_and(|var| var.initial);
        let mut say = |rule, rung: usize, text: String, why: &str| {
            found.push(Remark {
                rule,
                rung: Some(rung as u32),
                var: name.to_owned(),
                text,
                why: why.to_owned(),
            });
        };
        match (set, reset, other) {
            // Set and reset coils of one bit belong together; a coil that writes both values does not stand beside any.
            (_, _, Some(_)) if rungs.len() > 1 => {
                let numbers: Vec<String> = rungs.iter().map(|rung| (rung + 1).to_string()).collect();
                let text = format!("{name} is written by rungs {}", numbers.join(" and "));
                say(Rule::CoilTwice, rungs[rungs.len() - 1], text, TWICE);
            }
            (Some(set), None, None) => {
                say(Rule::NeverReset, set, format!("{name} is set but nothing resets it"), NEVER_RESET);
            }
            (None, Some(reset), None) if !starts_at_1 => {
                say(Rule::NeverSet, reset, format!("{name} is reset but nothing sets it"), NEVER_SET);
            }
            (Some(set), Some(reset), None) if is_output && set > reset => {
                say(Rule::SetWins, set, format!("{name} is set below its reset"), SET_WINS);
            }
            _ => {}
        }
    }
}

const TWICE: &str = "The rung further down wins; what an upper one writes never reaches the output. Join the conditions in one \
                     rung, side by side.";
const NEVER_RESET: &str = "Once it is 1 it stays 1 until the controller starts anew. Add a reset coil with what ends it, below \
                           the set coil so that it wins.";
const NEVER_SET: &str =
    "It is 0 from the start, so the reset coil changes nothing. Add the set coil above it.";
const SET_WINS: &str = "When both rungs pass the lower one wins, so a start that is held goes through a stop. Put the reset coil \
                        below the set coil: the stop has the last word.";
