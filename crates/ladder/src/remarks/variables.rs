//! Variables that are read or written by nothing.

use super::{Remark, Rule};
use crate::compiled::FIRST_SCAN;
use crate::model::{Area, Program, VarKind};

pub(super) fn remarks(program: &Program, found: &mut Vec<Remark>) {
    let mut read: Vec<String> = Vec::new();
    let mut written: Vec<String> = Vec::new();
    for rung in &program.rungs {
        rung.each_contact(&mut |contact| {
            // A block's pin counts as the block.
            read.extend(
                contact.names().map(|name| name.split('.').next().unwrap_or(name).to_ascii_uppercase()),
            );
        });
        written.push(rung.output.var().to_ascii_uppercase());
    }
    read.sort();
    written.sort();
    for var in &program.vars {
        let name = var.name.to_ascii_uppercase();
        let is_read = read.binary_search(&name).is_ok();
        let is_written = written.binary_search(&name).is_ok();
        let area = var.address.map(|address| address.area);
        let shown = &var.name;
        let (rule, text, why) = match (is_read, is_written) {
            (false, false) => (
                Rule::Unused,
                format!("{shown} is in no rung"),
                "A name without use makes the next reader look for one. Take it out, or put it to its use.",
            ),
            (true, false) if area == Some(Area::Input) || name.eq_ignore_ascii_case(FIRST_SCAN) => continue,
            (true, false) if var.kind != VarKind::Bool => (
                Rule::NeverWritten,
                format!("{shown} is read but never called"),
                "A block that no rung calls does nothing; its outputs stay 0.",
            ),
            (true, false) => (
                Rule::NeverWritten,
                format!("{shown} is read but no rung writes it"),
                "It keeps its initial value for ever, and the contact is as good as a link or a gap.",
            ),
            (false, true) if area.is_none() => (
                Rule::NeverRead,
                format!("{shown} is written but no rung reads it"),
                "It has no address either, so what the rung works out goes nowhere.",
            ),
            _ => continue,
        };
        found.push(Remark { rule, rung: None, var: shown.clone(), text, why: why.to_owned() });
    }
}
