//! The names that can be written for what is in hand, each with what it is.

use super::completion::Offer;
use super::deed::free_name;
use super::facts::Facts;
use super::sketch::Hand;
use super::typed::{Ask, usual_name};
use crate::t;
use sealin_ladder::{Area, Block, Constant, FIRST_SCAN, Output, Program, Reading, Var, VarKind, print_time};

/// What can be written for this.
pub fn offers(ask: Ask, program: &Program, facts: &Facts, hand: Option<Hand>) -> Vec<Offer> {
    match ask {
        Ask::After | Ask::Before | Ask::Beside | Ask::Read => {
            let mut offers = readable(program, facts);
            if !offers.iter().any(|offer| offer.name.eq_ignore_ascii_case(FIRST_SCAN)) {
                let note = t!("program-note-first-scan").to_string();
                offers.push(Offer { name: FIRST_SCAN.to_string(), note });
            }
            offers
        }
        Ask::Compare => values(program).into_iter().map(|name| Offer { name, note: String::new() }).collect(),
        Ask::Rung => {
            let mut offers = without_rung(program, facts);
            for other in readable(program, facts) {
                if !offers.iter().any(|offer| offer.name == other.name) {
                    offers.push(other);
                }
            }
            offers
        }
        Ask::Name => drivable(program, facts),
        Ask::Instance(block) => instances(program, block),
        Ask::Preset => presets(program, hand),
        Ask::Comment => Vec::new(),
    }
}

/// The names that a contact can read: bits in their order with their addresses, the outputs of each block, and names of the
/// I/O list, which are declared when they are chosen.
pub fn readable(program: &Program, facts: &Facts) -> Vec<Offer> {
    let declared = program.vars.iter().flat_map(|var| match var.kind {
        VarKind::Bool => vec![Offer { name: var.name.clone(), note: note(var, facts) }],
        VarKind::Block(block) => {
            let pin =
                |pin: &&str| Offer { name: format!("{}.{pin}", var.name), note: block.word().to_string() };
            block.outputs().iter().map(pin).collect()
        }
    });
    declared.chain(listed(facts, "")).collect()
}

/// The values that can be compared.
pub fn values(program: &Program) -> Vec<String> {
    let value = |var: &Var| match var.kind {
        VarKind::Block(block) => block.value().map(|pin| format!("{}.{pin}", var.name)),
        VarKind::Bool => None,
    };
    program.vars.iter().filter_map(value).collect()
}

/// What a coil can drive: all bits but inputs.
fn drivable(program: &Program, facts: &Facts) -> Vec<Offer> {
    let is_input = |var: &Var| var.address.is_some_and(|address| address.area == Area::Input);
    let bits = program.vars.iter().filter(|var| var.kind == VarKind::Bool && !is_input(var));
    let declared = bits.map(|var| Offer { name: var.name.clone(), note: note(var, facts) });
    declared.chain(listed(facts, "%Q")).collect()
}

/// What no rung drives yet: outputs first, then blocks and bits without address.
pub fn without_rung(program: &Program, facts: &Facts) -> Vec<Offer> {
    let driven = |name: &str| program.rungs.iter().any(|rung| rung.output.var().eq_ignore_ascii_case(name));
    let blocks = program.vars.iter().filter_map(|var| match var.kind {
        VarKind::Block(block) => Some(Offer { name: var.name.clone(), note: block.word().to_string() }),
        VarKind::Bool => None,
    });
    let mut offers: Vec<Offer> =
        drivable(program, facts).into_iter().chain(blocks).filter(|offer| !driven(&offer.name)).collect();
    offers.sort_by_key(|offer| !offer.note.starts_with("%Q"));
    offers
}

/// Names of the job's I/O list that the program does not declare.
fn listed(facts: &Facts, area: &str) -> Vec<Offer> {
    let rows = facts.all_undeclared().filter(|row| row.address.starts_with(area));
    rows.filter_map(|row| {
        Some(Offer { name: row.given.clone()?, note: t!("program-note-listed", address = row.address) })
    })
    .collect()
}

fn instances(program: &Program, block: Block) -> Vec<Offer> {
    let called = |name: &str| {
        program.rungs.iter().any(
            |rung| matches!(&rung.output, Output::Block(call) if call.instance.eq_ignore_ascii_case(name)),
        )
    };
    let waiting = program.vars.iter().filter(|var| var.kind == VarKind::Block(block) && !called(&var.name));
    let mut offers: Vec<Offer> =
        waiting.map(|var| Offer { name: var.name.clone(), note: block.word().to_string() }).collect();
    let reading = Reading { program: program.clone(), ..sealin_ladder::read("") };
    offers.push(Offer {
        name: free_name(&reading, usual_name(block)),
        note: t!("program-note-new").to_string(),
    });
    offers
}

/// Usual presets of the block in hand.
fn presets(program: &Program, hand: Option<Hand>) -> Vec<Offer> {
    let figures: Vec<String> = match super::desk::preset(program, hand) {
        Some(Constant::Time(_)) => {
            [100, 200, 500, 1_000, 2_000, 3_000, 5_000, 10_000, 30_000].map(print_time).to_vec()
        }
        Some(Constant::Count(_)) => [1, 2, 3, 4, 5, 10, 20, 50, 100].map(|n: i32| n.to_string()).to_vec(),
        None => Vec::new(),
    };
    figures.into_iter().map(|name| Offer { name, note: String::new() }).collect()
}

/// Address and comment of a variable.
fn note(var: &Var, facts: &Facts) -> String {
    let address = var.address.map(|address| address.to_string());
    let said = facts.rows.iter().find(|row| row.name.as_deref() == Some(&var.name));
    let comment = Some(var.comment.clone()).filter(|c| !c.is_empty()).or(said.map(|row| row.comment.clone()));
    let first_line = comment.and_then(|c| c.lines().next().map(str::to_string));
    let parts: Vec<String> =
        [address, first_line].into_iter().flatten().filter(|part| !part.is_empty()).collect();
    parts.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loop_strip::follow::tests::{conductors, parts};
    use crate::store::model::IoRow;

    const SOURCE: &str =
        "PROGRAM p VAR a AT %IX0.0 : BOOL; (* STOP *) q AT %QX0.0 : BOOL; m : BOOL; t : TON; n : CTUD;
        END_VAR m := a; END_PROGRAM";

    fn names(ask: Ask) -> Vec<String> {
        let program = sealin_ladder::parse(SOURCE).unwrap();
        let row = |address: &str, name: &str| IoRow {
            address: address.into(),
            name: name.into(),
            terminal: String::new(),
            device: String::new(),
            comment: String::new(),
        };
        let facts =
            Facts::gather(&program, &[row("%IX0.1", "b"), row("%QX0.1", "r")], &parts(), &conductors(&[]));
        offers(ask, &program, &facts, None).into_iter().map(|offer| offer.name).collect()
    }

    #[test]
    fn each_field_offers_what_fits_it() {
        assert_eq!(names(Ask::After), ["a", "q", "m", "t.Q", "n.QU", "n.QD", "b", "r", "first_scan"]);
        assert_eq!(names(Ask::Compare), ["t.ET", "n.CV"]);
        assert_eq!(names(Ask::Name), ["q", "m", "r"]);
        assert_eq!(names(Ask::Instance(Block::Ton)), ["t", "timer1"]);
        assert_eq!(names(Ask::Rung)[..4], ["q", "r", "t", "n"].map(String::from), "outputs first");
    }
}
